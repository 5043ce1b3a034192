"""Events are known by an id of their season, not by its name: two of one name do not replace each other's."""

import shutil
from pathlib import Path

import pytest
from cli_world import ON, SETTINGS, call
from icalendar import Calendar

from planner.season.season_id import season_id


def uids(file, status="CONFIRMED"):
    events = Calendar.from_ical(Path(file).read_bytes()).walk("VEVENT")
    return {str(e["uid"]) for e in events if e["status"] == status}


def test_two_seasons_of_one_name_have_events_of_their_own(world):
    shutil.copytree(world.folder, "yard")  # before either has an id
    world.call("calendar", "-o", "a.ics")
    assert call("calendar", "yard", "-o", "b.ics", "--on", ON).code == 0
    assert len(uids("a.ics")) == len(uids("b.ics")) == 4
    assert uids("a.ics").isdisjoint(uids("b.ics"))


def test_a_season_given_another_name_keeps_its_events(world):
    world.call("calendar", "-o", "a.ics")
    before = uids("a.ics")
    world.write("season.yaml", SETTINGS.replace("season: Porch", "season: Porch in summer"))
    world.call("calendar", "-o", "a.ics")
    assert uids("a.ics") == before
    assert uids("a.ics", "CANCELLED") == set()


def test_the_id_does_not_go_with_what_may_be_deleted(world):
    world.call("calendar")
    before = uids("porch/out/season.ics")
    shutil.rmtree("porch/out")
    world.call("calendar")
    assert uids("porch/out/season.ics") == before


def test_events_known_by_the_name_are_cancelled_once(world):
    with pytest.MonkeyPatch.context() as before:  # as on a read-only folder too
        before.setattr("planner.cli.answers.calendar.season_id", lambda _: None)
        world.call("calendar", "-o", "a.ics")
    old = uids("a.ics")
    world.call("calendar", "-o", "a.ics")
    assert uids("a.ics").isdisjoint(old)
    assert uids("a.ics", "CANCELLED") == old


def test_a_damaged_id_is_made_anew(world):
    first = season_id(world.folder)
    (world.folder / ".hangplan" / "season-id").write_text("nonsense")
    again = season_id(world.folder)
    assert len(again) == 12
    assert again not in (first, "nonsense")
