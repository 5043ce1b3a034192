"""Ids of pupae: short, kept for ever, never given twice."""

from __future__ import annotations

import re
import unicodedata

from planner.season.reading.problems import shorten
from planner.season.season import Season
from planner.season.store import OWN, Store, StoreError, write_output
from planner.season.store.disk import read

_MEND = "write there the highest number ever given to a pupa"
_NUMBERED = re.compile(r".*?(\d{1,9})")


def next_ids(store: Store, season: Season, species: str, count: int) -> list[str]:
    """Reserve ids such as ``m7``: the species' first letter and a number that runs over the whole season.

    The highest number ever given is noted before the ids are returned, so that one whose row is lost or taken
    out is not given to another animal. Raises StoreError when it cannot be noted.
    """
    with store.locked():
        last = max(_noted(store), _highest(season))
        write_output(store.folder / OWN / "ids", f"{last + count}\n".encode())
    letter = _letter(species)
    return [f"{letter}{n}" for n in range(last + 1, last + count + 1)]


def _highest(season: Season) -> int:
    """The highest number that ends any id of the record, the keeper's own ones included."""
    numbers = (_NUMBERED.fullmatch(p.id) for p in season.pupae)
    return max((int(m[1]) for m in numbers if m), default=0)


def _noted(store: Store) -> int:
    path = store.folder / OWN / "ids"
    try:
        data = read(path)
        text = "0" if data is None else data.decode().strip()
    except (StoreError, UnicodeDecodeError):
        raise StoreError(f"{path}: cannot be read: {_MEND}") from None
    if not re.fullmatch(r"[0-9]{1,9}", text):
        raise StoreError(f"{path}: '{shorten(text, 20)}' is not a number: {_MEND}")
    return int(text)


def _letter(species: str) -> str:
    """First letter of a name, without its accent; ``p`` for pupa where there is none."""
    letters = (c for c in unicodedata.normalize("NFKD", species).lower() if "a" <= c <= "z")
    return next(letters, "p")
