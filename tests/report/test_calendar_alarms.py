"""Alarms of calendar entries, read back by a library and held against the grammar of RFC 5545, 3.6.6."""

import re
from dataclasses import replace
from datetime import UTC, datetime, time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar
from room_world import NOW, pupa, season
from tries import tries

from planner.report.calendar_file import calendar_file

TWO = season(
    pupa("m1", "2027-07-01", spot="4"), pupa("m2", "2027-07-01", "tub-2")
)  # due 11 July, dark the 10th
HALF_PAST_SEVEN = time(7, 30)


def unfolded(data):
    """The lines of a file: a line that begins with a blank goes on where the one before it ended (3.1)."""
    return data.decode().replace("\r\n ", "").split("\r\n")


def alarms(data):
    """The lines of each VALARM."""
    return [
        block.split("\n")
        for block in re.findall(r"BEGIN:VALARM\n(.*?)\nEND:VALARM", "\n".join(unfolded(data)), re.DOTALL)
    ]


def rings(data):
    """When each event rings, as the library understands it, by its day."""
    found = {}
    for event in Calendar.from_ical(data).walk("VEVENT"):
        times = [one.trigger for one in event.alarms.times]
        found[str(event.decoded("dtstart"))] = sorted(times)
    return found


def test_each_event_rings_at_that_hour_of_the_season_s_zone():
    # 7:30 in Lisbon in July is 6:30 UTC.
    data = calendar_file(TWO, NOW, None, alarms=[HALF_PAST_SEVEN])
    assert rings(data) == {
        "2027-07-10": [datetime(2027, 7, 10, 6, 30, tzinfo=UTC)],
        "2027-07-11": [datetime(2027, 7, 11, 6, 30, tzinfo=UTC)],
    }


def test_an_alarm_is_written_as_the_standard_has_it():
    # audioprop and dispprop of 3.6.6: ACTION, TRIGGER and, to be displayed, DESCRIPTION, each once. A trigger
    # that is a time names its type, for the default is a duration, and is in UTC (3.8.6.3).
    (dark, due) = alarms(calendar_file(TWO, NOW, None, alarms=[HALF_PAST_SEVEN]))
    assert sorted(due) == [
        "ACTION:DISPLAY",
        "DESCRIPTION:due: m1\\, m2 (north 4 cm\\, tub-2)",
        "TRIGGER;VALUE=DATE-TIME:20270711T063000Z",
    ]
    assert sorted(dark)[1] == "DESCRIPTION:should darken: m1\\, m2 (north 4 cm\\, tub-2)"


def test_an_alarm_stands_within_its_event():
    lines = unfolded(calendar_file(TWO, NOW, None, alarms=[HALF_PAST_SEVEN]))
    kinds = [line for line in lines if line.startswith(("BEGIN:V", "END:V"))]
    event = ["BEGIN:VEVENT", "BEGIN:VALARM", "END:VALARM", "END:VEVENT"]
    assert kinds == ["BEGIN:VCALENDAR", *event, *event, "END:VCALENDAR"]


def test_several_hours_ring_each_once():
    data = calendar_file(TWO, NOW, None, alarms=[time(18), HALF_PAST_SEVEN, time(18)])
    assert rings(data)["2027-07-11"] == [
        datetime(2027, 7, 11, 6, 30, tzinfo=UTC),
        datetime(2027, 7, 11, 17, tzinfo=UTC),
    ]


def test_an_hour_of_today_that_is_past_does_not_ring_when_the_file_is_imported():
    now = datetime(2027, 7, 11, 12)
    assert rings(calendar_file(TWO, now, None, alarms=[HALF_PAST_SEVEN, time(18)])) == {
        "2027-07-11": [datetime(2027, 7, 11, 17, tzinfo=UTC)]
    }


def test_without_alarms_the_file_is_as_it_was():
    assert alarms(calendar_file(TWO, NOW, None)) == []


def test_what_is_cancelled_does_not_ring():
    before = calendar_file(TWO, NOW, None, alarms=[HALF_PAST_SEVEN])
    none = season(pupa("m1", "2027-07-20", spot="4"))
    data = calendar_file(none, NOW, None, before, alarms=[HALF_PAST_SEVEN])
    cancelled = [e for e in Calendar.from_ical(data).walk("VEVENT") if e["status"] == "CANCELLED"]
    assert len(cancelled) == 2
    assert all(event.walk("VALARM") == [] for event in cancelled)


def test_a_later_file_replaces_the_event_and_its_alarms():
    # The same event, for its UID is the same, with a higher SEQUENCE: a calendar takes the later one whole.
    first = calendar_file(TWO, NOW, None, alarms=[HALF_PAST_SEVEN])
    later = calendar_file(TWO, NOW.replace(hour=9), None, first, alarms=[time(8)])
    (old, _), (new, _) = (Calendar.from_ical(data).walk("VEVENT") for data in (first, later))
    assert str(old["uid"]) == str(new["uid"])
    assert new["sequence"] > old["sequence"]
    assert [one.trigger for one in new.alarms.times] == [datetime(2027, 7, 10, 7, tzinfo=UTC)]


@pytest.mark.parametrize(
    ("zone", "day", "utc"),
    [
        # On 28 March 2027 Lisbon goes from UTC to UTC+1 at 1:00: 7:30 is 6:30 UTC, 6.5 h after midnight.
        ("Europe/Lisbon", "2027-03-18", datetime(2027, 3, 28, 6, 30, tzinfo=UTC)),
        # Chicago goes back at 2:00 on 7 November 2027, to UTC-6: 7:30 is 13:30 UTC, 8.5 h after midnight.
        ("America/Chicago", "2027-10-28", datetime(2027, 11, 7, 13, 30, tzinfo=UTC)),
    ],
)
def test_it_rings_at_that_hour_also_on_a_day_on_which_clocks_change(zone, day, utc):
    here = replace(season(pupa("m1", day, spot="4")), timezone=zone)
    data = calendar_file(here, datetime.fromisoformat(f"{day}T08:00"), None, alarms=[HALF_PAST_SEVEN])
    assert rings(data)[f"{utc:%Y-%m-%d}"] == [utc]


@tries(60)
@given(
    st.times().map(lambda t: t.replace(second=0, microsecond=0, tzinfo=None)),
    st.sampled_from(["Europe/Lisbon", "America/Chicago", "Asia/Kathmandu", "Pacific/Auckland", "UTC"]),
)
def test_in_the_season_s_zone_any_alarm_is_the_hour_that_was_asked_for(hour, zone):
    here = replace(TWO, timezone=zone)
    found = rings(calendar_file(here, NOW, None, alarms=[hour]))
    assert {t.astimezone(ZoneInfo(zone)).time() for times in found.values() for t in times} == {hour}
