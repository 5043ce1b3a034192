"""Taking back the last change to a season's files, and taking that back."""

from __future__ import annotations

from dataclasses import dataclass

from planner.season.settings import FILE as SETTINGS
from planner.season.store import Store
from planner.season.store.changes import Change, Touched
from planner.season.store.disk import StoreError, digest, digest_of, read
from planner.season.store.history import changes, kept_version, standing


@dataclass(frozen=True)
class Taken:
    """What was taken back: the change, and the files that are as they were before it."""

    change: Change
    files: tuple[str, ...]


def undo(store: Store) -> Taken:
    """Take back the last change that stands: all its files. Raises StoreError, and then nothing was done."""
    with store.locked():
        done, _ = standing(changes(store.history))
        change = done[-1] if done else None
        if change is None or SETTINGS in change.names:
            why = (
                f"{SETTINGS} is yours, and no change after 'new' stands"
                if change
                else "no change is recorded"
            )
            raise StoreError(f"{store.folder}: there is nothing to take back: {why}")
        files = _restore(store, change, "undo")
        store.describe(f"undo: {change.what}", undoes=change.number)
    return Taken(change, files)


def redo(store: Store) -> Taken:
    """Take back the last ``undo``, if nothing was changed since. Raises StoreError; nothing was done then."""
    with store.locked():
        found = changes(store.history)
        _, undone = standing(found)
        if not undone:
            raise StoreError(f"{store.folder}: there is no undo to take back since the last change")
        back = undone[-1]
        first = next((c for c in found if c.number == back.undoes), back)
        files = _restore(store, back, "undo --redo")
        store.describe(first.what, redoes=back.number)
    return Taken(first, files)


def _restore(store: Store, change: Change, command: str) -> tuple[str, ...]:
    """Write the versions from before a change, if its files are still as it left them."""
    problems, versions = [], {}
    for file in change.files:
        data, problem = _version(store, change, file, command)
        versions[file.name] = data
        problems += [problem] if problem else []
    if problems:
        raise StoreError("\n".join([*problems, "nothing was taken back"]))
    for file in change.files:
        path = store.folder / file.name
        store.write(file.name, versions[file.name], digest_of(path))
    return change.names


def _version(store: Store, change: Change, file: Touched, command: str) -> tuple[bytes | None, str]:
    """The version before, and what speaks against going back to it, or nothing."""
    path, kept = store.folder / file.name, kept_version(store.history, change, file)
    copy = f"{kept} is the version before: copy from it what you need"
    if not change.known:
        return None, f"{path}: an earlier hangplan wrote it, without a note of what it wrote: {copy}"
    data = None if file.before is None else read(kept)
    if not kept.exists() or (data is not None and digest(data) != file.before):
        return None, f"{path}: the version before {change.title} is not kept any more"
    if digest_of(path) not in (file.after, file.before):
        copy = copy if file.before is not None else "before it there was no such file"
        return data, f"{path}: was changed since {change.title}, and {command} would lose that: {copy}"
    return data, ""
