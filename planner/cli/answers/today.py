"""What ``today`` answers: the day sheet, or its page for the wall."""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path
from typing import Any

from planner.cli.shell.reports import show_report, show_report_json
from planner.cli.shell.talk import show
from planner.cli.shell.terminal import is_terminal
from planner.emergence import temperature_notes
from planner.follow.day import LEAST, Day, firm_since_text
from planner.follow.in_force import plan_that_holds
from planner.follow.prospects import Prospect
from planner.record.cleaned import closed_note
from planner.record.still_to_come import not_yet
from planner.report.texts import day_sheet
from planner.report.texts.later_evenings import evening_words
from planner.season.reading.told_dates import day_text, day_told, since
from planner.season.season import Season
from planner.season.store import write_output
from planner.words import call, count, few_ids, ids, natural


def answer(
    season: Season,
    now: datetime,
    since: datetime,
    path: Path | None,
    paper: str,
    *,
    everything: bool,
    explain: bool,
    json_form: bool,
) -> None:
    """Show the day sheet, or write it to ``path``. ``since``: all were still hanging then."""
    plan, why_not = plan_that_holds(season)
    day = Day(season, now, plan, since)
    late = day.too_late
    dark = f"too late to be moved as planned, may be darkening: {ids(late)}" if late else ""
    if plan is not None and (stuck := day.clash_for_good):
        pairs = ", ".join(f"{a} and {b}" for a, b in (sorted((c.a, c.b), key=natural) for c in stuck))
        again = f"'{call('plan', season.folder)}' makes a new one"
        dark = "; ".join(text for text in (dark, f"so these clash where they hang: {pairs}", again) if text)
    notes = [
        not_yet(season, now),
        *temperature_notes(season, now),
        str(why_not or ""),
        dark,
        _waits(day),
        _later(day),
        firm_since_text(day),
    ]
    notes = [text for text in notes if text and day.all]
    notes += closed_note(season)
    if path is not None:
        write_output(path, _page(day, paper))
    if json_form:
        show_report_json(season, _json(day), notes, path)
    else:
        notes = [f"note: {text}" for text in notes]
        sheet = day_sheet.sheet(day, everything, notes, explain=explain)
        if not everything and not explain:
            sheet = sheet.within(ruled=is_terminal(sys.stdout))
        show_report(season, sheet, (), path, explain=explain)


def show_brief(season: Season, now: datetime, since: datetime) -> None:
    """Show the day in one line: who may emerge, who is overdue, how many can be moved, what else to know."""
    plan, why_not = plan_that_holds(season)
    day = Day(season, now, plan, since)
    may = [p.pupa.id for p in day.due if p.chances[day.today] >= LEAST]
    movers = {move.pupa for move, _ in day.moves}
    told = [
        f"may emerge today: {ids(may)}" if may else "nobody is likely to emerge today",
        f"overdue, look at: {ids(p.pupa.id for p in day.overdue)}" if day.overdue else "",
        f"to be moved now: {count(len(movers), 'pupa', 'pupae')}" if movers else "",
        f"too late to be moved: {ids(day.too_late)}" if day.too_late else "",
        f"{count(len(plan.clashes), 'clash', 'clashes')} to watch" if plan and plan.clashes else "",
        f"plan again: '{call('plan', season.folder)}'" if plan and why_not else "",
    ]
    show(f"{season.name}, {day_text(now.date())}: {'; '.join(text for text in told if text)}")


def _waits(day: Day) -> str:
    """Empty, or whom the plan leaves on their lids without a spot, and when to plan again."""
    firm = {p.pupa.id for p in day.movable}
    waits = [one for one in (day.plan.put_off if day.plan else ()) if one.pupa in firm]
    if not waits or day.plan is None:
        return ""
    who, until = ids([one.pupa for one in waits]), min(one.until for one in waits)
    when = "now" if until <= day.now else f"on {since(until)}"
    how = ("--wait",) if day.plan.evenings == 2 else ("--evenings", str(day.plan.evenings))
    again = f"'{call('plan', day.season.folder, *how)}' finds out {when} whether there is a spot"
    return f"left on their lids for now: {who}; {again}"


def _later(day: Day) -> str:
    """Empty, or who is to be hung this evening by a plan made before, or else on the next evening to come."""
    if day.plan is None or not (later := day.later):
        return ""
    if come := day.to_hang_today:
        who = few_ids([one.who for one in come])
        return f"to be hung today by the plan: {who}; '{call('plan', day.season.folder)}' makes the steps"
    first = later[0].since.date()
    evening = [one for one in later if one.since.date() == first]
    return f"planned for {day_told(first)}: {evening_words(day.plan, evening)}"


def _page(day: Day, paper: str) -> bytes:
    from planner.cli.answers.paper import day_words  # matplotlib: only where a page is asked for
    from planner.draw.sheets.day_sheet import day_page

    return day_page(*day_words(day), paper)


def _json(day: Day) -> dict[str, Any]:
    to = {m.pupa: {"place": m.to_place, "spot": m.to_spot, "step": m.step} for m, _ in day.moves}
    return {
        "on": day.now.isoformat(),
        "expected": {"today": day.expected(day.today), "tomorrow": day.expected(day.tomorrow)},
        "due": [_pupa(day, p) for p in day.due],
        "overdue": [{**_pupa(day, p), "by": _iso(p.by)} for p in day.overdue],
        "movable": [
            {**_pupa(day, p), "until": _iso(p.forecast.dark_from), "to": to.get(p.pupa.id)}
            for p in day.movable
        ],
        "untouched": [
            {**_pupa(day, p), "why": why} for why, group in day.untouched.items() for p in group
        ],
    }  # fmt: skip


def _pupa(day: Day, prospect: Prospect) -> dict[str, Any]:
    pupa, due = prospect.pupa, prospect.forecast.due
    known = prospect.emergence is not None
    return {
        "id": pupa.id,
        "species": pupa.species,
        "place": pupa.place,
        "spot": pupa.spot,
        "x": pupa.x,
        "y": pupa.y,
        "due": due and due.median.isoformat(timespec="minutes"),
        "half": [_iso(end) for end in due.half] if due and due.half else None,
        "today": prospect.chances[day.today] if known else None,
        "tomorrow": prospect.chances[day.tomorrow] if known else None,
    }


def _iso(when: datetime | None) -> str | None:
    return when.isoformat(timespec="minutes") if when else None
