from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from room_world import NOW, pupa, season

from planner.follow.day import Day
from planner.report.page.data import PageData, as_json, command_folder
from planner.season import Hang, Move, Plan, TooClose


def page_of(*pupae, now=NOW, plan=None, **more):
    return PageData(Day(season(*pupae, **more), now, plan))


def move(number, name="m1", to="4", **times):
    when = {"not_before": datetime(2027, 7, 3), "not_after": datetime(2027, 7, 10, 12), **times}
    return Move(
        step=number, pupa=name, from_place="tub-2", from_spot="5,5", to_place="north", to_spot=to, **when
    )


def test_the_days_go_to_the_day_after_that_on_which_the_last_is_likely_out():
    # m1 is due 11 July 12:00. Its spread is 8 %: the standard deviation, with the hour of pupation, is the
    # root of 0.8² + 1/12, 0.85 days, so 19 in 20 are out 1.645 times that later: on 12 July.
    found = page_of(pupa("m1", "2027-07-01", spot="4"))
    assert found.day.all[0].by.date() == date(2027, 7, 12)
    assert (found.days[0], found.days[-1], len(found.days)) == (date(2027, 7, 5), date(2027, 7, 13), 9)


def test_with_nobody_there_a_week_is_shown_and_never_more_than_60_days():
    assert len(page_of().days) == 7
    cold = page_of(pupa("m1", "2027-07-01", spot="4"), constant=11.0)  # 130 days
    assert len(cold.days) == 60


@pytest.mark.parametrize(
    ("moment", "since", "until"),
    [
        (datetime(2027, 7, 5, 0, 1), 1, 1),
        (datetime(2027, 7, 5, 0, 1, 30), 2, 1),  # never too early, never too late
        (datetime(2027, 7, 4, 23, 59), -1, -1),
        (datetime(2027, 7, 6), 1440, 1440),
        (None, None, None),
    ],
)
def test_minutes_are_rounded_to_the_safe_side(moment, since, until):
    found = page_of()
    assert (found.since(moment), found.until(moment)) == (since, until)


@pytest.mark.parametrize(
    ("now", "state"),
    [
        (datetime(2027, 7, 2, 23, 59), ("soft", "soft")),  # firm from 3 July 00:00
        (datetime(2027, 7, 3), ("may", "firm")),
        (datetime(2027, 7, 14), ("late", "late")),
    ],
)
def test_the_state_of_a_pupa_on_the_first_day(now, state):
    one = page_of(pupa("m1", "2027-07-01", spot="4"), now=now).shown[0]
    assert (one.state, one.word) == state


def test_a_prepupa_one_to_stay_and_one_seen_darkening():
    from planner.season import When

    found = page_of(
        pupa("m1", None, "tub-2"),
        pupa("m2", "2027-07-02", "tub-2", stay=True),
        pupa("m3", "2027-07-01", "tub-2", darkening=When.parse("2027-07-05")),
    )
    assert [(s.state, s.word) for s in found.shown] == [("soft", "J"), ("stay", "stay"), ("dark", "dark")]
    assert [p.get("sight") for p in as_json(found)["pupae"]] == [None, None, 0]


def test_pupae_of_which_the_same_is_known_share_one_row_of_chances():
    found = as_json(
        page_of(*(pupa(f"m{i}", "2027-07-01", "tub-2") for i in range(5)), pupa("m9", "2027-07-02", "tub-2"))
    )
    assert [p["row"] for p in found["pupae"]] == [0, 0, 0, 0, 0, 1]
    assert [len(row) for row in found["chances"]] == [found["days"]] * 2
    assert sum(found["chances"][0]) == pytest.approx(0.99, abs=0.005)  # 1 in 100 keeps to no forecast


def test_the_moves_of_a_pupa_are_told_in_their_order():
    plan = Plan(on=NOW, gap_days=2, hangs=(), moves=(move(3, to="8"), move(1, to="16")))
    one = as_json(page_of(pupa("m1", "2027-07-01", "tub-2", x=5.0, y=5.0), plan=plan))["pupae"][0]
    assert [(t["step"], t["at"]) for t in one["to"]] == [(1, "north 16 cm"), (3, "north 8 cm")]
    assert one["to"][0]["before"] == 5 * 1440 + 720  # 10 July 12:00


def test_the_key_of_what_is_written_down_changes_neither_with_the_plan_nor_with_what_is_recorded():
    plan = Plan(on=NOW, gap_days=2, hangs=(), moves=(move(1),))
    pupae = pupa("m1", "2027-07-01", "tub-2"), pupa("m2", "2027-07-01", "tub-2")
    first, again = (as_json(page_of(*p, plan=plan)) for p in (pupae, pupae[:1]))
    other = as_json(page_of(*pupae, plan=replace(plan, on=datetime(2027, 7, 5, 9))))
    assert first["key"] == again["key"] == other["key"]


def test_the_key_is_that_of_the_seasons_id_whatever_its_name():
    data = replace(page_of(pupa("m1", "2027-07-01", "tub-2")), own_id="0123456789ab", taken=("event00001",))
    found = as_json(data)
    assert (found["key"], found["season"], found["taken"]) == (
        "hangplan 0123456789ab", "0123456789ab", ("event00001",))  # fmt: skip


@pytest.mark.parametrize(
    ("folder", "word"), [(Path(), ""), (Path("porch"), "porch"), (Path("my porch"), "'my porch'")]
)
def test_the_season_as_the_last_word_of_a_command(folder, word):
    assert command_folder(folder) == word


def test_of_a_clash_with_one_that_has_no_date_the_page_has_no_days_and_of_its_step_no_end():
    # At 8 °C nobody of this season develops.
    pair, step = TooClose(a="m1", b="m2", gap=0.0, distance=4.0), move(1, not_after=NOW + timedelta(days=365))
    hangs = tuple(Hang(pupa=name, place="north", spot=spot) for name, spot in (("m1", "4"), ("m2", "8")))
    plan = Plan(on=NOW, gap_days=2, hangs=hangs, moves=(step,), clashes=(pair,))
    pupae = pupa("m1", "2027-07-01"), pupa("m2", "2027-07-01", spot="8")
    found = as_json(page_of(*pupae, plan=plan, constant=8.0))
    assert found["clashes"] == [[0, 1, None]]
    assert [one["due"] for one in found["pupae"]] == [None, None]
    assert [one["before"] for one in found["pupae"][0]["to"]] == [None]
