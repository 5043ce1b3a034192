"""The sections of a day: who is due, overdue, to be moved and not to be touched."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, datetime, time

from planner.follow.day import Day
from planner.follow.prospects import Prospect
from planner.report.texts.moves import urgent, urgent_rows
from planner.report.texts.pairs import no_date
from planner.season.places import Lid
from planner.season.pupae import Pupa
from planner.season.reading.scalars import tidy
from planner.season.reading.told_dates import clock, day_month, whole_day
from planner.season.season import Season
from planner.section import Section
from planner.words import count, ids, last_moment, natural, percent, where

NONE, ONE = 0.05, 0.75  # expected numbers told as none, and as perhaps one
MOST_NAMES, LONGEST = 30, 240  # in one cell, likewise, where all would take more letters than that
LOOK = (
    "Look without touching. Colours through the skin: it lives and is late; is it cooler than stated, or the "
    "date wrong? Black without a wing pattern, sunken, leaking, a hole or a smell: record it as failed or "
    "parasitised, set it apart, wash your hands."
)


def hangs(season: Season, pupa: Pupa) -> str:
    """Where it is by the record: ``north 36 cm``, ``tub-2 at 12.5,15.5``."""
    if not isinstance(season.place[pupa.place], Lid):
        return where(season, pupa.place, pupa.spot or "?")
    if pupa.x is None or pupa.y is None:
        return pupa.place
    return f"{pupa.place} at {tidy(pupa.x / season.cm_per_unit)},{tidy(pupa.y / season.cm_per_unit)}"


def chance_text(chance: float) -> str:
    """``62 %``; never 0 or 100, for nothing is certain here."""
    return "<1 %" if chance < 0.01 else ">99 %" if chance > 0.99 else percent(chance)


def title(day: Day) -> str:
    """``Back porch: Wed 14 Jul 2027``."""
    return f"{day.season.name}: {whole_day(day.today)}"


def summary(day: Day) -> str:
    """How many there are, how many will emerge, and whether any is to be moved."""
    if not day.all:
        return "No pupa is present."
    today, tomorrow = day.expected(day.today), day.expected(day.tomorrow)
    emerging = f"{expected(today, 'today')}, {expected(tomorrow, 'tomorrow')}"
    if max(today, tomorrow) < NONE:
        emerging = expected(0, "today or tomorrow")
    told = [count(len(day.all), "pupa", "pupae"), emerging[0].upper() + emerging[1:]]
    if come := day.to_hang_today:
        told.append(f"{len(come)} to be hung today")
    elif day.plan is not None and day.movable and not day.moves:
        told.append("The plan asks for no move now")
    return ". ".join(told) + "."


def expected(number: float, when: str) -> str:
    """``none expected today``, ``about 3 today``: no more precise than an expected number is."""
    if number < NONE:
        return f"none expected {when}"
    return f"perhaps one {when}" if number < ONE else f"about {number:.0f} {when}"


def sections(day: Day, most: int | None = MOST_NAMES) -> list[Section]:
    """Everything there is to do and to know, without empty sections. ``most``: names in one cell."""
    return [s for s in every_section(day, most) if s.rows or s.note]


def every_section(day: Day, most: int | None) -> tuple[Section, ...]:
    """All of them in their order, the empty ones too: due first, not to be touched last."""
    return (
        _due(day),
        _overdue(day),
        _movable(day, most),
        _clashes(day),
        _left(day, most),
        _untouched(day, most),
    )


def _due(day: Day) -> Section:
    heading = "Due today or tomorrow"
    if not day.due:
        return Section(heading, "None expected." if day.all else "", (), ())
    head = ("pupa", "hangs", "today", "tomorrow", "due")
    rows = [(p.pupa.id, hangs(day.season, p.pupa), *_chances(day, p), _tag(p)) for p in day.due]
    return Section(heading, _given(day), *_with_darkening(head, rows, day.due), ("dark", "out"))


def _given(day: Day) -> str:
    """On what the chances rest: on nobody having been out by then."""
    since = day.since or day.now
    then = (
        "when the day began" if since == datetime.combine(day.today, time()) else f"at {clock(since.time())}"
    )
    return f"Chances hold if it was not out {then}."


def halves(day: Day) -> str:
    """Between which days half of the pupae like each one due emerge; empty where darkening was seen."""
    alike = defaultdict[tuple[date, date], list[str]](list)
    for prospect in day.due:
        due = prospect.forecast.due
        if due is not None and due.half is not None and not prospect.pupa.darkening:
            alike[due.half[0].date(), due.half[1].date()].append(prospect.pupa.id)
    told = []
    for (first, last), names in sorted(alike.items()):
        when = f"on {day_month(first)}" if first == last else f"from {day_month(first)} to {day_month(last)}"
        told.append(f"Half of the pupae like {ids(names)} emerge {when}.")
    return " ".join(told)


def _with_darkening(
    head: tuple[str, ...], rows: Sequence[tuple[str, ...]], whose: Sequence[Prospect]
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Add a column that says when darkening was seen, if it was in any of them."""
    if not any(p.pupa.darkening for p in whose):
        return head, tuple(rows)
    return (*head, "darkening"), tuple((*row, _seen(p)) for row, p in zip(rows, whose, strict=True))


def _chances(day: Day, prospect: Prospect) -> tuple[str, str]:
    return (
        f"{chance_text(prospect.chances[day.today]):>5}",
        f"{chance_text(prospect.chances[day.tomorrow]):>8}",
    )


def _tag(prospect: Prospect) -> str:
    return day_month(prospect.forecast.due.day if prospect.forecast.due else None)


def _seen(prospect: Prospect) -> str:
    seen = prospect.pupa.darkening
    if seen is None:
        return ""
    return seen.told


def _overdue(day: Day) -> Section:
    head = ("pupa", "hangs", "due", "19 in 20 by")
    rows = [(p.pupa.id, hangs(day.season, p.pupa), _tag(p), day_month(p.by)) for p in day.overdue]
    note = LOOK if rows else ""
    return Section(f"Overdue: {len(rows)}", note, *_with_darkening(head, rows, day.overdue), ("looked",))


def _movable(day: Day, most: int | None) -> Section:
    if day.plan is not None:
        parks, goes_on = day.plan.goes_on, day.plan.goes_on.values()
        moves = tuple(
            (
                str(m.step),
                m.pupa,
                hangs(day.season, p.pupa)
                if m.step not in goes_on
                else where(day.season, m.from_place, m.from_spot),
                where(day.season, m.to_place, m.to_spot) + (" (park)" if m.step in parks else ""),
                last_moment(m.not_after, day.now),
            )
            for m, p in day.moves
        )
        if not moves:
            return _NOTHING
        head = ("step", "pupa", "hangs", "to", "before")
        pupae = count(len({m.pupa for m, _ in day.moves}), "pupa", "pupae")
        due = [m for m, _ in day.moves]
        title, note, hurry = (
            f"Move now, in this order: {pupae}",
            urgent(due, day.now),
            urgent_rows(due, day.now),
        )
        return Section(title, note, head, moves, ("moved",), (2, 3), 1, hurry)
    groups: defaultdict[tuple[str, str], list[str]] = defaultdict(list)
    for p in day.waiting:
        groups[p.pupa.place, _before(p, day.now)].append(p.pupa.id)
    rows = tuple((_some(names, most), place, until) for (place, until), names in groups.items())
    note = "They are firm and not darkening. A plan says who must be moved, and where to." if rows else ""
    title = f"May be moved now: {count(len(day.waiting), 'pupa', 'pupae')}"
    return Section(title, note, ("pupae", "hang", "before"), rows, ("moved",), (0,))


def _clashes(day: Day) -> Section:
    """Pairs that the plan could not part: who is there when one emerges can help."""
    plan = day.plan
    if plan is None or not plan.clashes:
        return _NOTHING
    due = {h.pupa: day_month(h.due) if h.due else "no date" for h in plan.hangs}
    pairs = [sorted((c.a, c.b), key=natural) for c in plan.clashes]
    rows = tuple((a, due.get(a, "?"), b, due.get(b, "?")) for a, b in sorted(pairs, key=_natural_pair))
    title, undated = f"Clashes to watch: {count(len(rows), 'pair')}", plan.undated(plan.clashes)
    known = any(not {c.a, c.b} & {*undated} for c in plan.clashes)
    notes = [f"They are {plan.near(plan.clashes)}."] if known else []
    note = " ".join([*notes, *([no_date(undated)] if undated else [])])
    return Section(title, note, ("pupa", "due", "pupa", "due"), rows, ("looked",), ())


def _natural_pair(pair: Sequence[str]) -> list[object]:
    return [natural(name) for name in pair]


def _left(day: Day, most: int | None) -> Section:
    """Who has no spot yet but must leave its lid; those not to be touched are only counted here."""
    left = day.plan.left if day.plan else ()
    if not left:
        return _NOTHING
    movable, planned = {p.pupa.id for p in day.movable}, {one.who for one in day.later}
    evening, firm, since = movable & planned, movable - planned, set(day.firm_since)
    told = [
        text.format(_some(names, most))
        for text, names in (
            ("No spot by the plan for {}.", [name for name in left if name in firm - since]),
            ("Firm only since the plan was made: {}.", [name for name in left if name in since]),
            ("To be hung on their evening: {}.", [name for name in left if name in evening]),
        )
        if names
    ]
    if later := len([name for name in left if name not in firm | evening]):
        who = ("It" if later == 1 else "They") if later == len(left) else count(later, "pupa", "pupae")
        told.append(f"{who} cannot be moved now.")
    return Section(f"Left on lids to be cleared: {count(len(left), 'pupa', 'pupae')}", " ".join(told), (), ())


_NOTHING = Section("", "", (), ())


def _before(prospect: Prospect, now: datetime) -> str:
    dark = prospect.forecast.dark_from
    return last_moment(dark, now) if dark else "?"


def _untouched(day: Day, most: int | None) -> Section:
    rows = tuple((why, _some([p.pupa.id for p in group], most)) for why, group in day.untouched.items())
    number = sum(map(len, day.untouched.values()))
    return Section(f"Do not touch: {number}", "", ("why", "pupae"), rows, (), (1,), 1)


def _some(names: Sequence[str], most: int | None) -> str:
    """Name them, or where that is long the first and how many more."""
    text = ids(names)
    if most is None or len(text) <= LONGEST:
        return text
    first = sorted(names, key=natural)[:most]
    more = len(names) - len(first)
    return ids(first) + (f" and {more} more" if more else "")
