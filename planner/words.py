"""How numbers, days, lengths, spots and names are told, on every kind of output."""

from __future__ import annotations

import math
import re
import shlex
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import groupby
from pathlib import Path

from planner.season.places import Place
from planner.season.reading.told_dates import before
from planner.season.season import Season

CAUTION = "Never move one that is soft or darkening."  # at the foot of every sheet beside which hands work
FAR = timedelta(days=300)  # a step that can be done for so long has no darkening in sight
MOST_NAMED = 5  # pupae, or runs of them, named in a sentence
_NUMBERED = re.compile(r"(.*?)(\d{0,9})")  # an id's stem and the number behind it


def count(number: int, one: str, many: str | None = None) -> str:
    """``1 pupa``, ``2 pupae``."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def sentence(text: str) -> str:
    """A text as a sentence of its own: but for a name before a colon it begins with a large letter."""
    first = text.split(maxsplit=1)[0] if text.strip() else ""
    begun = text[0].upper() + text[1:] if first.rstrip(",").isalpha() else text
    return begun if not first or begun.endswith((".", "!", "?", ":")) else f"{begun}."


def as_told(number: float) -> float:
    """Days between two dues to two places: never rounded up, for less than the gap must not read like it."""
    return math.floor(number * 100 + 1e-5) / 100


def days(number: float) -> str:
    """``1 day``, ``1.96 days``: `as_told`."""
    told = as_told(number)
    return f"{told:g} day" if told == 1 else f"{told:g} days"


def last_moment(when: datetime, on: datetime) -> str:
    """Before when a step of a plan of ``on`` is to be done; ``no date`` where no darkening is in sight."""
    return "no date" if when - on > FAR else before(when, on)


def length(season: Season, cm: float) -> str:
    """Give a length in the keeper's unit."""
    return f"{cm / season.cm_per_unit:.3g} {season.units}"


def percent(share: float) -> str:
    """``62 %`` of a share, 0 to 1."""
    return f"{share * 100:.0f} %"


def spot_name(season: Season, place: Place | None, spot: str) -> str:
    """``36 cm`` on a line, ``r2p5`` on a board, ``12,5`` on a lid, ``?`` where it was never measured."""
    return spot if place is None else place.spot_words(spot, season.units)


def where(season: Season, name: str, spot: str) -> str:
    """``north 36 cm``; on a lid its name is enough."""
    place = season.place.get(name)
    if place is not None and not place.offers_spots:
        return name
    return f"{name} {spot_name(season, place, spot)}"


def ids(names: Iterable[str]) -> str:
    """Name pupae or places in order, three or more in a row as ``m4 to m9``."""
    return ", ".join(text for text, _ in _runs(names))


def void_steps(steps: Collection[int]) -> str:
    """Which steps no longer hold on lists printed before; empty where there are none."""
    if not steps:
        return ""
    some = "step {} is" if len(steps) == 1 else "steps {} are"
    return f"On lists printed before, {some.format(ids(map(str, steps)))} void."


def some_ids(names: Iterable[str], most: int = MOST_NAMED) -> str:
    """The same, no more than ``most`` names or runs of them, the others counted: ``m1, m4 and 12 more``."""
    parts = _runs(names)
    if len(parts) <= most:
        return ", ".join(text for text, _ in parts)
    return f"{', '.join(text for text, _ in parts[:most])} and {sum(n for _, n in parts[most:])} more"


def few_ids(names: Sequence[str], most: int = 60) -> str:
    """The same, or only how many where that is longer than ``most`` letters."""
    text = ids(names)
    return text if len(text) <= most else count(len(names), "pupa", "pupae")


def natural(name: str) -> list[tuple[int, str]]:
    """What to sort names by, figures by their number: ``m2`` before ``m10``."""
    return [(int(part), "") if part.isdecimal() else (-1, part) for part in re.split(r"(\d+)", name)]


def _runs(names: Iterable[str]) -> list[tuple[str, int]]:
    """Names in order, those in a row as one; each with how many it names."""
    ordered = sorted(set(names), key=natural)
    parts: list[tuple[str, int]] = []
    for _, run in groupby(enumerate(ordered), key=lambda e: _run(*e)):
        found = [name for _, name in run]
        if len(found) < 3:
            parts += [(name, 1) for name in found]
        else:
            parts.append((f"{found[0]} to {found[-1]}", len(found)))
    return parts


def _run(index: int, name: str) -> tuple[str, int, str]:
    """Equal for names that follow on one another; a name like ``m07`` or without a number runs alone."""
    match = _NUMBERED.fullmatch(name)
    stem, number = (match[1], int(match[2] or 0)) if match else (name, 0)
    alone = "" if name == f"{stem}{number}" else name
    return stem, number - index, alone


def call(name: str, season: Path, *more: str) -> str:
    """How to type a command for this season: ``hangplan plan porch``."""
    folder = [] if season == Path() else [f"./{season}" if str(season).startswith("-") else str(season)]
    return " ".join(["hangplan", name, *map(shlex.quote, [*folder, *more])])


@dataclass(frozen=True)
class Help:
    """A command that helps, and what it ``does``: a terminal says how it is typed, a page where to tap."""

    name: str
    folder: Path
    does: str

    def __str__(self) -> str:
        return f"'{call(self.name, self.folder)}' {self.does}"


@dataclass(frozen=True)
class Advised:
    """``what`` is the matter, and what ``helps``, apart; ``str()`` of it is what a terminal says.

    ``joint`` stands between the two.
    """

    what: str
    helps: tuple[Help, ...]
    joint: str = ": "

    def __str__(self) -> str:
        return f"{self.what}{self.joint}{', '.join(map(str, self.helps))}"


def no_plan_yet(season: Path) -> Advised:
    """What is said where a plan is asked for, and there is none."""
    return Advised("there is no plan yet", (Help("plan", season, "makes one"),))
