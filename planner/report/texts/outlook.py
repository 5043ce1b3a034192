"""The weeks to come as a text: emergences, arrivals and free spots, a row for each day."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from itertools import takewhile

from planner.follow.outlook import Room, RoomOnDay
from planner.report.texts.sheet import Sheet, Table, Words
from planner.report.texts.shortage import mending, unhoused
from planner.report.texts.text import WIDTH
from planner.season.plan.plan_record import Plan
from planner.season.reading.told_dates import day_text, whole_day
from planner.season.season import Season
from planner.words import count

BAR, LEAST_BAR = 18, 6  # columns
FEW_ALIKE = 3  # rows, shown all the same
FULL = 79  # columns of the whole table
KEY = (
    "At most and at least: with a chance of 9 in 10 for each day. "
    "A spot is counted until its pupa's day of emergence has ended."
)
HEAD = ("", "emerge", "arrive", "needed", "at most", "free", "at least", "")


def sheet(season: Season, room: Room, plan: Plan | None = None, width: int = WIDTH) -> Sheet:
    """What is to come. ``plan``: the one in force, if any; where ``width`` is too small there are no bars."""
    first, last = room.days[0].day, room.days[-1].day
    told = [Words(line, tone="warn" if "run out" in line.lower() else "") for line in verdict(room)]
    told += [Words(line) for line in mending(season, room)]
    told += [] if plan is None else [Words(line) for line in unhoused(season, plan)]
    short = tuple(i for i, day in enumerate(room.days) if day.free_least < 0)
    key = KEY
    longest = BAR - max(0, FULL - width)
    rows = [(*_row(day), bar(day, longest)) for day in room.days]
    same = _alike_at_the_end(rows)
    rows = rows[: len(rows) - same]
    after = [Words(f"The {count(same, 'day')} after that are like the last one.")] if same else []
    if longest >= LEAST_BAR:
        table = Table(HEAD, rows, (0,), warn=short)
        key = f"Bar: # needed, + at most needed, . free{', ! too few' if short else ''}. {key}"
    else:
        table = Table(HEAD[:-1], [row[:-1] for row in rows], (0,), warn=short)
    title = Words(f"{season.name}: {day_text(first)} to {whole_day(last)}", tone="head")
    counted = Words(f"Counted: {room.counted}; of those expected, all once they are firm.")
    return Sheet.of([[title], told, [table, *after], [Words(key), counted]])


def _alike_at_the_end(rows: list[tuple[str, ...]]) -> int:
    """How many rows at the end say nothing new but their day; 0 where that is hardly worth a line."""
    last = rows[-1][1:]
    alike = list(takewhile(lambda row: row[1:] == last, reversed(rows)))
    return len(alike) - 1 if len(alike) > FEW_ALIKE else 0


def verdict(room: Room) -> Iterator[str]:
    """Whether spots run out, and when."""
    there = f"{count(room.spots, 'spot')} on lines and boards can be used."
    by_day = {d.day: d for d in room.days}
    if room.may_run_out is None:
        least = min(d.free_least for d in room.days)
        yield f"{there} They suffice: at least {least} stay free."
    if room.runs_out is not None:
        yield f"{there} They RUN OUT on {day_text(room.runs_out)}: {by_day[room.runs_out].needed:.0f} needed."
    if room.may_run_out is not None and room.may_run_out != room.runs_out:
        start = there + " They" if room.runs_out is None else "They"
        most = by_day[room.may_run_out].needed_most
        yield f"{start} may run out from {day_text(room.may_run_out)} on: up to {most} needed."
    if any(day.spots != room.spots for day in room.days):
        yield "Where clips slide, as many count as fit between those that hang: more once these are gone."
    yield "This counts spots; whether neighbours clash there, a plan tells."


def _row(day: RoomOnDay) -> tuple[str, ...]:
    return (
        day_text(day.day),
        f"{day.emerging:6.1f}",
        f"{day.arriving or '-':>6}",
        f"{day.needed:6.0f}",
        f"{day.needed_most:7}",
        f"{day.spots - round(day.needed):4}",
        f"{day.free_least:8}",
    )


def bar(day: RoomOnDay, longest: int = BAR) -> str:
    """``#####+++......``: what of all spots is needed; ends with ``!`` where that is more."""
    if not day.spots:
        return "!" if day.needed_most else ""
    sure, most = (min(longest, round(longest * n / day.spots)) for n in (day.needed, day.needed_most))
    drawn = "#" * sure + "+" * (most - sure) + "." * (longest - max(sure, most))
    return drawn[:-1] + "!" if day.free_least < 0 else drawn


def past_text(season: Season, room: Room) -> str:
    """Empty, or which of the expected should be recorded by now."""
    late = [e for e in season.still_expected(date.min) if e.pupating < room.days[0].day]
    if not late:
        return ""
    pupae = count(sum(e.count for e in late), "pupa", "pupae")
    last = max(e.pupating for e in late)
    return (
        f"{pupae} expected up to {day_text(last)} are not counted: record them with 'hangplan add', and take "
        "them out of season.yaml"
    )
