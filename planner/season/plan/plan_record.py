"""The plan in force, as ``plan.yaml`` holds it. Lengths cm, each place's own frame."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from itertools import pairwise


@dataclass(frozen=True, kw_only=True)
class Hang:
    """Where one pupa hangs under the plan.

    ``x``, ``y``: on a line x from its left end and y = 0; on a board x from the left edge, y **up from the
    bottom edge**; on a lid as recorded, None when never measured (``spot`` is then ``?``). ``due``: the day
    of the median (None for a prepupa or when no forecast exists). ``from_place``: set when it is to be moved.
    """

    pupa: str
    place: str
    spot: str
    x: float | None = None
    y: float | None = None
    due: date | None = None
    from_place: str | None = None


@dataclass(frozen=True, kw_only=True)
class Move:
    """One step of the move list. Not before it is firm, not after it may be darkening.

    A pupa has two steps where it must be parked on a spare spot for a few minutes: the second takes it on.
    ``after``: steps that must be done before this one.
    """

    step: int
    pupa: str
    from_place: str
    from_spot: str
    to_place: str
    to_spot: str
    not_before: datetime
    not_after: datetime
    after: tuple[int, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Stuck:
    """A pupa that stays because no order of moves allows for it, and why."""

    pupa: str
    why: str


@dataclass(frozen=True, kw_only=True)
class Waits:
    """A pupa left on its lid until a moment at which it can still be moved: there is no spot for it yet."""

    pupa: str
    until: datetime


@dataclass(frozen=True, kw_only=True)
class TooClose:
    """Two neighbours due too soon after one another. ``why`` is empty, or says what has to be waited for."""

    a: str
    b: str
    gap: float
    distance: float | None
    why: str = ""


@dataclass(frozen=True, kw_only=True)
class Kept:
    """A spot kept for one to come: an expected pupa, or one (its id) that is too soft yet, or told to wait.

    ``since``: when it will need the spot; ``due``: the day it is then reckoned to emerge on. Of a pupa of the
    record, ``chance``: that the spot is free by then; ``latest``: the last evening on which it may be moved,
    None where no darkening is forecast.
    """

    who: str
    place: str
    spot: str
    since: datetime
    due: date
    chance: float | None = None
    latest: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class Changed:
    """A pupa that the plan before had at this spot, and that is not to hang there any more."""

    pupa: str
    place: str
    spot: str


@dataclass(frozen=True, kw_only=True)
class Level:
    """One objective: what was reached, what could at best be reached, and whether the solver proved it.

    None as a value or bound: no finite value (nobody has a neighbour).
    """

    name: str
    value: float | None
    bound: float | None
    proved: bool


@dataclass(frozen=True, kw_only=True)
class Plan:
    """What goes where, and what is known about how good that is.

    ``clashes``: pairs that will emerge too close; ``waiting``: pairs too close for now, one of them still
    soft or left to wait on its lid, to be parted when it is moved. ``left``: pupae on a lid to be cleared
    for whom there is no spot (or who may not be touched yet). ``stuck``: those who stay for want of an order
    of moves that works. ``waits``: those left on their lids till a later evening, so that nobody clashes.
    ``kept``: spots for those to come; ``hoped``: spots that may be free for them by then, but not surely.
    ``changed``: moves of the plan before, not made by then, whose printed tags no longer hold. ``void``:
    numbers of steps of earlier lists that are not done and not to be done any more; others kept theirs.
    ``reason``, ``ways_out``: in words, why there are clashes, and what would mend that. ``inputs``: digest
    of each file it was made from.
    ``drying``: expected number of neighbour pairs drying their wings at the same time, ``as_planned`` and
    ``as_found`` (everybody left where it is).
    ``neighbours``: ``smallest_gap``, the least days between two neighbours' dues, if there are any; and
    ``close``, how many are due little more than the gap apart, weighted.
    """

    on: datetime
    gap_days: float
    hangs: tuple[Hang, ...]
    moves: tuple[Move, ...] = ()
    clashes: tuple[TooClose, ...] = ()
    waiting: tuple[TooClose, ...] = ()
    left: tuple[str, ...] = ()
    stuck: tuple[Stuck, ...] = ()
    waits: tuple[Waits, ...] = ()
    kept: tuple[Kept, ...] = ()
    hoped: tuple[Kept, ...] = ()
    changed: tuple[Changed, ...] = ()
    void: tuple[int, ...] = ()
    reason: tuple[str, ...] = ()
    ways_out: tuple[str, ...] = ()
    proof: tuple[Level, ...] = ()
    settings: dict[str, float] = field(default_factory=dict)
    drying: dict[str, float] = field(default_factory=dict)
    neighbours: dict[str, float] = field(default_factory=dict)
    inputs: dict[str, str] = field(default_factory=dict)

    @cached_property
    def movers(self) -> tuple[str, ...]:
        """Who is moved, each once, in the order of the steps."""
        return tuple(dict.fromkeys(move.pupa for move in sorted(self.moves, key=lambda m: m.step)))

    @cached_property
    def later(self) -> tuple[Kept, ...]:
        """What is planned for evenings to come: who of those on record is hung where then, in that order.

        What is kept for those expected is not among it: nobody knows them yet.
        """
        known = {hang.pupa for hang in self.hangs}
        found = (one for one in (*self.kept, *self.hoped) if one.who in known)
        return tuple(sorted(found, key=lambda one: (one.since, one.who)))

    @property
    def leaves_some(self) -> bool:
        """Whether some stay on lids to be cleared, as the level ``left`` counts them."""
        return any(level.name == "left" and level.value for level in self.proof)

    @property
    def put_off(self) -> tuple[Waits, ...]:
        """Those left on their lids for whom no spot is known on a later evening."""
        placed = {one.who for one in self.later}
        return tuple(one for one in self.waits if one.pupa not in placed)

    @cached_property
    def goes_on(self) -> dict[int, int]:
        """Step that parks a pupa → the step that takes it on."""
        steps: dict[str, list[int]] = {}
        for move in sorted(self.moves, key=lambda m: m.step):
            steps.setdefault(move.pupa, []).append(move.step)
        return {a: b for own in steps.values() for a, b in pairwise(own)}

    @property
    def risk(self) -> float | None:
        """Chance allowed that two neighbours dry their wings together, or None where a gap is asked for."""
        return self.settings.get("risk")

    @property
    def evenings(self) -> int:
        """Over how many evenings it was planned who is left on a lid for now: 1 where nobody is."""
        return int(self.settings.get("evenings", 1))

    @property
    def too_near(self) -> str:
        """What makes two neighbours clash, in words: ``due less than 2 days apart``."""
        if self.risk is not None:
            return f"more than {100 * self.risk:g} % likely to dry their wings together"
        return f"due less than {self.gap_days:g} {'day' if self.gap_days == 1 else 'days'} apart"

    def undated(self, pairs: Iterable[TooClose]) -> list[str]:
        """Who of those pairs has no date: it may be due on any day, and clashes with its neighbours."""
        none = {h.pupa for h in self.hangs if h.due is None}
        return list(dict.fromkeys(name for c in pairs for name in (c.a, c.b) if name in none))

    def near(self, pairs: Sequence[TooClose]) -> str:
        """What makes those pairs clash, in words: `too_near`, or that one of two has no date."""
        none = set(self.undated(pairs))
        without = sum(bool(none & {c.a, c.b}) for c in pairs)
        if without and without == len(pairs):
            return "of which one has no date"
        return f"{self.too_near}, or of which one has no date" if without else self.too_near
