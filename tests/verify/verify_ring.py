"""Two that hang change places by way of a spare spot, which one from a lid takes afterwards.

Pupated 27 June means firm from 29 June, may be darkening from 6 July 12:00; see verify_world. All of a ring
is done between the same two times: from when the last is firm until the first may be darkening.
"""

from dataclasses import replace
from datetime import date, datetime

from verify_world import ON, World, pupa, season

from planner.season.places import Lid, Line
from planner.season.plan.plan_record import Hang, Level, Move, Plan

PLACES = (
    Line(name="north", length=60, height=150, clips_every=4),
    Line(name="south", length=60, height=150, clip_width=3),
    Lid(name="tub-2", width=40, length=28),
)
PUPAE = (
    pupa("r1", "2027-06-27", "north", "4"),
    pupa("r2", "2027-06-29", "north", "20"),
    pupa("r3", "2027-07-01", "tub-2", (5, 5)),
    pupa("s1", "2027-06-29", "south", "30"),
    pupa("s2", "2027-07-01", "tub-2", (6, 5)),
)
RING = datetime(2027, 7, 1), datetime(2027, 7, 6, 12)
LATER = datetime(2027, 7, 3), datetime(2027, 7, 10, 12)


def move(step, name, source, target, window, after=()):
    (place, spot), (goal, to) = source, target
    return Move(step=step, pupa=name, from_place=place, from_spot=spot, to_place=goal, to_spot=to,
                not_before=window[0], not_after=window[1], after=after)  # fmt: skip


def ring():
    """Return the season and its plan, without a fault."""
    n4, n20, n36 = (("north", spot) for spot in ("4", "20", "36"))
    moves = (
        move(1, "r1", n4, n36, RING),
        move(2, "r2", n20, n4, RING, (1,)),
        move(3, "r1", n36, n20, RING, (2,)),
        move(4, "r3", ("tub-2", "5,5"), n36, LATER, (3,)),
        # 28.5 is but 1.5 cm from where s1 hangs, and a clip is 3 cm wide.
        move(5, "s1", ("south", "30"), ("south", "50"), (datetime(2027, 7, 1), datetime(2027, 7, 8, 12))),
        move(6, "s2", ("tub-2", "6,5"), ("south", "28.5"), LATER, (5,)),
    )
    hangs = tuple(
        Hang(pupa=name, place=place, spot=spot, x=float(spot), y=0, due=date(2027, 7, day), from_place=source)
        for name, place, spot, day, source in (
            ("r1", "north", "20", 7, "north"),
            ("r2", "north", "4", 9, "north"),
            ("r3", "north", "36", 11, "tub-2"),
            ("s1", "south", "50", 9, "south"),
            ("s2", "south", "28.5", 11, "tub-2"),
        )
    )
    plan = Plan(
        on=ON,
        gap_days=2,
        hangs=hangs,
        moves=moves,
        settings={"rehang_price": 3},
        proof=(Level(name="touched", value=5, bound=5, proved=True),),
    )
    return World(season(PLACES, PUPAE), plan)


def step(world, number, **changes):
    """Change one step."""
    assert sum(m.step == number for m in world.plan.moves) == 1
    return world.claim(
        moves=tuple(replace(m, **changes) if m.step == number else m for m in world.plan.moves)
    )
