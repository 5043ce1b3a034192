"""Groups of pupae that are expected but not yet recorded."""

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
    """Pupae of one species that are expected to pupate on one day.

    Attributes
    ----------
    pupa : Pupa
        One of the group; its id names the group.
    firm : datetime
        Local time from which all of them may be moved.
    count : int
        Number of pupae in the group.
    """

    pupa: Pupa
    firm: datetime
    count: int

    @property
    def name(self) -> str:
        """The group's name in a plan, such as ``expected 2027-07-09 monarch``."""
        return self.pupa.id


def arrivals(season: Season, today: date) -> list[Arrival]:
    """The pupae expected from ``today`` on and not yet recorded, grouped by day and species.

    Returns
    -------
    list of Arrival
        In the order of season.yaml.

    Raises
    ------
    ValueError
        A species without a usable profile.
    FaultyFiles
        ``learned.yaml`` cannot be read.
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
