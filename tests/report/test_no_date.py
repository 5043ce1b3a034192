"""What is told of a clash with one that has no date: that none is known, and never a gap or a day."""

from datetime import date, datetime
from pathlib import Path

import pytest

from planner.report.texts.reason import reason_texts
from planner.season import Hang, Lid, Line, Plan, Season, TooClose
from planner.season.plan.reason_record import Reason

PLACES = (Line(name="north", length=18, height=150, clips_every=4), Lid(name="tub", width=40, length=28))
SEASON = Season(folder=Path("season"), name="Porch", places=PLACES, pupae=())
DUE = {"m1": date(2027, 7, 11), "m2": date(2027, 7, 11), "u1": None, "u2": None}
SPOTS = {"m1": "4", "m2": "8", "u1": "12", "u2": "16"}
HANGS = tuple(Hang(pupa=p, place="north", spot=spot, due=DUE[p]) for p, spot in SPOTS.items())
PLAN = Plan(on=datetime(2027, 7, 5, 8), gap_days=2.0, hangs=HANGS)


def pairs(*names):
    return [TooClose(a=a, b=b, gap=0.0, distance=4.0) for a, b in names]


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (pairs(("m1", "m2")), "due less than 2 days apart"),
        (pairs(("m1", "u1")), "of which one has no date"),
        (pairs(("m1", "m2"), ("u1", "u2")), "due less than 2 days apart, or of which one has no date"),
    ],
)
def test_pairs_are_told_by_what_makes_them_clash(found, words):
    assert PLAN.near(found) == words


@pytest.mark.parametrize(
    ("pupae", "first", "words"),
    [
        (("u1", "u2"), None, "2 pupae (u1, u2), without a date, each need a spot out of reach of the "
         "others: they are perhaps due on one day. There is only 1 such spot."),
        (("m1", "u1"), date(2027, 7, 11), "2 pupae (m1, u1), due 11 Jul or on a day not known, each need a "
         "spot out of reach of the others: they are perhaps due on one day."),
        (("m1", "m2", "u1"), date(2027, 7, 11), "3 pupae (m1, m2, u1), due 11 Jul or on a day not known, "
         "each need a spot out of reach of the others: they are due less than 2 days apart, or perhaps due "
         "on one day."),
    ],
)  # fmt: skip
def test_a_reason_says_of_whom_no_date_is_known(pupae, first, words):
    cause = Reason(cause="apart", pupae=pupae, first=first, last=first, room=1, minimal=True)
    (text,) = reason_texts(SEASON, PLAN, (cause,))
    assert text.startswith(words)
    last = "u1, u2: they" if "u2" in pupae else "u1: it"
    assert text.endswith(f"No date is known of {last} may be due on any day.")


def test_of_two_that_may_not_be_moved_the_one_without_a_date_is_told():
    cause = Reason(
        cause="held", pupae=("m1", "u1"), spots=(("north", "4"), ("north", "12")), why=("to stay", "to stay")
    )
    (text,) = reason_texts(SEASON, PLAN, (cause,))
    assert text == (
        "m1 (north 4 cm, due 11 Jul) and u1 (north 12 cm, no date) are too close, and neither may be moved. "
        "m1: to stay; u1: to stay. No date is known of u1: it may be due on any day."
    )
