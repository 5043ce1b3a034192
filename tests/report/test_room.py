from datetime import date, datetime, timedelta
from itertools import product

import numpy as np
import pytest
from room_world import NOW, SEASON, pupa, season

from planner.emergence import emergence, marginals
from planner.emergence.conditional import WEIGHT
from planner.follow.outlook import SURE, room
from planner.season import Board, Hang, Plan
from planner.season.season import Expected

FIRST = NOW.date()


def days(found, what):
    return [getattr(d, what) for d in found.days]


def test_only_usable_spots_of_lines_and_boards_count():
    # north has four marks; floor hangs 5 cm high, and 11 cm of clearance are asked for.
    assert room(season(), NOW, None, 1).spots == 4
    board = Board(name="cork", width=10, height=10, pins_every=5, bottom=90)  # 2 × 2 pins
    assert room(season(places=(*SEASON.places, board)), NOW, None, 1).spots == 8


def test_an_empty_season_needs_nothing():
    found = room(season(), NOW, None, 3)
    assert days(found, "day") == [FIRST + timedelta(days=i) for i in range(3)]
    assert days(found, "needed") == days(found, "needed_most") == days(found, "emerging") == [0, 0, 0]
    assert found.runs_out is found.may_run_out is None


def test_a_spot_is_needed_until_the_day_of_emergence_has_ended():
    found = room(season(pupa("m1", "2027-07-01", spot="4")), NOW, None, 20)
    one, now = pupa("m1", "2027-07-01"), datetime(2027, 7, 5)
    chances = emergence(season(), one, now).chances(days(found, "day"))
    left = [1 - sum(list(chances.values())[:i]) for i in range(20)]
    own = marginals(season(), [one])["m1"].not_before(now)  # to the last digit, as both are reckoned
    assert days(found, "emerging") == pytest.approx(list(own.chances(days(found, "day")).values()))
    assert days(found, "needed") == pytest.approx(left)
    assert found.days[0].needed == 1
    assert found.days[-1].needed == pytest.approx(0.01, abs=1e-3)  # the share that keeps to no forecast


def test_who_stays_on_a_lid_or_hangs_where_no_spot_is_usable_needs_none():
    found = room(
        season(pupa("m1", "2027-07-01", "tub-2"), pupa("m2", "2027-07-01", "floor", "4")), NOW, None, 20
    )
    assert days(found, "needed") == [0] * 20
    assert sum(days(found, "emerging")) == pytest.approx(2 * 0.99, abs=0.01)


def test_who_is_on_a_lid_to_be_cleared_needs_a_spot_where_there_is_no_plan():
    found = room(season(pupa("m1", "2027-07-01", "tub-3")), NOW, None, 1)
    assert found.days[0].needed == 1
    assert found.counted == "who hangs there by the record, and who is on a lid to be cleared"


def test_with_a_plan_its_places_count_and_all_who_must_still_leave_a_lid():
    hangs = (
        Hang(pupa="m1", place="north", spot="4", from_place="tub-2"),
        Hang(pupa="m2", place="tub-3", spot="?"),
    )
    plan = Plan(on=NOW, gap_days=2, hangs=hangs)
    pupae = (pupa("m1", "2027-07-01", "tub-2"), pupa("m2", "2027-07-01", "tub-3"))
    found = room(season(*pupae), NOW, plan, 1)
    assert found.days[0].needed == 2
    assert found.counted == (
        "who hangs there by the plan, moves to come included, and who stays for now on a lid to be cleared"
    )


def test_a_prepupa_holds_its_spot_for_as_long_as_one_looks():
    found = room(season(pupa("m1", None, spot="4")), NOW, None, 90)
    assert days(found, "needed") == [1] * 90
    assert days(found, "needed_most") == [1] * 90


def test_the_expected_arrive_when_they_are_firm_and_leave_when_they_emerge():
    found = room(season(expected=(Expected(date(2027, 7, 6), 3, "monarch"),)), NOW, None, 30)
    # 6 July ends at midnight; 24 h later it is the 8th.
    assert days(found, "arriving") == [0, 0, 0, 3, *[0] * 26]
    assert days(found, "needed")[:4] == [0, 0, 0, pytest.approx(3)]
    assert sum(days(found, "emerging")) == pytest.approx(3 * 0.99, abs=0.01)
    most = max(found.days, key=lambda d: d.emerging)
    assert most.day == date(2027, 7, 16)


def test_the_expected_of_days_past_are_not_counted():
    assert (
        room(season(expected=(Expected(date(2027, 7, 4), 3, "monarch"),)), NOW, None, 9).days[8].needed == 0
    )


def test_the_first_day_without_room_is_found():
    expected = (Expected(date(2027, 7, 5), 2, "monarch"), Expected(date(2027, 7, 7), 3, "monarch"))
    found = room(season(expected=expected), NOW, None, 30)
    assert found.runs_out == found.may_run_out == date(2027, 7, 9)  # 7 July, firm on the 9th: five on four


def test_spots_may_run_out_before_they_do_on_average():
    hung = [pupa(f"m{i}", "2027-06-27", spot=str(4 * i)) for i in (1, 2, 3, 4)]  # due 7 July
    found = room(season(*hung, expected=(Expected(date(2027, 7, 5), 1, "monarch"),)), NOW, None, 10)
    assert found.runs_out is None
    assert found.may_run_out == date(2027, 7, 7)  # one may well be out by then, but not surely


@pytest.mark.parametrize(
    "dates", [["2027-06-26"] * 2, ["2027-06-25", "2027-06-26", "2027-06-28", "2027-06-26"]]
)
def test_the_cautious_number_is_that_of_all_cases_counted_out(dates):
    pupae = [pupa(f"m{i}", day, spot=str(4 * i + 4)) for i, day in enumerate(dates)]
    found = room(season(*pupae), NOW, None, 8)
    ones = [emergence(season(), p, datetime(2027, 7, 5)) for p in pupae]
    likelihood = np.prod([one.near.sum(axis=1) + one.stray for one in ones], axis=0) * WEIGHT
    for i, day in enumerate(found.days):
        hours = [24 * (i + (FIRST - date(2000, 1, 1)).days - one.first) for one in ones]
        total = [one.near.sum(axis=1) + one.stray for one in ones]
        gone = [
            one.near[:, : max(h, 0)].sum(axis=1) / t for one, h, t in zip(ones, hours, total, strict=True)
        ]
        chance = np.zeros(len(pupae) + 1)
        for there in product((0, 1), repeat=len(pupae)):
            given = np.prod([1 - g if t else g for g, t in zip(gone, there, strict=True)], axis=0)
            chance[sum(there)] += (likelihood * given).sum() / likelihood.sum()
        upto = np.cumsum(chance)
        exact = int(np.argmax(upto >= SURE))
        # The normal curve stands for the count: it may be off where the chance is within 0.04 of SURE.
        near = {n for n in range(len(upto)) if abs(upto[n] - SURE) < 0.04}
        allowed = {exact, *near, *(n + 1 for n in near)}
        assert day.needed_most in {max(n, round(day.needed)) for n in allowed}


def test_10_000_pupae_are_no_trouble():
    pupae = [pupa(f"m{i}", f"2027-07-0{1 + i % 4}", "tub-3") for i in range(10_000)]
    found = room(season(*pupae), NOW, None, 21)
    assert found.days[0].needed == 10_000
    assert found.may_run_out == FIRST
