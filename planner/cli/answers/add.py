"""What ``add`` says: who was recorded, until when they are soft, when they are due, what next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import groupby
from typing import Any

from planner.cli.shell.talk import show, show_json, show_paragraph, tell_paragraph
from planner.emergence import assumption, forecasts
from planner.record.match import Sorted
from planner.report.texts.sheet import Table
from planner.season.pupae import Pupa
from planner.season.reading.told_dates import day_told, since, until
from planner.season.season import Season
from planner.words import call, count, few_ids, ids

MOST_GROUPS = 12  # lines; more is no summary


def report(
    season: Season,
    new: Sequence[Pupa],
    found: Sorted,
    now: datetime,
    *,
    dry_run: bool,
    explain: bool,
    json_form: bool,
) -> None:
    """Tell what was recorded, or in a dry run what would be."""
    forecast = forecasts(replace(season, pupae=tuple(new)), now) if new else {}
    if json_form:
        added = [_json(p, forecast[p.id], dry_run=dry_run) for p in new]
        more = {"known": list(found.known), "doubts": list(found.doubts), "dry_run": dry_run}
        show_json({"added": added, **more})
        return
    _tell(season, new, found, forecast, now, dry_run=dry_run)
    if explain and new:
        show_paragraph(f"Dates are reckoned by temperature: {assumption(season)}.")


def _tell(
    season: Season,
    new: Sequence[Pupa],
    found: Sorted,
    forecast: Mapping[str, Any],
    now: datetime,
    *,
    dry_run: bool,
) -> None:

    for doubt in found.doubts:
        tell_paragraph(doubt, hang="")
    if found.known:
        show_paragraph(f"on record already, and left as they are: {few_ids(list(found.known))}", hang="")
    if not new:
        show("nobody new: nothing was written")
        show(f"Next: {call('plan', season.folder)}")
        return
    groups = [list(g) for _, g in groupby(new, key=lambda p: (p.place, p.species, p.pupated))]
    pupae, done = count(len(new), "pupa", "pupae"), "would record" if dry_run else "recorded"
    places = list(dict.fromkeys(p.place for p in new))
    where = f" on lid {places[0]}" if len(places) == 1 else f" on {len(places)} lids"
    show_paragraph(f"{done} {pupae}{where}" + ("" if dry_run else f": {_names(new)}"), hang="")
    if len(groups) == 1:
        _tell_one(season, forecast[new[0].id], now)
    else:
        _tell_many(groups, forecast, now, dry_run=dry_run)
    if any(p.x is None for p in new):
        show_paragraph(
            "Without a point such as 12,5 each counts as a neighbour of everybody on its lid.", hang=""
        )
    if dry_run:
        show("nothing was written: the same without --dry-run records them")
    else:
        show(f"Next: {call('plan', season.folder)}")


def _names(pupae: Sequence[Pupa]) -> str:
    return ids(p.id for p in pupae)


def _tell_one(season: Season, first: Any, now: datetime) -> None:
    if first.firm_from is None:
        command = call(f"mark {first.pupa} pupated", season.folder)
        show_paragraph(f"{first.why}: not to be touched; '{command}' once its skin is shed")
    elif first.firm_from > now:
        show(f"soft until {until(first.firm_from)}: not to be touched before")
    else:
        show(f"firm since {since(first.firm_from)}")
    if first.due:
        low, high = day_told(first.due.low.date()), day_told(first.due.high.date())
        show(f"due {day_told(first.due.day)}; 9 in 10 emerge from {low} to {high}")
        if first.due.high < now:
            show("that is past already: look at them, and whether the date is right")
    if first.note:
        show_paragraph(first.note, hang="")


def _tell_many(
    groups: Sequence[Sequence[Pupa]],
    forecast: Mapping[str, Any],
    now: datetime,
    *,
    dry_run: bool,
) -> None:
    """A line for those of one lid and date; soft ones, the past and notes said once."""
    by_date: dict[tuple[object, ...], list[Pupa]] = {}
    for group in groups:
        by_date.setdefault((group[0].place, group[0].species, group[0].pupated), []).extend(group)
    rows = []
    for group in list(by_date.values())[:MOST_GROUPS]:
        first = forecast[group[0].id]
        if first.firm_from is None:
            hand = "not to be touched"
        else:
            soft = first.firm_from > now
            hand = f"soft until {until(first.firm_from)}" if soft else f"firm since {since(first.firm_from)}"
        due = f"due {day_told(first.due.day)}" if first.due else "no date yet"
        names = str(len(group)) if dry_run else _names(group)
        rows.append((names, group[0].place, hand, due))
    show(Table(("",) * 4, rows, flexible=(0, 1), indent="  "))
    if (more := len(by_date) - MOST_GROUPS) > 0:
        show(f"  and {count(more, 'more date', 'more dates')}")
    if past := [p.id for g in by_date.values() for p in g if (d := forecast[p.id].due) and d.high < now]:
        what = count(len(past), "pupa is", "pupae are")
        show_paragraph(f"{what} past the time already: look at them, and whether the date is right", hang="")
    for text in dict.fromkeys(f.note for f in forecast.values() if f.note):
        show_paragraph(text, hang="")


def _json(pupa: Pupa, forecast: Any, *, dry_run: bool) -> dict[str, Any]:
    due = forecast.due
    return {
        "id": None if dry_run else pupa.id,
        "species": pupa.species,
        "pupated": None if pupa.pupated is None else str(pupa.pupated),
        "place": pupa.place,
        "x": pupa.x,
        "y": pupa.y,
        "firm_from": forecast.firm_from and forecast.firm_from.isoformat(),
        "due": due and due.median.isoformat(timespec="minutes"),
        "low": due and due.low.isoformat(timespec="minutes"),
        "high": due and due.high.isoformat(timespec="minutes"),
    }
