"""``add``: record pupae that have formed.

With ``--json``: ``{"added": [{"id", "species", "pupated", "place", "x", "y", "firm_from", "due", "low",
"high"}, ...]}``; x and y in cm, times local, null where there is none.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from planner.cli.new_rows import Newcomers, record
from planner.cli.options import Json, On, SeasonFolder, check_on, moment, read_point, read_when
from planner.cli.season_files import open_season, require_season
from planner.cli.talk import Refused, call, command, show, show_json, usage
from planner.season.fields import tidy
from planner.season.pupae import Pupa
from planner.season.season import Season
from planner.season.store import Store
from planner.season.when import When, day_text

MOST = 5000  # pupae in one go; a larger count is a slip of the finger
LONGEST_NOTE = 500


@command
def add(
    folder: SeasonFolder = Path(),
    lid: Annotated[str, typer.Option("--lid", metavar="NAME", help="The lid on which they formed.")] = "",
    pupated: Annotated[
        str | None, typer.Option(metavar="DATE", help="When: 2027-07-03, or better 2027-07-03T14:30.")
    ] = None,
    prepupa: Annotated[bool, typer.Option("--prepupa", help="Still hanging in a J: no date yet.")] = False,
    number: Annotated[
        int | None,
        typer.Option("--count", metavar="N", help="How many.", show_default="one for each --at, or 1"),
    ] = None,
    at: Annotated[
        list[str] | None, typer.Option(metavar="X,Y", help="Where on the lid one hangs; once for each.")
    ] = None,
    species: Annotated[
        str, typer.Option(metavar="NAME", help="Their species.", show_default="the season's")
    ] = "",
    note: Annotated[str, typer.Option(metavar="TEXT", help="Anything you want to keep.")] = "",
    on: On = None,
    json_form: Json = False,
) -> None:
    """Record pupae that have formed on a lid.

    Example: hangplan add --pupated 2027-07-03 --lid tub-2 --at 12,5 --at 14,5

    X is measured along the lid's width and Y along its length, in the season's unit. Nothing is written
    unless everything makes sense.
    """
    check_on(on)
    when = _when(pupated, prepupa)
    if not lid.strip():
        usage("--lid: is missing: name the lid on which they formed")
    given = at or []
    how_many = number if number is not None else max(1, len(given))
    if not 1 <= how_many <= MOST:
        usage(f"--count: {how_many}: allowed is 1 to {MOST}")
    if given and len(given) != how_many:
        usage(f"--at: given {len(given)} times for --count {how_many}: give one point for each, or none")
    if not note.isprintable() or len(note) > LONGEST_NOTE:
        usage(f"--note: write one line of at most {LONGEST_NOTE} visible characters")
    from planner.report.text import ids

    require_season(folder)
    store = Store(folder)
    with store.locked():
        season = open_season(folder)
        points = [read_point("--at", text, season.units) for text in given]
        for i, point in enumerate(points):
            if point in points[:i]:
                usage(f"--at: {tidy(point[0])},{tidy(point[1])} is given twice")
        now = moment(on, season)
        if when is not None and when.earliest > now:
            clock = "--on" if on is not None else f"time zone {season.timezone}"
            raise Refused([f"--pupated: {when} is still to come: now is {now:%Y-%m-%d %H:%M} ({clock})"])
        new = record(
            season,
            store,
            Newcomers(
                count=how_many,
                lid=lid,
                pupated=when,
                points=points,
                species=species.strip().lower(),
                note=note.strip(),
            ),
        )
        store.describe(f"add {ids(p.id for p in new)}")
    _report(season, new, now, json_form)


def _when(pupated: str | None, prepupa: bool) -> When | None:
    if prepupa == (pupated is not None):
        usage("give either --pupated DATE or, for one still hanging in a J, --prepupa")
    return None if pupated is None else read_when("--pupated", pupated)


def _report(season: Season, new: list[Pupa], now: datetime, json_form: bool) -> None:
    from dataclasses import replace

    from planner.emergence import assumption, forecasts
    from planner.report.text import count, ids, moment, paragraph

    found = forecasts(replace(season, pupae=tuple(new)), now)
    first = found[new[0].id]
    if json_form:
        show_json({"added": [_json(p, found[p.id]) for p in new]})
        return
    pupae = count(len(new), "pupa", "pupae")
    show(paragraph(f"recorded {pupae} on lid {new[0].place}: {ids(p.id for p in new)}"))
    if first.firm_from is None:
        show(paragraph(f"{first.why}; write its date into pupae.csv when the skin is shed"))
    elif first.firm_from > now:
        show(f"soft until {moment(first.firm_from)}: not to be touched before")
    else:
        show(f"firm since {moment(first.firm_from)}")
    if first.due:
        low, high = day_text(first.due.low.date()), day_text(first.due.high.date())
        show(f"due {day_text(first.due.day)}; 9 in 10 emerge from {low} to {high}")
        if first.due.high < now:
            show("that is past already: look at them, and whether the date is right")
        show(paragraph(f"reckoned with {assumption(season)}"))
    if first.note:
        show(paragraph(first.note))
    if new[0].x is None:
        show(paragraph("Without --at each counts as a neighbour of everybody on its lid."))
    show(f"Next: {call('plan', season.folder)}")


def _json(pupa: Pupa, forecast: Any) -> dict[str, Any]:
    due = forecast.due
    return {
        "id": pupa.id,
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
