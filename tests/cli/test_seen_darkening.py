"""One seen darkening after the plan was made is sent nowhere any more, by nothing that is read or printed."""

from datetime import datetime

from cli_world import call

from planner.cli.shell.season_files import open_season
from planner.emergence import forecasts
from planner.season.plan import plan_file

SEEN = "2027-07-09T08:00"  # reckoned, m2 may be darkening from the 10th only
NOW = "2027-07-09T08:00"  # the same minute


def marked(world):
    world.plan()
    assert call("mark", "m2", "darkening", "porch", "--on", SEEN).code == 0


def test_check_tells_it(world):
    marked(world)
    said = world.call("check", on=NOW)
    assert said.code == 1
    assert "plan.yaml: late: too late to be moved as planned, may be darkening: m2\n" in said.out


def test_no_tag_is_printed_for_its_move(world):
    marked(world)
    assert world.call("tags", "--moved", "--json", on=NOW).data["tags"] == ["m3"]


def test_done_records_the_others_and_says_how_it_is_recorded_if_it_was_moved(world):
    marked(world)
    said = call("done", "porch", "--on", NOW)
    assert said.code == 0
    assert " ".join(said.err.split()).startswith(
        "note: m2 was seen darkening on 9 Jul 08:00, so it is taken as not moved; if it was, "
        "'hangplan done m2 porch' records it"
    )
    assert {p.id: p.place for p in open_season(world.folder).pupae} == {
        "m1": "tub-2",
        "m2": "tub-2",
        "m3": "north",
    }


def test_an_hour_that_is_past_is_bounded_by_what_was_seen_since(world):
    marked(world)
    season, plan = open_season(world.folder), plan_file.read(world.folder)
    found = forecasts(season, plan.on)["m2"]
    assert (found.stage, found.dark_from) == ("firm", datetime(2027, 7, 9, 8))
