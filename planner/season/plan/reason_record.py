"""Why a season has no plan without clashes, and the ways out of it with their prices: data, no words yet."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any, ClassVar

from planner.season.places.dividers import Divider, End


@dataclass(frozen=True, kw_only=True)
class Unusable:
    """Spots of a place that nobody may be hung on, and why."""

    place: str
    count: int
    why: str


@dataclass(frozen=True, kw_only=True)
class Reason:
    """One cause: pupae that cannot all be hung, and what stops them.

    ``cause``: ``held`` (two that may not be touched are too close), ``spots`` (more pupae than spots),
    ``apart`` (more pupae of near dates than spots out of reach of one another), ``beside`` (the open spots
    are beside hung pupae of near dates), ``unusable`` (it would do if all spots could be used), ``other``.

    ``pupae``: ids; of a ``held`` pair the two. ``crowd``: all who compete for the same, these included.
    ``first``, ``last``: the days on which the crowd is due. ``hanging``: who may not be moved and is needed
    for the proof. ``clear``: lids that some of the pupae must leave. ``room``: how many of the pupae can be
    hung, at most. ``spots``: where so many would hang.
    ``minimal``: whether leaving out any one of the pupae makes it possible for the rest.
    ``why``: of a ``held`` pair, why neither may be moved.
    """

    cause: str
    pupae: tuple[str, ...]
    crowd: tuple[str, ...] = ()
    first: date | None = None
    last: date | None = None
    hanging: tuple[str, ...] = ()
    clear: tuple[str, ...] = ()
    room: int = 0
    spots: tuple[End, ...] = ()
    unusable: tuple[Unusable, ...] = ()
    minimal: bool = False
    why: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class WayOut:
    """One way out. ``least``: proved that nothing less of its kind will do."""

    kind: ClassVar[str]
    least: bool = True


@dataclass(frozen=True, kw_only=True)
class MoreSpots(WayOut):
    """``count`` more marks at the end of a line or columns on a board, which is then ``length`` cm long.

    A line with sliding clips has no marks: ``count`` is 0 there, and ``more`` cm are wanted. ``pins``: in
    those columns. ``needed``: with less than so many cm more it is proved not to do.
    """

    kind = "spots"
    place: str
    count: int
    more: float
    length: float
    pins: int = 0
    needed: float = 0.0


@dataclass(frozen=True, kw_only=True)
class AnotherPlace(WayOut):
    """``count`` more places made like one of the season, each ``length`` cm long, out of reach of the others.

    ``more``: how many cm that is in all; ``needed``: with less than so many it is proved not to do.
    """

    kind = "place"
    like: str
    count: int
    more: float
    length: float
    needed: float = 0.0


@dataclass(frozen=True, kw_only=True)
class SmallerGap(WayOut):
    """The widest gap, in days, at which there is a plan without clashes."""

    kind = "gap"
    days: float


@dataclass(frozen=True, kw_only=True)
class Rehang(WayOut):
    """Pupae that hang already and have to be moved too; ``clashes`` are left then, of ``instead``."""

    kind = "rehang"
    pupae: tuple[str, ...]
    clashes: int = 0
    instead: int = 0


@dataclass(frozen=True, kw_only=True)
class Cards(WayOut):
    """Cards, one for each clash of the plan."""

    kind = "cards"
    dividers: tuple[Divider, ...]


@dataclass(frozen=True, kw_only=True)
class Wait(WayOut):
    """To plan anew at a moment. ``gone``: who is reckoned to have emerged by then, ``firm``: to be firm."""

    kind = "wait"
    until: datetime
    gone: tuple[str, ...]
    firm: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class HoldBack(WayOut):
    """To leave these on their lids and hang all others; until when at least, and as in `Wait`.

    ``evenings``: over how many evenings that is planned. ``placed``: whether each of them has a spot by then,
    surely free, on which it clashes with nobody until it emerges; else this only puts it off.
    ``then``: whether there may be a plan without clashes at that time, if all goes as reckoned: False is
    proved, True if those that are hung now are not in the way, None was not found out.
    """

    kind = "hold"
    pupae: tuple[str, ...]
    until: datetime
    gone: tuple[str, ...] = ()
    then: bool | None = None
    evenings: int = 2
    placed: bool = False


@dataclass(frozen=True, kw_only=True)
class NoWay(WayOut):
    """A way that does not lead out, and why where that is not plain; ``of``: its kind."""

    kind = "none"
    of: str
    why: str = ""


@dataclass(frozen=True)
class Explained:
    """What is known of a season without a plan free of clashes. ``complete``: nothing was cut short."""

    reasons: tuple[Reason, ...] = ()
    ways: tuple[WayOut, ...] = ()
    complete: bool = True

    def as_dict(self) -> dict[str, Any]:
        """For programs; each way with its ``kind``."""
        ways = [{"kind": way.kind, **asdict(way)} for way in self.ways]
        return {"reasons": [asdict(r) for r in self.reasons], "ways_out": ways, "complete": self.complete}
