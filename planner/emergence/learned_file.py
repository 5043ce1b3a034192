"""Reading and writing of ``learned.yaml``: the accepted estimates of a season, with their history.

Only the program writes the file. No entry is ever removed: an entry that is superseded has a date in
``replaced_by``.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from datetime import date
from functools import lru_cache

from planner.season.load import LEARNED
from planner.season.reading.fields import Fields, Range, Report
from planner.season.reading.problems import FaultyFiles
from planner.season.reading.yaml_text import Node, read_yaml
from planner.season.season import Season

FILE = LEARNED
FORM = 1
COUNTED = 2  # the way in which records are counted now; entries from before it was noted were counted by days
_HEAD = """\
# What was learned from this season's records and accepted, written by hangplan. In force for each species:
# the entry that is not replaced. requirement: degree-days above lower; spread, season_share, day_share: as in
# a profile, and so sibling_spread; records, hanging: emergences used, and those still hanging; counted: how.
"""
_SHARE = Range(0, 0.99)
_NUMBERS = {
    "requirement": Range(0, 5000, "degree-days", above=True),
    "spread": Range(0, 0.5, above=True),
    "season_share": _SHARE,
    "day_share": _SHARE,
    "lower": Range(-20, 30, "°C"),
    "upper": Range(-20, 60, "°C"),
    "from_requirement": Range(0, 5000, "degree-days", above=True),
    "from_spread": Range(0, 0.5, above=True),
}


@dataclass(frozen=True, kw_only=True)
class Entry:
    """Estimates accepted for one species on one day, with the profile they were learned from.

    An entry applies only while the profile still has the values of ``lower``, ``upper``, ``from_requirement``
    and ``from_spread``; otherwise the profile is used as it is.

    Attributes
    ----------
    requirement, spread, season_share, day_share : float
        As in ``Profile``.
    lower, upper : float
        Thresholds, °C, above which the degree-days were counted.
    from_requirement, from_spread : float
        Requirement (degree-days) and spread of the profile before learning.
    records, hanging : int
        Number of emergences used, and of pupae of which only "later than" is known, as of those still
        hanging.
    sibling_spread : float or None
        As in ``Profile``; None in entries from before it was learned: the profile's is in force.
    counted : int or None
        The way in which the records were counted, now COUNTED. None, the first: each emergence on the day
        noted, whenever the looks were; one requirement for the whole season; above the upper threshold as at
        it.
    replaced_by : date or None
        When a later entry superseded it; None while it is in force.
    """

    accepted: date
    species: str
    requirement: float
    spread: float
    season_share: float
    day_share: float
    lower: float
    upper: float
    from_requirement: float
    from_spread: float
    records: int
    hanging: int
    sibling_spread: float | None = None
    counted: int | None = None
    replaced_by: date | None = None


def dump(entries: Sequence[Entry]) -> bytes:
    """The text of ``learned.yaml`` for these entries, in UTF-8."""
    lines = [f"learned: {FORM}", "entries:" if entries else "entries: []"]
    for entry in entries:
        stated = ((f.name, getattr(entry, f.name)) for f in fields(entry))
        lines.append("  - {" + ", ".join(f"{k}: {value_text(v)}" for k, v in stated if v is not None) + "}")
    return (_HEAD + "\n".join(lines) + "\n").encode("utf-8")


def value_text(value: object) -> str:
    """A text, number or day as YAML has it."""
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    # No scientific notation: YAML may read it as text.
    return f"{value:.9f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)


def entries_of(season: Season) -> tuple[Entry, ...]:
    """All entries of a season, oldest first; empty when it has no ``learned.yaml``.

    Raises
    ------
    FaultyFiles
        The file cannot be read.
    """
    return () if season.learned is None else parse(season.learned)


@lru_cache(maxsize=4)  # asked for with every profile
def parse(data: bytes) -> tuple[Entry, ...]:
    """The entries of a file written by ``dump``, oldest first.

    Raises
    ------
    FaultyFiles
        With all problems found, or when a newer version of the program wrote the file.
    """
    report = Report(FILE)
    top = Fields(report, read_yaml(data, FILE), "", ("learned", "entries"))
    top.form("learned", FORM)
    entries = tuple(_entries(report, top.items("entries")))
    if report.problems:
        raise FaultyFiles(report.problems)
    return entries


def _entries(report: Report, items: Iterator[tuple[str, Node]]) -> Iterator[Entry]:
    lines: dict[str, int] = {}  # of the entries in force
    for where, node in items:
        found = Fields(report, node, where, [f.name for f in fields(Entry)])
        accepted = found.day("accepted", None, need=True)
        species = found.text("species", "", need=True, longest=40)
        numbers = {key: found.number(key, 1.0, allowed, need=True) for key, allowed in _NUMBERS.items()}
        siblings = found.number("sibling_spread", None, Range(0, 2, above=True))
        counted = found.integer("counted", None, 2, 1000)
        replaced_by = found.day("replaced_by", None)
        records, hanging = (found.integer(key, 0, 0, 10**7, need=True) for key in ("records", "hanging"))
        if found.clean and numbers["lower"] >= numbers["upper"]:
            found.fault("upper", f"must be above lower, {numbers['lower']:g} °C")
        if found.clean and numbers["season_share"] + numbers["day_share"] > 0.99:
            found.fault("day_share", "season_share and day_share together must be at most 0.99")
        if found.clean and replaced_by is None:
            if species in lines:
                found.fault(
                    "species", f"the entry in line {lines[species]} is in force already: only one can be"
                )
            lines.setdefault(species, node.line)
        if found.clean and accepted is not None:
            yield Entry(
                accepted=accepted, species=species, **numbers, records=records, hanging=hanging,
                sibling_spread=siblings, counted=counted, replaced_by=replaced_by,
            )  # fmt: skip


def in_force(season: Season, species: str) -> Entry | None:
    """The entry of a species that no later one has superseded, or None.

    Raises
    ------
    FaultyFiles
        ``learned.yaml`` cannot be read.
    """
    return next((e for e in entries_of(season) if e.species == species and e.replaced_by is None), None)
