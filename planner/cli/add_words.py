"""What the words of ``add`` mean: ``hangplan add 3 tub-2 yesterday`` needs no option."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

from planner.cli.shell.options import read_when
from planner.cli.shell.talk import usage
from planner.season.problems import shorten
from planner.season.settings import FILE
from planner.season.when import When

_DATE = re.compile(r"today|yesterday|[0-9]+[-./][0-9]+[-./][0-9]+.*", re.IGNORECASE)


@dataclass(frozen=True)
class Words:
    """What stands without an option: each at most once but for points."""

    folder: Path = Path()
    lid: str = ""
    date: str = ""
    count: int | None = None
    points: tuple[str, ...] = ()


def read_words(words: Sequence[str], lid: str) -> Words:
    """A whole number is how many, ``12,5`` a point, a date is when; of the rest a folder is the season.

    ``lid``: named by an option; then no word names another.
    """
    found = Words()
    names: list[str] = []
    for word in words:
        if re.fullmatch(r"[0-9]+", word):
            if found.count is not None:
                usage(f"'{shorten(word)}': how many is given twice; a lid of that name is --lid {word}")
            found = replace(found, count=int(word))
        elif "," in word and not Path(word).exists():
            found = replace(found, points=(*found.points, word))
        elif _DATE.fullmatch(word) and not Path(word).exists():
            if found.date:
                usage(f"'{shorten(word)}': a second date; one call records pupae of one date")
            found = replace(found, date=word)
        else:
            names.append(word)
    seasons = [n for n in names if _is_season(n)]
    if lid:
        folder, rest = names[:1], names[1:]
    elif len(names) == 1:
        folder, rest = (names, []) if seasons else ([], names)
    else:
        folder = (seasons or names)[:1]
        rest = [n for n in names if n not in folder]
    if len(rest) > (0 if lid else 1):
        usage(
            f"'{shorten(rest[-1])}': one call records pupae on one lid; expected are season, count, lid, date"
        )
    return replace(found, folder=Path(*folder), lid=lid or "".join(rest))


def _is_season(name: str) -> bool:
    """A folder, and where one stands in a season, only one that is a season itself."""
    path = Path(name)
    if (path / FILE).exists() or os.sep in name or name in (".", ".."):
        return True
    return path.is_dir() and not Path(FILE).exists()


def date_of(text: str, label: str, now: datetime) -> When:
    """``today``, ``yesterday`` or a date."""
    back = {"today": 0, "yesterday": 1}.get(text.lower())
    return read_when(label, text) if back is None else When((now - timedelta(days=back)).date())
