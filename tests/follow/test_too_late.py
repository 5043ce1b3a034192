"""Steps of a plan for which it is too late."""

from dataclasses import replace
from datetime import datetime

import pytest
from cli_world import SETTINGS, World, call, good_plan

from planner.cli.shell.season_files import open_season
from planner.emergence import forecasts
from planner.follow.too_late import too_late, without_late


@pytest.fixture
def world(tmp_path):
    return World(tmp_path)


def test_who_should_go_to_a_spot_that_is_not_freed_any_more_stays_too(world):
    first, second = good_plan().moves
    plan = replace(good_plan(), moves=(first, replace(second, after=(1,))))
    season = open_season(world.folder)
    rest = without_late(season, plan, forecasts(season, datetime(2027, 7, 11)))
    assert rest.moves == ()
    assert [(one.pupa, one.why) for one in rest.stuck] == [
        ("m2", "may be darkening since the afternoon of 10 Jul: do not move it"),
        ("m3", "the spot it should go to is not free"),
    ]
    assert {h.place for h in rest.hangs} == {"tub-2", "tub-3"}


def test_who_was_only_to_leave_a_spot_before_it_was_too_late_for_another_can_still_be_moved(world):
    # m3 may be darkening from 12 July, m2 from the 10th: so the plan ends the step of m3 on the 10th, too.
    first, second = good_plan().moves
    leaves = replace(second, step=1, not_after=first.not_after)
    plan = replace(good_plan(), moves=(leaves, replace(first, step=2, after=(1,))))
    season = open_season(world.folder)
    known = forecasts(season, datetime(2027, 7, 11))
    assert too_late(plan, known) == ["m2"]
    rest = without_late(season, plan, known)
    assert [(m.pupa, m.not_after) for m in rest.moves] == [("m3", datetime(2027, 7, 12, 12))]
    assert [one.pupa for one in rest.stuck] == ["m2"]


def test_when_dates_have_become_later_no_command_says_that_it_is_too_late(world):
    # 10 degree-days a day instead of 13: m2 is due on 14 July, and may be darkening only from the 13th.
    world.plan()
    world.write("season.yaml", SETTINGS.replace("constant: 23", "constant: 20"))
    evening = "2027-07-10T18:00"
    said = world.call("check", on=evening)
    assert (said.code, "late" in said.out) == (0, False)
    today = world.call("today", on=evening)
    assert "Move now, in this order: 2 pupae" in today.out
    assert "at once" not in today.out
    assert "too late" not in today.out
    tags = world.call("tags", "--moved", on=evening)
    assert (tags.code, "not to be moved" in tags.err) == (0, False)
    assert call("done", "m2", str(world.folder), "--on", evening).code == 0
