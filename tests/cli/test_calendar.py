from pathlib import Path

from cli_world import PUPAE
from icalendar import Calendar

IMPORT = "Import it into your calendar, again after each change: events are replaced.\n"


def test_it_is_written_into_the_season_unless_told_otherwise(world):
    said = world.call("calendar")
    assert (said.code, said.err) == (0, "")
    # Two days on which one is due, each with the day before.
    assert said.out == "wrote porch/out/season.ics: 4 events from Mon 5 Jul 2027 on\n" + IMPORT
    data = (world.folder / "out" / "season.ics").read_bytes()
    assert len(Calendar.from_ical(data).walk("VEVENT")) == 4


def test_json_names_the_days(world):
    assert world.call("calendar", "--json", "-o", "a.ics").data == {
        "files": ["a.ics"],
        "due": {"2027-07-11": ["m1", "m2"], "2027-07-13": ["m3"]},
        "darkening": {"2027-07-10": ["m1", "m2"], "2027-07-12": ["m3"]},
        "problems": [],
    }


def test_written_again_to_the_same_file_it_cancels_what_no_longer_holds(world):
    world.call("calendar", "-o", "a.ics")
    world.write("pupae.csv", PUPAE.replace("m3,2027-07-03", "m3,2027-07-01"))
    out = world.call("calendar", "-o", "a.ics").out
    assert out == "wrote a.ics: 2 events from Mon 5 Jul 2027 on\n" + IMPORT
    events = Calendar.from_ical(Path("a.ics").read_bytes()).walk("VEVENT")
    assert sorted((e["status"], str(e.decoded("dtstart"))) for e in events) == [
        ("CANCELLED", "2027-07-12"), ("CANCELLED", "2027-07-13"),
        ("CONFIRMED", "2027-07-10"), ("CONFIRMED", "2027-07-11"),
    ]  # fmt: skip


def test_an_empty_season_makes_an_empty_calendar(world):
    world.write("pupae.csv", "id,pupated,place\n")
    out = world.call("calendar", "-o", "a.ics").out
    assert out == "wrote a.ics: 0 events from Mon 5 Jul 2027 on\n" + IMPORT
    assert Calendar.from_ical(Path("a.ics").read_bytes()).walk("VEVENT") == []


def test_another_suffix_is_refused(world):
    said = world.call("calendar", "-o", "a.txt")
    assert (said.code, said.err) == (2, "-o: 'a.txt': the suffix chooses the format: allowed is .ics\n")


def test_an_alarm_rings_at_the_hours_asked_for_however_they_are_typed(world):
    said = world.call("calendar", "--alarm", "7:30", "--alarm", "6 pm", "-o", "a.ics")
    assert (said.code, said.err) == (0, "")
    assert said.out == ("wrote a.ics: 4 events from Mon 5 Jul 2027 on, with alarms\n" + IMPORT)
    first = Calendar.from_ical(Path("a.ics").read_bytes()).walk("VEVENT")[0]
    assert len(first.walk("VALARM")) == 2


def test_an_alarm_that_is_no_hour_is_refused_before_anything_is_written(world):
    said = world.call("calendar", "--alarm", "7")
    assert (said.code, said.out) == (2, "")
    assert said.err == "--alarm: '7' is not an hour of the day: write 7:30, 19:00 or 7:30 pm\n"
    assert not (world.folder / "out").exists()
