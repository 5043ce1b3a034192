"""The seasons that are served: the folder itself, or those in it, each by the name of its folder."""

from __future__ import annotations

import hashlib
import os
import shlex
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from planner.record import taken
from planner.season import settings
from planner.season.plan import plan_file
from planner.season.pupae import table
from planner.season.store.disk import LARGEST, read_bytes

MOST = 200  # seasons listed
_SHOWN = (settings.FILE, table.FILE, plan_file.FILE, taken.FILE, "learned.yaml")


@dataclass(frozen=True)
class Served:
    """One season. ``name``: of its folder."""

    name: str
    folder: Path

    @property
    def url(self) -> str:
        """Its path in the browser."""
        return f"/season/{quote(self.name, safe='')}/"


def is_season(folder: Path) -> bool:
    """Whether a folder holds one."""
    return (folder / settings.FILE).is_file()


def served(root: Path) -> list[Served]:
    """All seasons of a folder: itself if it is one, else those right in it."""
    if is_season(root):
        return [Served(root.resolve().name or "season", root)]
    found = (one for one in sorted(root.iterdir()) if not one.name.startswith(".") and not one.is_symlink())
    return [Served(one.name, one) for one in found if is_season(one)][:MOST]


def version(folder: Path) -> str:
    """Differs whenever a file differs that a page is made from. Raises FaultyFiles."""
    digest = hashlib.sha256()
    for name in _SHOWN:
        digest.update(hashlib.sha256(read_bytes(folder, name, LARGEST) or b"").digest())
    return digest.hexdigest()[:16]


def without_paths(text: str, folder: Path) -> str:
    """A text without the whole path of a folder: no phone has to know where on this computer it is."""
    for path in sorted({str(folder.absolute()), str(folder.resolve())}, key=len, reverse=True):
        for told in (shlex.quote(path), path):
            for around, left in ((f" {told}'", "'"), (f"{told}: ", ""), (f"{told}{os.sep}", "")):
                text = text.replace(around, left)
            text = text.replace(told, "the season's folder")
    return text
