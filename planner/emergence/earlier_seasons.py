"""``earlier.yaml``: what a keeper's earlier seasons taught, each by its own records.

``hangplan new --after`` writes it. A keeper may delete an entry, or the file: then that is forgotten.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from planner.emergence.learned_file import value_text
from planner.emergence.prior import Estimate
from planner.season.load import EARLIER
from planner.season.reading.fields import Fields, Range, Report
from planner.season.reading.problems import FaultyFiles
from planner.season.reading.yaml_text import Node, read_yaml
from planner.season.season import Season

FILE = EARLIER
FORM = 1
MOST = 100  # seasons of all species
_HEAD = """\
# What earlier seasons taught, the latest last, written by 'hangplan new --after'. Dates of this season begin
# from it. Delete a line, or this file, and it is forgotten. requirement: degree-days above lower, as the
# records of that season alone say, error: give or take; spread: of its pupae, as a share of that,
# spread_error: give or take, as a share of the spread.
"""
_NUMBERS = {
    "requirement": Range(0, 5000, "degree-days", above=True),
    "error": Range(0, 5000, "degree-days", above=True),
    "spread": Range(0, 0.5, above=True),
    "spread_error": Range(0, 10, above=True),
    "lower": Range(-20, 30, "°C"),
    "upper": Range(-20, 60, "°C"),
}
KEYS = ("season", "species", "until", *_NUMBERS, "records")


@dataclass(frozen=True, kw_only=True)
class EarlierSeason(Estimate):
    """What the records of one season say of one species.

    Attributes
    ----------
    season, species : str
        Name of the season, and key of the species.
    until : date
        Its last date on record.
    lower, upper : float
        Thresholds, °C, between which the degree-days were counted.
    records : int
        Number of emergences.
    """

    season: str
    species: str
    until: date
    lower: float
    upper: float
    records: int

    @property
    def line(self) -> str:
        """Its line in the file."""
        return "  - {" + ", ".join(f"{key}: {value_text(getattr(self, key))}" for key in KEYS) + "}"


def dump(seasons: Sequence[EarlierSeason]) -> bytes:
    """The text of ``earlier.yaml`` for these seasons, in UTF-8."""
    lines = [f"earlier: {FORM}", "seasons:" if seasons else "seasons: []"]
    lines += [one.line for one in seasons]
    return (_HEAD + "\n".join(lines) + "\n").encode("utf-8")


def earlier_seasons(season: Season, species: str | None = None) -> tuple[EarlierSeason, ...]:
    """The earlier seasons of a species, or of all, the latest last; empty without ``earlier.yaml``.

    Raises
    ------
    FaultyFiles
        The file cannot be read.
    """
    found = () if season.earlier is None else parse(season.earlier)
    return tuple(one for one in found if species in (None, one.species))


@lru_cache(maxsize=4)  # asked for with every profile
def parse(data: bytes) -> tuple[EarlierSeason, ...]:
    """The seasons of a file as ``dump`` writes it, the latest last.

    Raises
    ------
    FaultyFiles
        With all problems found, or when a newer version of the program wrote the file.
    """
    report = Report(FILE)
    top = Fields(report, read_yaml(data, FILE), "", ("earlier", "seasons"))
    top.form("earlier", FORM)
    seasons = tuple(_seasons(report, top.items("seasons")))
    if len(seasons) > MOST:
        top.fault("seasons", f"{len(seasons)} are too many: at most {MOST}")
    if report.problems:
        raise FaultyFiles(report.problems)
    return tuple(sorted(seasons, key=lambda one: one.until))


def _seasons(report: Report, items: Iterator[tuple[str, Node]]) -> Iterator[EarlierSeason]:
    for where, node in items:
        found = Fields(report, node, where, KEYS)
        name, species = found.text("season", "", need=True), found.text("species", "", need=True, longest=40)
        until = found.day("until", None, need=True)
        numbers = {key: found.number(key, 1.0, allowed, need=True) for key, allowed in _NUMBERS.items()}
        records = found.integer("records", 0, 1, 10**7, need=True)
        if found.clean and until is not None:
            yield EarlierSeason(season=name, species=species, until=until, records=records, **numbers)
