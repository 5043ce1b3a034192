"""Days on which two that hang are changing places by way of a spare spot."""

from dataclasses import replace
from datetime import date, datetime

import pytest
from cli_world import good_plan

from planner.season import Hang, Move

PUPAE = """\
id,pupated,place,spot,x,y,darkening
m1,2027-07-01,north,4,,,
m2,2027-07-01,north,20,,,
m3,2027-07-03,tub-3,,5,5,
"""
WINDOW = {"not_before": datetime(2027, 7, 3), "not_after": datetime(2027, 7, 10, 12)}
EVE = "2027-07-10T08:00"


def move(step, pupa, spot, to, *after):
    return Move(step=step, pupa=pupa, from_place="north", from_spot=spot, to_place="north", to_spot=to,
                after=after, **WINDOW)  # fmt: skip


@pytest.fixture
def ring(world):
    """m1 and m2 change places by way of 40 cm; m3 waits for nobody."""
    world.write("pupae.csv", PUPAE)
    plan = good_plan()
    hangs = (
        Hang(pupa="m1", place="north", spot="20", x=20, y=0, due=date(2027, 7, 11), from_place="north"),
        Hang(pupa="m2", place="north", spot="4", x=4, y=0, due=date(2027, 7, 11), from_place="north"),
        replace(plan.hangs[2], spot="52", x=52),
    )
    moves = (
        move(1, "m1", "4", "40"),
        move(2, "m2", "20", "4", 1),
        move(3, "m1", "40", "20", 2),
        replace(plan.moves[1], step=4, to_spot="52"),
    )
    world.plan(hangs=hangs, moves=moves, proof=(), settings={"rehang_price": 3})
    return world


def steps(world, on=EVE):
    """Step, pupa and where to, as the day sheet has them."""
    out = world.call("today", on=on).out
    assert "cannot be hung by" not in out
    table = out.split("  step  pupa")[1].split("\n\n")[0].splitlines()[1:] if "  step  pupa" in out else []
    return [row[2:].split("  afternoon of ")[0].split() for row in table]


def test_the_day_sheet_says_that_one_is_parked(ring):
    assert [(row[0], row[1]) for row in steps(ring)] == [("1", "m1"), ("2", "m2"), ("3", "m1"), ("4", "m3")]
    assert steps(ring)[0][-4:] == ["north", "40", "cm", "(park)"]
    assert steps(ring)[2][2:5] == ["north", "40", "cm"]  # it goes on from where it was parked


def test_who_has_been_parked_has_one_step_left(ring):
    ring.write("pupae.csv", PUPAE.replace("m1,2027-07-01,north,4", "m1,2027-07-01,north,40"))
    assert [row[:2] for row in steps(ring)] == [["2", "m2"], ["3", "m1"], ["4", "m3"]]
    assert ring.call("today", on=EVE).code == 0


def test_who_has_arrived_has_none(ring):
    done = PUPAE.replace("north,4", "north,20").replace("m2,2027-07-01,north,20", "m2,2027-07-01,north,4")
    ring.write("pupae.csv", done)
    assert [row[:2] for row in steps(ring)] == [["4", "m3"]]


def test_nobody_is_parked_when_the_other_may_not_be_moved_any_more(ring):
    ring.write(
        "pupae.csv", PUPAE.replace("m2,2027-07-01,north,20,,,", "m2,2027-07-01,north,20,,,2027-07-10T07:00")
    )
    assert [row[:2] for row in steps(ring)] == [["4", "m3"]]


def test_tags_for_those_moved_are_printed_once_each(ring):
    said = ring.call("tags", "--moved", "--json", on=None)
    assert said.data["tags"] == ["m1", "m2", "m3"]
