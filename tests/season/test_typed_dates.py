"""Dates as people type them, read against the calendar; Friday 9 July 2027, 21:15, is now."""

import contextlib
import re
from datetime import date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tries import tries

from planner.season.reading.told_dates import DAYS, MONTHS
from planner.season.reading.typed_dates import HOW, is_typed_date, read_hour, read_typed, style_of
from planner.season.reading.when import When

NOW = datetime(2027, 7, 9, 21, 15)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("2027-07-03", "2027-07-03"),
        ("2027-07-03T14:30", "2027-07-03T14:30"),
        ("2027-07-03 14:30", "2027-07-03T14:30"),
        ("2027/7/3", "2027-07-03"),
        ("today", "2027-07-09"),
        ("Yesterday", "2027-07-08"),
        ("tomorrow", "2027-07-10"),
        ("yesterday 21:30", "2027-07-08T21:30"),
        ("yesterday at 9:30 pm", "2027-07-08T21:30"),
        ("21:30", "2027-07-09T21:30"),
        ("9pm", "2027-07-09T21:00"),
        ("12 am", "2027-07-09T00:00"),
        ("12:05pm", "2027-07-09T12:05"),
        ("5 Jul", "2027-07-05"),
        ("5. July", "2027-07-05"),
        ("5th July 2026", "2026-07-05"),
        ("Jul 5", "2027-07-05"),
        ("jul 5, 2026 07:05", "2026-07-05T07:05"),
        ("5jul", "2027-07-05"),
        ("Sept 1", "2027-09-01"),
        ("Fri", "2027-07-09"),  # today is one
        ("last Friday", "2027-07-02"),
        ("Monday", "2027-07-05"),
        ("Tues 8:00", "2027-07-06T08:00"),
        ("3 days ago", "2027-07-06"),
        ("a day ago", "2027-07-08"),
        ("2 weeks ago", "2027-06-25"),
        ("22 hours ago", "2027-07-08T23:15"),
        ("25/7", "2027-07-25"),  # there is no 25th month
        ("7/25/2027", "2027-07-25"),
        ("7.7.", "2027-07-07"),
    ],
)
def test_what_people_type_is_read(text, meant):
    assert str(read_typed(text, NOW)) == meant


@pytest.mark.parametrize(
    ("text", "style", "meant"),
    [
        ("7/5", "us", "2027-07-05"),
        ("7/5", "eu", "2027-05-07"),
        ("5.7.", "eu", "2027-07-05"),
        ("5-7-27 21:30", "eu", "2027-07-05T21:30"),
        ("7/5/2026", "us", "2026-07-05"),
        ("25/7", "us", "2027-07-25"),
    ],
)
def test_of_two_readings_the_date_style_decides(text, style, meant):
    assert str(read_typed(text, NOW, style)) == meant


@pytest.mark.parametrize(
    ("now", "text", "meant"),
    [
        ("2028-01-02", "30 Dec", "2027-12-30"),
        ("2027-12-30", "2 Jan", "2028-01-02"),
        ("2028-01-02", "12/30", "2027-12-30"),
    ],
)
def test_without_a_year_the_nearest_is_meant(now, text, meant):
    assert str(read_typed(text, datetime.fromisoformat(now))) == meant


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (
            "7/5",
            '"7/5" could be 7 May or 5 July: write 2027-05-07 or 2027-07-05, '
            "or set date_style: us or eu in season.yaml",
        ),
        ("30 Feb", "'30 Feb': there is no such day"),
        ("2027-02-30", "'2027-02-30': there is no such day"),
        ("30/2", '"30/2" is not a date, in whatever order: write 2027-07-03'),
        ("yesterday 25:00", "'yesterday 25:00': there is no such hour (00:00 to 23:59, or 12:59 pm)"),
        ("13 pm", "'13 pm': there is no such hour (00:00 to 23:59, or 12:59 pm)"),
        ("5 Jul 1989", "'5 Jul 1989': the year must be 1990 to 2200"),
        (
            "soon",
            f"'soon' is not a date: {HOW}",
        ),
        (
            "5",
            f"'5' is not a date: {HOW}",
        ),
        (
            "",
            f"'' is not a date: {HOW}",
        ),
    ],
)
def test_what_is_not_understood_is_told_with_what_to_write(text, why):
    with pytest.raises(ValueError, match=f"^{re.escape(why)}$"):
        read_typed(text, NOW)


@tries(200)
@given(st.dates(date(2027, 1, 20), date(2027, 12, 20)), st.times(), st.data())
def test_a_day_and_hour_is_read_back_however_it_is_written(day, hour, data):
    hour = hour.replace(second=0, microsecond=0)
    month = MONTHS[day.month - 1]
    half = f"{hour.hour % 12 or 12}:{hour.minute:02} {'pm' if hour.hour >= 12 else 'am'}"
    clock = data.draw(st.sampled_from(["", f" {hour:%H:%M}", f" {half}", f" at {half.replace(' ', '')}"]))
    d, m = day.day, day.month
    forms = [
        (f"{d} {month}", None), (f"{month} {d}, 2027", None), (f"{month.upper()} {d}", "us"),
        (f"{m}/{d}", "us"), (f"{d}/{m}/27", "eu"), (f"{d}.{m}.2027", "eu"), (f"{day:%Y-%m-%d}", "eu"),
    ]  # fmt: skip
    form, style = data.draw(st.sampled_from(forms))
    # From the middle of the year each day of it is nearest.
    assert read_typed(form + clock, datetime(2027, 7, 1), style) == When(day, hour if clock else None)


@tries(100)
@given(st.datetimes(datetime(2000, 1, 1), datetime(2190, 1, 1)), st.integers(0, 6))
def test_a_day_of_the_week_is_the_last_such_day_today_included(now, number):
    found = read_typed(DAYS[number], now)
    assert (found.day.weekday(), found.hour) == (number, None)
    assert timedelta() <= now.date() - found.day < timedelta(days=7)


@tries(300)
@given(st.text(max_size=12))
def test_any_text_is_read_or_refused(text):
    with contextlib.suppress(ValueError):
        assert isinstance(read_typed(text, NOW, "us").hour, time | None)


@pytest.mark.parametrize(
    ("locale", "style"),
    [
        ({"LANG": "en_US.UTF-8"}, "us"),
        ({"LANG": "en_US.UTF-8", "LC_TIME": "en_GB.UTF-8"}, "eu"),
        ({"LANG": "C.UTF-8"}, None),
        ({"LANG": "en_US", "LC_ALL": "POSIX"}, None),
        ({}, None),
    ],
)
def test_the_locale_names_a_style_where_it_names_a_country(locale, style):
    assert style_of(locale) == style


DATES = ("7/5", "Mon", "5.7.", "5jul", "7/5 9pm", "7/5/2027 21:00", "5.7. 7:30")
NO_DATES = ("tub-B", "may", "3", "12.5", "3-5", "jul5", "3-5 9pm", "12.5 7:30")


@pytest.mark.parametrize(("word", "date"), [*((w, True) for w in DATES), *((w, False) for w in NO_DATES)])
def test_a_word_that_can_only_be_a_date_is_known_as_one(word, date):
    assert is_typed_date(word, NOW) is date


def test_a_day_so_long_ago_is_out_of_range_as_well():
    with pytest.raises(ValueError, match=r"^'999 weeks ago': the year must be 1990 to 2200$"):
        read_typed("999 weeks ago", datetime(2000, 1, 1))


@pytest.mark.parametrize(
    ("text", "hour"),
    [
        ("7:30", time(7, 30)),
        ("07:30", time(7, 30)),
        ("19:00", time(19)),
        ("7:30 pm", time(19, 30)),
        (" 7AM ", time(7)),
        ("12 am", time(0)),
        ("12pm", time(12)),
    ],
)
def test_an_hour_of_any_day_is_read(text, hour):
    assert read_hour(text) == hour


@pytest.mark.parametrize(
    "text", ["", "7", "25:00", "13 pm", "yesterday 7:30", "2027-07-03T07:30", "7:30 zulu"]
)
def test_what_is_no_hour_or_names_a_day_is_refused(text):
    with pytest.raises(ValueError, match="is not an hour of the day: write 7:30, 19:00 or 7:30 pm"):
        read_hour(text)
