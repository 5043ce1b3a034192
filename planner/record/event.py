"""What happens at the rack, one event each: what the command line makes of its words, and a slip brings."""

from __future__ import annotations

from dataclasses import dataclass

from planner.record.newcomers import Newcomer
from planner.season.reading.when import When


@dataclass(frozen=True, kw_only=True)
class Event:
    """Something that happened.

    ``id``, ``at``, ``device``: what a phone wrote it down as, when by its clock (ISO 8601 with milliseconds,
    local time) and which phone it was; empty of what is typed at the computer.
    """

    id: str = ""
    at: str = ""
    device: str = ""

    @property
    def order(self) -> tuple[str, str]:
        """What events are sorted by: their time, and where that is the same, anything that never changes."""
        return self.at, self.id


@dataclass(frozen=True, kw_only=True)
class Recorded(Event):
    """A pupa that formed on a lid is new."""

    newcomer: Newcomer


@dataclass(frozen=True, kw_only=True)
class OfPupa(Event):
    """Something that happened to one pupa on record."""

    pupa: str
    when: When


@dataclass(frozen=True, kw_only=True)
class Moved(OfPupa):
    """It hangs elsewhere now; place and spot as in pupae.csv.

    ``anyway``: also where it was not to be touched.
    """

    place: str
    spot: str
    anyway: bool = False


@dataclass(frozen=True, kw_only=True)
class Marked(OfPupa):
    """It was seen darkening, or how it ended."""

    what: str
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Pupated(OfPupa):
    """It shed its larval skin."""

    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Cleaned(OfPupa):
    """What this sick one hung from was cleaned."""

    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Noted(OfPupa):
    """Something to be kept about it."""

    note: str


@dataclass(frozen=True, kw_only=True)
class TakenBack(Event):
    """An event that was written down by mistake."""

    of: str
