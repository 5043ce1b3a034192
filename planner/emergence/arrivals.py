"""Those expected: what can be said of them before they are there."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime

from planner.emergence.profiles import profile_of
from planner.season.pupae import Pupa
from planner.season.reading.when import When, hours_after
from planner.season.season import Season


@dataclass(frozen=True)
class Arrival:
    """Pupae of one species expected to pupate on one day: one of them, from when they are firm, how many."""

    pupa: Pupa
    firm: datetime
    count: int

    @property
    def name(self) -> str:
        """As a plan calls them: ``expected 2027-07-09 monarch``."""
        return self.pupa.id


def arrivals(season: Season, today: date) -> list[Arrival]:
    """Those expected from ``today`` on who are not recorded yet, in the season's order.

    Raises FaultyFiles as profiles do.
    """
    counts: Counter[tuple[date, str]] = Counter()
    for one in season.still_expected(today):
        counts[one.pupating, one.species] += one.count
    found = []
    for (day, species), count in counts.items():
        pupated = When(day)
        firm = hours_after(pupated.latest, profile_of(season, species).firm_after, season.timezone)
        name = f"expected {day} {species}"
        found.append(Arrival(Pupa(id=name, species=species, pupated=pupated, place=""), firm, count))
    return found
