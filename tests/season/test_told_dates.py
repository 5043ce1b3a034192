from datetime import date, datetime, time

import pytest

from planner.season import When
from planner.season.reading import told_dates as told

NIGHT = datetime(2027, 7, 12, 21)


@pytest.fixture(autouse=True)
def style():
    """Set how dates are told; afterwards as nobody says."""
    yield told.tell_dates_as
    told.tell_dates_as(None)
    told.tell_no_year_of(date(2027, 1, 1))


@pytest.mark.parametrize("name", [None, "iso", "eu"])
def test_days_are_told_with_the_day_first_and_24_hours(style, name):
    style(name)
    assert told.day_text(date(2027, 7, 14)) == "Wed 14 Jul"
    assert told.whole_day(date(2027, 7, 14)) == "Wed 14 Jul 2027"
    assert told.moment(NIGHT) == "Mon 12 Jul 21:00"
    assert told.until(datetime(2027, 7, 13)) == "the end of Mon 12 Jul"
    assert told.since(datetime(2027, 7, 13)) == "Tue 13 Jul"


def test_for_us_the_month_comes_first_and_hours_go_to_twelve(style):
    style("us")
    assert told.day_text(date(2027, 7, 14)) == "Wed Jul 14"
    assert told.whole_day(date(2027, 7, 14)) == "Wed Jul 14, 2027"
    assert told.moment(NIGHT) == "Mon Jul 12 9:00 pm"
    assert told.short_since(datetime(2027, 7, 13)) == "Jul 13"
    assert told.part_of_day(datetime(2027, 7, 18, 3, 32)) == "night of Jul 17"
    assert When.parse("2027-07-14T00:05").told == "Jul 14 12:05 am"


@pytest.mark.parametrize(
    ("hour", "text"), [(time(0), "12:00 am"), (time(11, 59), "11:59 am"), (time(12), "12:00 pm")]
)
def test_midnight_and_noon_have_their_halves_of_the_day(style, hour, text):
    style("us")
    assert told.clock(hour) == text


@pytest.mark.parametrize(
    ("when", "text"),
    [
        (datetime(2027, 7, 18, 3, 32), "night of 17 Jul"),
        (datetime(2027, 7, 14, 6, 0), "morning of 14 Jul"),
        (datetime(2027, 7, 14, 5, 59), "night of 13 Jul"),
        (datetime(2027, 7, 14, 12, 0), "afternoon of 14 Jul"),
        (datetime(2027, 7, 14, 23, 59), "evening of 14 Jul"),
        (datetime(2027, 7, 13, 0, 0), "night of 12 Jul"),
        (datetime(2027, 7, 12, 23, 30), "at once"),  # this evening, and it is 21:00
    ],
)
def test_a_predicted_hour_is_told_as_the_part_of_a_day_before_which_it_is_safe(when, text):
    assert told.before(when, NIGHT) == text


def test_the_part_told_begins_no_later_than_the_hour_meant():
    # Whoever is done before that part begins is done in time: checked for every hour of two days.
    for hour in range(48):
        when = datetime(2027, 7, 14 + hour // 24, hour % 24, 59)
        start = when.replace(hour=when.hour // 6 * 6, minute=0)
        assert told.part_of_day(start) == told.part_of_day(when)
        assert start <= when


def test_another_year_than_now_is_told_where_it_may_be_a_slip():
    told.tell_no_year_of(date(2027, 7, 1))
    assert When.parse("2027-07-14").told == "14 Jul"
    assert When.parse("2026-07-14T08:00").told == "14 Jul 2026 08:00"
    assert told.moment(datetime(2028, 1, 1, 8)) == "Sat 1 Jan 2028 08:00"
