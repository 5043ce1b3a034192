"""What a disk may hold after a power cut: of the steps of a command, only what was synced is certain.

A file's bytes are certain from its last sync on, a name in a folder from the next sync of that folder on. Of
the rest anything may have come through or not: bytes wholly, half or not at all, each new name, rename and
removal for itself. A rename is one step: it came through or not.
"""

import random
import shutil
from dataclasses import dataclass, field
from pathlib import Path

from commands import fresh


@dataclass
class File:
    """One file, whatever its name: bytes as written, and as synced."""

    data: bytes = b""
    safe: bytes = b""


@dataclass
class Disk:
    """A folder as a running system sees it, and the changes of names that are not certain yet.

    ``names``: as seen, by path; ``certain``: as synced; ``pending``: what changes of names were made since,
    each a mapping of path to what is there then: a `File`, or None for nothing.
    """

    root: Path
    names: dict[Path, File] = field(default_factory=dict)
    folders: set[Path] = field(default_factory=set)
    certain: dict[Path, File] = field(default_factory=dict)
    certain_folders: set[Path] = field(default_factory=set)
    pending: list[dict[Path, File | str | None]] = field(default_factory=list)

    @classmethod
    def of(cls, root):
        """A folder that has been there for long: all of it is certain."""
        disk = cls(root)
        for path in root.rglob("*") if root.is_dir() else ():
            if path.is_dir():
                disk.folders.add(path)
            else:
                disk.names[path] = File(path.read_bytes(), path.read_bytes())
        if root.is_dir():
            disk.folders.add(root)
        disk.certain, disk.certain_folders = dict(disk.names), set(disk.folders)
        return disk

    def do(self, step):
        """What a step changes. Of opening, that a new file is there; syncing makes certain."""
        path, to = Path(step.path), Path(step.to)
        match step.kind:
            case "open" if path in self.folders:
                pass
            case "open" if path not in self.names:
                self._change({path: File()})
            case "open" if path.name != "lock":
                self.names[path].data = b""
            case "half" | "written":
                self.names[path].data += step.data
            case "fsync" if path in self.names:
                self.names[path].safe = self.names[path].data
            case "fsync":
                self._sync_folder(path)
            case "rename":
                self._change({path: None, to: self.names[path]})
            case "remove" if path in self.names:
                self._change({path: None})
            case "mkdir" if path not in self.folders:
                self.folders.add(path)
                self.pending.append({path: "folder"})

    def _change(self, change):
        self.pending.append(change)
        _apply(change, self.names, self.folders)

    def _sync_folder(self, folder):
        still = []
        for change in self.pending:
            if any(path.parent == folder for path in change):
                _apply(change, self.certain, self.certain_folders)
            else:
                still.append(change)
        self.pending = still

    def after_a_cut(self, rng=None):
        """Bytes by path that may be found afterwards: with nothing uncertain, or drawn at random."""
        names, folders = dict(self.certain), set(self.certain_folders)
        for change in self.pending:
            if rng is not None and rng.random() < 0.5:
                _apply(change, names, folders)
        found = {}
        for path, file in names.items():
            if not _reached(path.parent, folders, self.root):
                continue  # its folder did not come through
            half = file.safe + file.data[len(file.safe) : (len(file.safe) + len(file.data)) // 2]
            found[path] = file.safe if rng is None else rng.choice([file.safe, half, file.data])
        return found, {f for f in folders if _reached(f, folders, self.root)}


def _reached(folder, folders, root):
    return all(p in folders for p in (folder, *folder.parents) if p.is_relative_to(root))


def _apply(change, names, folders):
    for path, what in change.items():
        if what == "folder":
            folders.add(path)
        elif what is None:
            names.pop(path, None)
        else:
            names[path] = what


def cuts(template, folder, steps, drawn, seed=0):
    """After each step of a command, what a power cut may leave; each is put there before it is yielded.

    ``steps`` are those within the folder's parent. Yields how many steps were done, and whether all that is
    uncertain was lost; the others are drawn at random, ``drawn`` times, the same ones only once.
    """
    rng, seen = random.Random(seed), set()
    fresh(template, folder)
    disk = Disk.of(folder.parent)
    for done in range(len(steps) + 1):
        if done:
            disk.do(steps[done - 1])
        for kind in (None, *[rng] * drawn):
            found, folders = disk.after_a_cut(kind)
            look = (frozenset(found.items()), frozenset(folders))
            if look not in seen or kind is None:
                seen.add(look)
                _put(folder, found, folders)
                yield done, kind is None


def _put(folder, found, folders):
    shutil.rmtree(folder, ignore_errors=True)
    for path in sorted(folders):
        path.mkdir(exist_ok=True)
    for path, data in found.items():
        path.write_bytes(data)
