"""Clocks and time zones that make no sense: no command fails for them, none records a day of theirs."""

import re
from datetime import UTC, datetime

import pytest
from cli_world import ON, call

import planner.cli.shell.options
from planner.season.store import changes


class Clock(datetime):
    """A computer's clock that says what it is told to."""

    says = datetime(1970, 1, 1, 0, 3)

    @classmethod
    def now(cls, tz=None):
        return cls.says.replace(tzinfo=tz)


@pytest.mark.parametrize("zone", ["XYZ-25:77", "XYZ+99999", "", ":", "nowhere/at-all", "A" * 5000, "UTC-167"])
def test_no_time_zone_of_the_computer_stops_a_record(world, monkeypatch, zone):
    monkeypatch.setenv("TZ", zone)
    changes.time.tzset()
    try:
        assert call("mark", "m1", "failed", "porch", "--on", ON).code == 0
        assert call("undo", "porch", "--list").code == 0
        assert call("undo", "porch").code == 0
    finally:
        monkeypatch.undo()
        changes.time.tzset()


@pytest.mark.parametrize(("seconds", "said"), [(-1e18, "1970"), (1e18, "9999"), (1e300, "9999")])
def test_a_file_of_an_impossible_time_is_listed_nevertheless(seconds, said):
    assert changes.local(seconds)[:4] == said


def test_a_time_is_local_and_keeps_its_offset():
    text = changes.local(1_800_000_000)  # 15 January 2027, 08:00 UTC
    assert datetime.fromisoformat(text) == datetime(2027, 1, 15, 8, 0, tzinfo=UTC)
    assert re.fullmatch(r"2027-01-1\dT\d\d:\d\d:00[-+]\d\d:\d\d", text)


@pytest.mark.parametrize(
    ("says", "told"),
    [
        (datetime(1970, 1, 1, 0, 3), "1970-01-01 00:03"),
        (datetime(1989, 12, 31, 23, 59), "1989-12-31 23:59"),
        (datetime(2201, 1, 1), "2201-01-01 00:00"),
    ],
)
@pytest.mark.parametrize(
    "words",
    [
        ("add", "1", "tub-2", "porch"),
        ("mark", "m1", "failed", "porch"),
        ("today", "porch"),
        ("check", "porch"),
    ],
)
def test_a_clock_that_was_never_set_is_told_and_nothing_recorded(world, monkeypatch, words, says, told):
    monkeypatch.setattr(planner.cli.shell.options, "datetime", Clock)
    monkeypatch.setattr(Clock, "says", says)
    before = world.files()
    said = call(*words)
    assert (said.code, said.err) == (
        1,
        f"the clock of this computer says {told}: set it right, or add --on DATE\n",
    )
    assert world.files() == before
    assert call("today", "porch", "--on", ON).code == 0


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("2027-02-30", "'2027-02-30': there is no such day"),
        ("2027-07-05T24:00", "'2027-07-05T24:00': there is no such hour (00:00 to 23:59)"),
        ("2027-07-05T25:00", "'2027-07-05T25:00': there is no such hour (00:00 to 23:59)"),
        ("1989-12-31", "'1989-12-31': the year must be 1990 to 2200"),
        ("2201-01-01", "'2201-01-01': the year must be 1990 to 2200"),
    ],
)
def test_a_day_that_does_not_exist_is_no_now(world, text, why):
    said = world.call("today", on=text)
    assert (said.code, said.err) == (2, f"--on: {why}\n")


@pytest.mark.parametrize("text", ["1990-01-01", "2200-12-31T23:59"])
def test_the_first_and_the_last_day_there_is_can_be_now(world, text):
    world.plan()
    for command in ("today", "check", "outlook", "calendar"):
        assert world.call(command, on=text).code in (0, 1), command
