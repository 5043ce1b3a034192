"""Steps of a plan for which it is too late."""

from dataclasses import replace
from datetime import datetime

import pytest
from cli_world import World, good_plan

from planner.cli.shell.season_files import open_season
from planner.follow.too_late import without_late


@pytest.fixture
def world(tmp_path):
    return World(tmp_path)


def test_who_should_go_to_a_spot_that_is_not_freed_any_more_stays_too(world):
    first, second = good_plan().moves
    plan = replace(good_plan(), moves=(first, replace(second, after=(1,))))
    rest = without_late(open_season(world.folder), plan, datetime(2027, 7, 11))
    assert rest.moves == ()
    assert [(one.pupa, one.why) for one in rest.stuck] == [
        ("m2", "may be darkening since the afternoon of 10 Jul: do not move it"),
        ("m3", "the spot it should go to is not free"),
    ]
    assert {h.place for h in rest.hangs} == {"tub-2", "tub-3"}
