"""One season with a plan that keeps every rule, to be broken in one point by each test of the verifier.

At 23 °C a pupa of this season takes 130 / (23 - 10) = 10 days from noon of its day. So pupated 1 July means:
firm from 3 July 00:00 (24 h after that day's end), may be darkening from 10 July 12:00, due 11 July 12:00.
The plan is made on 5 July, 08:00.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

from planner.season.places import Board, Lid, Line
from planner.season.plan.plan_record import Hang, Level, Move, Plan, TooClose
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season, SpeciesEntry
from planner.verify import verify

ON = datetime(2027, 7, 5, 8)
PLACES = (
    Line(name="north", length=60, height=150, clips_every=4),
    Line(name="south", length=60, height=150, clip_width=3),
    Board(name="cork", width=30, height=20, pins_every=5, pattern="staggered", bottom=90),
    Lid(name="tub-2", width=40, length=28),
    Lid(name="tub-3", width=40, length=28, clear=True),
)
# id, pupated, where it is recorded (x, y on a lid, a spot elsewhere), and where it is moved to (spot, x, y).
MOVED = (
    ("a1", "2027-06-27", "tub-2", (5, 5), "north", "4", 4, 0),
    ("a2", "2027-06-29", "tub-2", (6, 5), "north", "8", 8, 0),
    ("a3", "2027-07-01", "tub-2", (7, 5), "north", "12", 12, 0),
    ("a4", "2027-06-27", "tub-2", (8, 5), "north", "16", 16, 0),
    # Pin 1 of row 1 is half a spacing from the left and the top edge; row 2 is shifted by half a spacing.
    ("b1", "2027-06-29", "tub-3", (5, 5), "cork", "r1p1", 2.5, 17.5),
    ("b2", "2027-07-01", "tub-3", (6, 5), "cork", "r1p2", 7.5, 17.5),
    ("b3", "2027-07-03", "tub-3", (7, 5), "cork", "r2p1", 5, 12.5),
    ("s1", "2027-06-30", "tub-2", (9, 5), "south", "10.5", 10.5, 0),
    ("s2", "2027-07-02", "tub-2", (9, 9), "south", "14", 14, 0),
    ("e1", "2027-07-02", "tub-2", (8, 9), "north", "48", 48, 0),
    ("e2", "2027-07-02", "tub-2", (7, 9), "north", "52", 52, 0),
)
STAYING = (
    ("h1", "2027-06-28", "north", "30.3"),  # hung off the marks before they were made
    ("c1", "2027-07-04", "tub-2", (20, 10)),  # soft until 6 July
    ("c2", "2027-07-04", "tub-2", (25, 10)),
    ("d1", "2027-06-25", "tub-2", (35, 20)),  # due today
    ("l1", "2027-07-04", "tub-3", (3, 3)),
    ("p1", None, "tub-3", None),  # a prepupa, not measured
)


@dataclass(frozen=True)
class World:
    """A season and its plan; each method returns a changed copy."""

    season: Season
    plan: Plan

    def says(self) -> list[str]:
        return [str(breach) for breach in verify(self.season, self.plan)]

    def set(self, **changes: Any) -> World:
        """Change settings of the season."""
        return replace(self, season=replace(self.season, **changes))

    def claim(self, **changes: Any) -> World:
        """Change what the plan says."""
        return replace(self, plan=replace(self.plan, **changes))

    def place(self, name: str, **changes: Any) -> World:
        return self.set(places=_changed(self.season.places, "name", name, changes))

    def pupa(self, name: str, **changes: Any) -> World:
        return self.set(pupae=_changed(self.season.pupae, "id", name, changes))

    def hang(self, name: str, **changes: Any) -> World:
        return self.claim(hangs=_changed(self.plan.hangs, "pupa", name, changes))

    def move(self, name: str, **changes: Any) -> World:
        return self.claim(moves=_changed(self.plan.moves, "pupa", name, changes))

    def to(self, name: str, place: str, spot: str, x: float, y: float = 0) -> World:
        """Hang a pupa that moves somewhere else."""
        there = self.hang(name, place=place, spot=spot, x=x, y=y)
        return there.move(name, to_place=place, to_spot=spot)


def _changed(items: tuple[Any, ...], key: str, name: str, changes: dict[str, Any]) -> tuple[Any, ...]:
    assert sum(getattr(item, key) == name for item in items) == 1
    return tuple(replace(item, **changes) if getattr(item, key) == name else item for item in items)


def pupa(name: str, pupated: str | None, place: str, at: Any = None, **more: Any) -> Pupa:
    spot, (x, y) = (at, (None, None)) if isinstance(at, str) else (None, at or (None, None))
    when = When.parse(pupated) if pupated else None
    return Pupa(id=name, species="monarch", pupated=when, place=place, spot=spot, x=x, y=y, **more)


def season(places: tuple[Any, ...], pupae: tuple[Pupa, ...], **more: Any) -> Season:
    """Build a season in which every pupa takes ten days."""
    profile = SpeciesEntry(lower=10, requirement=130, firm_after=24, darkens_before=24)
    settings = {"wing_reach": 10, "drop": 20, "clearance": 11, "lowest": 40, "highest": 190} | more
    return Season(
        folder=Path(),
        name="a season",
        profiles={"monarch": profile},
        places=places,
        pupae=pupae,
        **settings,
    )


def due(pupated: str | None) -> date | None:
    return date.fromisoformat(pupated) + timedelta(days=10) if pupated else None


def good() -> World:
    """Return the season and the plan without a fault."""
    hangs, moves = [], []
    for step, (name, day, source, _, place, spot, x, y) in enumerate(MOVED, start=1):
        hangs.append(Hang(pupa=name, place=place, spot=spot, x=x, y=y, due=due(day), from_place=source))
        midnight = datetime.fromisoformat(day)
        moves.append(
            Move(
                step=step,
                pupa=name,
                from_place=source,
                from_spot="?",
                to_place=place,
                to_spot=spot,
                not_before=midnight + timedelta(days=2),
                not_after=midnight + timedelta(days=9, hours=12),
            )
        )
    for name, day, place, at in STAYING:
        x, y = (30.3, 0) if at == "30.3" else at or (None, None)
        hangs.append(
            Hang(pupa=name, place=place, spot=at if isinstance(at, str) else "?", x=x, y=y, due=due(day))
        )
    pupae = tuple(pupa(*row[:4]) for row in (*MOVED, *STAYING))
    plan = Plan(
        on=ON,
        gap_days=2,
        hangs=tuple(hangs),
        moves=tuple(moves),
        clashes=(TooClose(a="e1", b="e2", gap=0, distance=4),),
        waiting=(TooClose(a="c1", b="c2", gap=0, distance=5),),
        left=("l1", "p1"),
        proof=(
            Level(name="clashes", value=1, bound=1, proved=True),
            Level(name="touched", value=11, bound=9, proved=False),
        ),
    )
    return World(season(PLACES, pupae), plan)
