"""How days and hours are told: in English on every machine, in the order of the keeper's date style.

Like a locale, the style holds for all that one command says, whichever part says it. Files and ``--json``
keep to ISO 8601.
"""

from __future__ import annotations

from contextvars import ContextVar
from datetime import date, datetime, time, timedelta

# Not strftime: its names follow the machine's locale.
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_MONTH_FIRST: ContextVar[bool] = ContextVar("month first, 12 hours", default=False)
_YEAR: ContextVar[int | None] = ContextVar("year that goes without saying", default=None)
_PARTS, HOURS = ("night", "morning", "afternoon", "evening"), 6  # so many hours each, from midnight on


def tell_dates_as(style: str | None) -> None:
    """Tell days and hours as ``Jul 5 9:30 pm`` where the style is ``us``, else as ``5 Jul 21:30``."""
    _MONTH_FIRST.set(style == "us")


def month_first() -> bool:
    """Whether the month is told before the day, and twelve hours."""
    return _MONTH_FIRST.get()


def tell_no_year_of(now: date) -> None:
    """Leave out the year of what counts as now; another year is told where a slip of the pen would show."""
    _YEAR.set(now.year)


def day_month(day: date | None) -> str:
    """``5 Jul``; ``?`` where no day is known."""
    if day is None:
        return "?"
    month = MONTHS[day.month - 1]
    return f"{month} {day.day}" if month_first() else f"{day.day} {month}"


def day_text(day: date) -> str:
    """``Wed 14 Jul``.

    >>> day_text(date(2027, 7, 14))
    'Wed 14 Jul'
    """
    return f"{DAYS[day.weekday()]} {day_month(day)}"


def day_told(day: date) -> str:
    """``Wed 14 Jul``, with its year where that is another than now."""
    return day_text(day) + _other_year(day)


def whole_day(day: date) -> str:
    """``Wed 14 Jul 2027``."""
    return day_text(day) + _year(day)


def _year(day: date) -> str:
    return f"{',' if month_first() else ''} {day.year}"


def _other_year(day: date) -> str:
    return _year(day) if _YEAR.get() not in (None, day.year) else ""


def clock(hour: time) -> str:
    """``21:30``; with twelve hours ``9:30 pm``."""
    if month_first():
        return f"{hour.hour % 12 or 12}:{hour:%M} {'am' if hour.hour < 12 else 'pm'}"
    return f"{hour:%H:%M}"


def moment(when: datetime) -> str:
    """``Mon 5 Jul 08:00``, with its year where that is another than now."""
    return f"{day_told(when)} {clock(when.time())}"


def whole_moment(when: datetime) -> str:
    """``Mon 5 Jul 2027, 08:00``."""
    return f"{whole_day(when)}, {clock(when.time())}"


def told(day: date, hour: time | None) -> str:
    """``5 Jul 08:00``, or the day alone where no hour is known; with its year where that is another."""
    return f"{day_month(day)}{_other_year(day)}" + (f" {clock(hour)}" if hour else "")


def short_moment(when: datetime) -> str:
    """``5 Jul 08:00``."""
    return f"{day_month(when)} {clock(when.time())}"


def until(when: datetime) -> str:
    """Till when something lasts that is known to the minute; of midnight the day that ends is named.

    >>> until(datetime(2027, 7, 13))
    'the end of Mon 12 Jul'
    """
    return moment(when) if when.time() != time() else f"the end of {day_told(when - timedelta(days=1))}"


def since(when: datetime) -> str:
    """From when on something is that is known to the minute; of midnight the day that begins is named."""
    return moment(when) if when.time() != time() else day_told(when)


def short_since(when: datetime) -> str:
    """The same without the day of the week."""
    return short_moment(when) if when.time() != time() else day_month(when)


def part_of_day(when: datetime) -> str:
    """The part of a day that a predicted hour lies in; a night bears the date of the evening before it.

    >>> part_of_day(datetime(2027, 7, 18, 3, 32))
    'night of 17 Jul'
    """
    part = when.hour // HOURS
    return f"{_PARTS[part]} of {day_month(when if part else when - timedelta(days=1))}"


def before(when: datetime, now: datetime) -> str:
    """Before which part of a day something is to be done; of the part that it is now, ``at once``."""
    began = when.replace(hour=when.hour // HOURS * HOURS, minute=0, second=0, microsecond=0)
    return "at once" if began <= now else part_of_day(when)
