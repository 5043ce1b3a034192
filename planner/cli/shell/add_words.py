"""What the words of ``add`` mean: ``hangplan add 3 tub-2 yesterday`` needs no option."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from planner.cli.shell.chosen_season import default_season, taken_season
from planner.cli.shell.completion import lids_of
from planner.cli.shell.date_words import is_date, with_dates_joined
from planner.cli.shell.talk import usage
from planner.season.places import fold
from planner.season.reading.day_words import like_date, misread
from planner.season.reading.problems import shorten
from planner.season.settings import FILE
from planner.words import call

_HANGING_IN_A_J = {"j", "prepupa", "prepupae"}  # what one about to pupate is called in the trade


@dataclass(frozen=True)
class Words:
    """What stands without an option: each at most once but for points."""

    folder: Path = Path()
    lid: str = ""
    date: str = ""
    count: int | None = None
    points: tuple[str, ...] = ()


def read_words(words: Sequence[str], lid: str, year: int) -> Words:
    """What each word is, or a refusal that names those that are nothing.

    A whole number is how many, ``12,5`` a point, a date is when; of the rest a folder is the season.

    ``lid``: named by an option; then no word names another. ``year``: of a date that names none.
    """
    found, home = Words(), default_season()
    names: list[str] = []
    for word in with_dates_joined(words):
        if re.fullmatch(r"[0-9]+", word):
            if found.count is not None:
                usage(f"'{shorten(word)}': how many is given twice; a lid of that name is --lid {word}")
            found = replace(found, count=int(word))
        elif "," in word and not Path(word).exists():
            found = replace(found, points=(*found.points, word))
        elif is_date(word):
            if found.date:
                usage(f"'{shorten(word)}': a second date; one call records pupae of one date")
            found = replace(found, date=word)
        else:
            names.append(word)
    seasons = [n for n in names if _is_season(n, home)]
    _refuse_unknown(names, seasons, found, lid, year, home)
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
    return replace(found, folder=Path(*folder) if folder else taken_season(), lid=lid or "".join(rest))


def _refuse_unknown(
    names: Sequence[str], seasons: Sequence[str], found: Words, lid: str, year: int, home: Path
) -> None:
    """Refuse words that are neither a season nor a lid: nothing is made of them that may be a slip."""
    lids = lids_of(Path(*seasons[:1]) if seasons else home)
    folded = {fold(name) for name in lids}
    others = [n for n in names if n not in seasons and fold(n) not in folded]
    if told := [text for n in others if (text := misread(n, year))]:
        usage(told[0])
    rest = [n for n in names if n not in others]
    if {fold(n) for n in others} & _HANGING_IN_A_J:
        number = [str(found.count)] if found.count is not None else []
        on = [n for n in rest if n not in seasons] or ([] if lid else lids[:1])
        again = call("add", Path(*seasons[:1]), *number, *on, *(["--lid", lid] if lid else []), "--prepupa")
        usage(f"'{' '.join(others)}': one that hangs in a J has no date yet. Write: {again}")
    if len(names) - len(seasons) <= (0 if lid else 1) or not lids or not others:
        return
    known = [
        *(f"season {n}" for n in rest if n in seasons),
        *(f"lid {n}" for n in rest if n not in seasons),
        *([f"how many {found.count}"] if found.count is not None else []),
        *([f"date {found.date}"] if found.date else []),
        *(f"point {p}" for p in found.points),
    ]
    wrong = " and ".join(f"'{shorten(n, 30)}'" for n in others)
    what = f"{wrong} {'is' if len(others) == 1 else 'are'} neither a lid, a date nor a point, and no folder"
    understood = f". Understood: {', '.join(known)}" if known else ""
    example = next((n for n in rest if n not in seasons), lids[0])
    usage(f"{what}{understood}. Write for example: {call('add', Path(*seasons[:1]))} 3 {example} 2027-07-03")


def _is_season(name: str, home: Path) -> bool:
    """A folder; where a season is taken that is not named, only one that is a season itself."""
    path = Path(name)
    slashed = os.sep in name and (path.exists() or not like_date(name))  # 7/5 is a slip of a date
    if (path / FILE).exists() or slashed or name in (".", ".."):
        return True
    return path.is_dir() and not (home / FILE).exists()
