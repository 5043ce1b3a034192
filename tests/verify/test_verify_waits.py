"""The verifier lets only those wait who stay on a lid and can still be moved when they have waited."""

from dataclasses import replace
from datetime import datetime, timedelta

from verify_world import ON, good

from planner.season import Waits

TOMORROW = ON + timedelta(days=1)


def waiting(name, until=TOMORROW):
    """The good plan with one more left on its lid, e1 of tub-2, and told to wait."""
    stays = good().hang("e1", place="tub-2", spot="?", x=8, y=9, from_place=None)
    moves = tuple(m for m in stays.plan.moves if m.pupa != "e1")
    moves = tuple(replace(m, step=k, after=()) for k, m in enumerate(moves, start=1))
    waits = (Waits(pupa=name, until=until),)
    return [
        line for line in stays.claim(moves=moves, waits=waits, proof=()).says() if line.startswith("waits")
    ]


def test_one_that_stays_on_its_lid_may_wait_until_tomorrow():
    assert waiting("e1") == []


def test_one_that_is_moved_does_not_wait():
    assert waiting("e2") == ["waits: e2 waits: allowed are only those who stay on a lid"]


def test_one_that_hangs_does_not_wait():
    assert waiting("h1") == ["waits: h1 waits: allowed are only those who stay on a lid"]


def test_a_soft_one_need_not_be_told_to_wait():
    (told,) = waiting("c1")
    assert told.startswith("waits: c1 waits: allowed are only those who may be moved now (soft until")


def test_nobody_waits_until_it_may_be_darkening():
    # e1 pupated on 2 July, is due on the 12th at noon and may be darkening from the 11th at noon.
    assert waiting("e1", datetime(2027, 7, 11, 11)) == []
    assert waiting("e1", datetime(2027, 7, 11, 12)) == [
        "waits: e1 waits until 2027-07-11 12:00: allowed is after the plan and before 2027-07-11 12:00, when "
        "it may be darkening"
    ]


def test_nobody_waits_until_now():
    (told,) = waiting("e1", ON)
    assert told.startswith("waits: e1 waits until 2027-07-05 08:00: allowed is after the plan and before")
