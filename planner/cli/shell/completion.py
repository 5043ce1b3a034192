"""What a shell may offer behind a command: ids, lids and words of the season that a command would take.

Read without judging the files, and quickly: a file that cannot be read offers nothing, never an error.
"""

from __future__ import annotations

import re
from pathlib import Path

from planner.cli.shell.chosen_season import default_season
from planner.season import settings
from planner.season.pupae import OUTCOMES, table
from planner.season.reading.problems import FaultyFiles
from planner.season.reading.yaml_text import LARGEST, decode
from planner.season.store.disk import read_bytes

MOST = 300  # offers; more fills the screen
_PLACE = re.compile(r"""\b(line|board|lid)\s*:\s*("[^"]*"|'[^']*'|[^,}#\n]+)""")


def complete_add(incomplete: str) -> list[str]:
    """Lids, and words for dates."""
    return _fitting([*_places(default_season(), ("lid",)), "today", "yesterday"], incomplete)


def lids_of(folder: Path) -> list[str]:
    """Lids of a season."""
    return _places(folder, ("lid",))


def complete_pupa(incomplete: str) -> list[str]:
    """Ids of those present."""
    return _fitting(_ids(default_season()), incomplete)


def complete_tags(incomplete: str) -> list[str]:
    """Ids of those present, and places."""
    return _fitting([*_places(Path()), *_ids(Path())], incomplete)


def complete_mark(incomplete: str) -> list[str]:
    """Ids, and what they may have done."""
    return _fitting(["darkening", *OUTCOMES, "cleaned", "pupated", *_ids(default_season())], incomplete)


def complete_place(incomplete: str) -> list[str]:
    """Places of all kinds."""
    return _fitting(_places(default_season()), incomplete)


def _fitting(words: list[str], incomplete: str) -> list[str]:
    start = incomplete.lower()
    return [w for w in words if w.lower().startswith(start)][:MOST]


def _places(folder: Path, kinds: tuple[str, ...] = ("line", "board", "lid")) -> list[str]:
    """Names of places as they stand in season.yaml, comments aside."""
    try:
        text = decode(read_bytes(folder, settings.FILE, LARGEST) or b"", settings.FILE)
    except FaultyFiles:
        return []
    lines = (line for line in text.splitlines() if not line.lstrip().startswith("#"))
    found = (_PLACE.search(line) for line in lines)
    return [m[2].strip().strip("\"'") for m in found if m and m[1] in kinds]


def _ids(folder: Path) -> list[str]:
    try:
        found = table.read_table(read_bytes(folder, table.FILE, table.LARGEST) or b"")
    except FaultyFiles:
        return []
    return [found.text(r, "id") for r in found.records() if not found.text(r, "outcome")]
