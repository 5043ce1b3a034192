"""Leap days, the turn of the year, zones and summer time, clocks that jump back, and ``--on`` in the past."""

import itertools
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo, available_timezones

import pytest
from emergence_world import easy_season, pupa
from hypothesis import example, given
from hypothesis import strategies as st
from tries import tries

from planner.emergence import arrivals, forecasts, gap, predict
from planner.emergence.temperatures import parse_temperatures
from planner.report.calendar_file import calendar_file
from planner.season import Expected, Store, When
from planner.season.reading.when import hours_after
from planner.season.store.disk import digest
from planner.season.store.history import changes
from planner.season.undo import undo

ZONES = sorted(z for z in available_timezones() if "/" in z and not z.startswith("Etc/"))
zones = st.sampled_from(ZONES)
days = st.dates(date(1990, 1, 1), date(2199, 1, 1))
moments = st.datetimes(datetime(1990, 1, 2), datetime(2199, 1, 1))
TRIES = tries(60)


def due_of(pupated, zone="UTC"):
    found = predict(replace(easy_season(), timezone=zone), pupa(pupated=str(pupated)))
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("pupated", "due"),
    [
        # 100 degree-days at 20 °C above 10 °C: ten days, from noon to noon.
        ("2027-02-23", "2027-03-05"),
        ("2028-02-23", "2028-03-04"),  # a day earlier by the calendar: there is a 29 February between
        ("2028-02-29", "2028-03-10"),
        ("2028-02-19", "2028-02-29"),
        ("2027-12-28", "2028-01-07"),  # a southern summer
        ("2100-02-23", "2100-03-05"),  # no leap year
    ],
)
def test_ten_days_are_ten_days_over_leap_days_and_the_turn_of_the_year(pupated, due):
    assert due_of(pupated).day == date.fromisoformat(due)


@TRIES
@given(days, zones)
def test_ten_days_are_ten_days_on_any_day_in_any_zone(day, zone):
    # Animals follow the sun: where clocks are put forward between, noon is still ten days after noon.
    assert abs(due_of(day, zone).median - (When(day).middle + timedelta(days=10))) < timedelta(seconds=1)


@TRIES
@given(days, st.integers(0, 400))
def test_the_gap_of_two_is_the_days_between_them_whatever_the_calendar(day, later):
    assert gap(due_of(day), due_of(day + timedelta(days=later))) == pytest.approx(later, abs=1e-5)


@pytest.mark.parametrize("text", ["2027-02-29", "2100-02-29", "2027-04-31", "2027-12-32"])
def test_a_day_that_the_calendar_lacks_is_refused_not_moved(text):
    with pytest.raises(ValueError, match=f"^'{text}': there is no such day$"):
        When.parse(text)
    assert str(When.parse("2028-02-29")) == "2028-02-29"


ORDER = ("soft", "firm", "darkening")


@TRIES
@given(days, st.integers(-24 * 400, 24 * 60), st.integers(0, 24 * 30))
def test_as_time_goes_on_no_pupa_goes_back_a_stage(day, hours, more):
    # Also for an --on long before it pupated: then it is soft, not to be touched.
    season = easy_season([pupa(pupated=str(day))])
    early = When(day).earliest + timedelta(hours=hours)
    one, other = (forecasts(season, on)["p"] for on in (early, early + timedelta(hours=more)))
    assert ORDER.index(one.stage) <= ORDER.index(other.stage)
    assert one.due == other.due
    if hours < 0:
        assert one.stage == "soft"
        assert not one.movable


@TRIES
@given(zones, st.datetimes(datetime(1990, 1, 2), datetime(2150, 1, 1)), st.integers(30, 80))
def test_a_loggers_hours_in_any_zone_are_joined_without_a_gap_or_an_overlap(zone, start, hours):
    times = [
        start.replace(minute=0, second=0, microsecond=0, tzinfo=UTC) + timedelta(hours=h)
        for h in range(hours)
    ]
    text = "time,temperature\n" + "".join(f"{t:%Y-%m-%dT%H:%M}Z,20\n" for t in times)
    readings, problems = parse_temperatures(text.encode(), "temperatures.csv", zone)
    assert problems == ()
    # By the clock on the wall, which may have been put forward or back meanwhile, even by days.
    local = sorted({t.astimezone(ZoneInfo(zone)).replace(tzinfo=None) for t in times})
    steps = [b - a for a, b in itertools.pairwise(local) if b - a <= timedelta(hours=6)]
    assert len(readings.start) == len(steps)
    assert bool((readings.end > readings.start).all())
    assert bool((readings.start[1:] >= readings.end[:-1]).all())
    assert (readings.end - readings.start).sum() * 24 == pytest.approx(
        sum(s / timedelta(hours=1) for s in steps)
    )


@pytest.mark.parametrize(
    ("pupated", "zone", "firm"),
    [
        ("2027-07-03T14:30", "Europe/Lisbon", "2027-07-04T14:30"),
        # 28 March, 01:00 is 02:00: by the clock an hour more.
        ("2027-03-27T20:00", "Europe/Lisbon", "2027-03-28T21:00"),
        ("2027-03-27T01:30", "Europe/Lisbon", "2027-03-28T02:30"),  # 01:30 is not on that day's clock
        # 31 October, 01:00 comes twice: by the clock an hour less ...
        ("2027-10-30T20:00", "Europe/Lisbon", "2027-10-31T19:00"),
        ("2027-10-31T01:30", "Europe/Lisbon", "2027-11-01T01:30"),  # but which 01:30? the later one
        # ... and what ends in the second of the two is not to be had in the first.
        ("2027-10-30T02:15", "Europe/Lisbon", "2027-10-31T02:15"),
        # A southern spring: 3 October, 02:00 is 03:00.
        ("2027-10-02T18:00", "Australia/Sydney", "2027-10-03T19:00"),
        # A day known without its hour ends at midnight; the one behind it has 23 hours.
        ("2027-03-27", "Europe/Lisbon", "2027-03-29T01:00"),
    ],
)
def test_firm_is_after_so_many_hours_of_its_life_not_of_the_clock(pupated, zone, firm):
    season = replace(easy_season([pupa(pupated=pupated)]), timezone=zone)
    assert forecasts(season, datetime(2027, 1, 1))["p"].firm_from == datetime.fromisoformat(firm)


@TRIES
@given(zones, moments, st.integers(0, 72), st.integers(0, 72 * 60))
def test_whenever_the_clock_says_firm_the_hours_have_passed(zone, pupated, hours, minutes):
    pupated = pupated.replace(second=0, microsecond=0)
    firm_from = hours_after(pupated, hours, zone)
    for fold in (0, 1):  # whichever of the two the keeper meant
        began = pupated.replace(tzinfo=ZoneInfo(zone), fold=fold).astimezone(UTC)
        now = began + timedelta(minutes=minutes)
        on_the_wall = now.astimezone(ZoneInfo(zone)).replace(tzinfo=None)
        if on_the_wall >= firm_from:
            assert now - began >= timedelta(hours=hours)
    # And no animal waits for much longer than it must, but where a clock was put back by a day.
    assert firm_from - pupated <= timedelta(hours=hours + 25)


def test_the_hour_that_comes_twice_counts_once_and_the_one_left_out_is_joined():
    # Lisbon, 31 October 2027: 01:00 to 02:00 comes twice; 28 March: 01:00 is 02:00.
    for first, local_hours in (("2027-10-30T23:00", 4), ("2027-03-27T23:00", 6)):
        begin = datetime.fromisoformat(first).replace(tzinfo=UTC)
        rows = "".join(f"{begin + timedelta(hours=h):%Y-%m-%dT%H:%M}Z,20\n" for h in range(6))
        readings, _ = parse_temperatures(f"time,temperature\n{rows}".encode(), "t.csv", "Europe/Lisbon")
        # Five hours pass; the clock goes on by one less, or by one more.
        assert (readings.end - readings.start).sum() * 24 == pytest.approx(local_hours)


@TRIES
@given(zones, moments)
def test_a_calendar_can_be_made_at_any_minute_in_any_zone(zone, now):
    # Also at 02:30 of the night in which that minute does not exist.
    on = now.replace(second=0, microsecond=0)
    season = replace(easy_season([pupa(pupated=str((on - timedelta(days=3)).date()))]), timezone=zone)
    data = calendar_file(season, on, None)
    due = (on - timedelta(days=3)).date() + timedelta(days=10)
    assert f"DTSTART;VALUE=DATE:{due:%Y%m%d}\r\n".encode() in data


def test_a_clock_that_jumps_back_changes_neither_the_order_of_changes_nor_what_undo_takes_back(
    tmp_path, monkeypatch
):
    clock = iter(["2027-07-03T08:00:00+01:00", "2026-01-01T00:00:00+00:00", "2027-07-03T07:00:00+01:00"])
    monkeypatch.setattr("planner.season.store.store.now", lambda: next(clock))
    store = Store(tmp_path)
    (tmp_path / "pupae.csv").write_bytes(b"0")
    for before, after in ((b"0", b"1"), (b"1", b"2")):
        with store.locked(f"write {after.decode()}"):
            store.write("pupae.csv", after, digest(before))
    assert [(c.number, c.what) for c in changes(store.history)] == [(1, "write 1"), (2, "write 2")]
    assert undo(store).change.what == "write 2"
    assert (tmp_path / "pupae.csv").read_bytes() == b"1"


@TRIES
@given(days, zones)
@example(date(2027, 3, 27), "Europe/Berlin")  # clocks are put forward in the hours that count
def test_one_expected_is_firm_from_the_same_hour_as_when_it_is_recorded(day, zone):
    season = replace(easy_season(), timezone=zone, expected=(Expected(day, 1, "easy"),))
    (coming,) = arrivals(season, day)
    recorded = replace(season, expected=(), pupae=(pupa("p1", pupated=str(day)),))
    assert coming.firm == forecasts(recorded, datetime.combine(day, datetime.min.time()))["p1"].firm_from
