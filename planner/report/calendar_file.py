"""The days to come as an iCalendar file: who is due, and who should darken, as all-day events with alarms.

References
----------
RFC 5545, Internet Calendaring and Scheduling Core Object Specification (iCalendar).
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from unicodedata import category
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Event

from planner.emergence import forecasts
from planner.follow.prospects import Prospect, prospects
from planner.follow.too_late import without_late
from planner.report.texts.day_sections import chance_text
from planner.season.direction import names_of
from planner.season.plan.plan_record import Plan
from planner.season.season import Season
from planner.words import count, ids, natural, where

MOST_NAMES = 6  # of pupae in a title; the event's text names all
DUE, DARK = "due", "darkening"
_FIRST = datetime(2000, 1, 1)  # SEQUENCE counts minutes from here, so that a later export replaces it
_TEXT = {
    DUE: "Leave each hanging until its wings are dry, and record it: hangplan mark PUPA emerged",
    DARK: "From now on not to be moved. When wing colours show: hangplan mark PUPA darkening",
}


@dataclass(frozen=True)
class Entry:
    """One event: ``kind`` DUE or DARK, and whom it is about."""

    day: date
    kind: str
    about: tuple[Prospect, ...]


def calendar_file(
    season: Season,
    now: datetime,
    plan: Plan | None,
    previous: bytes = b"",
    since: datetime | None = None,
    own: str | None = None,
    alarms: Sequence[time] = (),
) -> bytes:
    """The file's bytes: the same for the same arguments.

    Parameters
    ----------
    plan
        One that the verifier has passed: its targets are where pupae will hang.
    previous
        The file that this one replaces. Days to come of which it spoke and on which nobody is due any more
        are cancelled, for a calendar that imported them does not forget them by itself.
    since
        All were still hanging then; None: ``now``.
    own
        The season's id, in the UID of each event; None: one made of its name, as files of before had it.
    alarms
        Hours of the day, in the season's time zone, at which each event rings. Those before ``now`` are left
        out: a calendar would ring them when it imports them.
    """
    named = by_name(season)
    own = own or named
    calendar = Calendar()
    calendar.add("prodid", "-//hangplan//season//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", _line(season.name))
    found, apart = entries(season, now, since), names_of(season).apart
    moves = without_late(season, plan, forecasts(season, now)).moves if plan else ()
    targets = {m.pupa: where(season, m.to_place, m.to_spot) for m in moves}
    for entry in found:
        event = _event(season, now, entry.day, _uid(own, entry.day, entry.kind), "CONFIRMED")
        at = {p.pupa.id: targets.get(p.pupa.id) or _here(season, p) for p in entry.about}
        event.add("summary", _line(apart(summary(entry, at))))
        about = (_line(apart(line)) for line in _lines(entry, at))
        event.add("description", "\n".join([*about, _TEXT[entry.kind]]))
        for hour in sorted(set(alarms)):
            if (rings := datetime.combine(entry.day, hour)) >= now:
                event.add_component(_alarm(_utc(season, rings), str(event["summary"])))
        calendar.add_component(event)
    new = {_uid(own, e.day, e.kind) for e in found}
    for before in dict.fromkeys((own, named)):
        for day, kind in announced(before, previous):
            if day >= now.date() and (uid := _uid(before, day, kind)) not in new:
                event = _event(season, now, day, uid, "CANCELLED")
                event.add("summary", f"{kind}: nobody any more")
                calendar.add_component(event)
    return bytes(calendar.to_ical())


def entries(season: Season, now: datetime, since: datetime | None = None) -> list[Entry]:
    """Events from today on, by day; the overdue are due today."""
    groups: defaultdict[tuple[date, str], list[Prospect]] = defaultdict(list)
    for p in prospects(season, now, (), since):
        dark = p.forecast.dark_from
        if day := p.day(now.date()):
            groups[day, DUE].append(p)
            if dark and dark.date() >= now.date() and not p.pupa.darkening:
                groups[dark.date(), DARK].append(p)
    return [
        Entry(day, kind, tuple(sorted(about, key=lambda p: natural(p.pupa.id))))
        for (day, kind), about in sorted(groups.items(), key=lambda g: g[0])
    ]


def summary(entry: Entry, at: dict[str, str]) -> str:
    """``due: m1, m2 (north 36 cm, cork r2p5)``; of many their number."""
    names = [p.pupa.id for p in entry.about]
    word = entry.kind if entry.kind == DUE else "should darken"
    if len(names) > MOST_NAMES:
        return f"{word}: {count(len(names), 'pupa', 'pupae')}"
    return f"{word}: {ids(names)} ({', '.join(dict.fromkeys(at[n] for n in names))})"


def _line(text: str) -> str:
    """Without control characters, of which RFC 5545 allows a text none, and without other line ends."""
    return "".join(" " if category(c) in ("Cc", "Cs", "Zl", "Zp") else c for c in text)


def _here(season: Season, prospect: Prospect) -> str:
    return where(season, prospect.pupa.place, prospect.pupa.spot or "?")


def _lines(entry: Entry, at: dict[str, str]) -> Iterator[str]:
    for p in entry.about:
        chance = ""
        if entry.kind == DUE and p.emergence is not None:
            chance = f", {chance_text(p.emergence.chances([entry.day])[entry.day])} on this day"
        yield f"{p.pupa.id}, {at[p.pupa.id]}{chance}" + (", OVERDUE: look" if p.overdue else "")


def _event(season: Season, now: datetime, day: date, uid: str, status: str) -> Event:
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", _utc(season, now))
    event.add("sequence", int((now - _FIRST) / timedelta(minutes=1)))
    event.add("dtstart", day)
    event.add("dtend", day + timedelta(days=1))
    event.add("status", status)
    event.add("transp", "TRANSPARENT")  # it blocks nobody's day
    return event


def _alarm(rings: datetime, text: str) -> Alarm:
    """A text that is shown at a minute.

    The trigger is a minute in UTC, for one relative to the event counts from midnight of the time zone that
    the calendar is set to (RFC 5545, 3.8.6.3), and rings an hour off on a day on which clocks change. Its
    value type has to be named, the default being a duration.
    """
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", text)
    alarm.add("trigger", rings, {"VALUE": "DATE-TIME"})
    return alarm


def _utc(season: Season, local: datetime) -> datetime:
    return local.replace(tzinfo=ZoneInfo(season.timezone)).astimezone(UTC)


def _uid(own: str, day: date, kind: str) -> str:
    return f"{day:%Y%m%d}-{kind}-{own}@hangplan"


def by_name(season: Season) -> str:
    """An id made of a season's name: where none could be kept, and in files written before there was one."""
    return hashlib.sha256(season.name.encode()).hexdigest()[:12]


def announced(own: str, previous: bytes) -> list[tuple[date, str]]:
    """Days and kinds of the events of the season ``own`` that a file holds; none if it is not ours."""
    end = f"-{own}@hangplan"
    found = []
    try:
        for event in Calendar.from_ical(previous).walk("VEVENT") if previous else []:
            day, _, kind = str(event.get("uid")).removesuffix(end).partition("-")
            if str(event.get("uid")).endswith(end) and kind in _TEXT:
                found.append((datetime.strptime(day, "%Y%m%d").date(), kind))
    except (ValueError, LookupError, TypeError, AttributeError, RecursionError):
        return []  # damaged: the library lets through whatever its parts raise
    return sorted(found)
