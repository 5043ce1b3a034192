"""``add``: record pupae that have formed.

With ``--json``: ``{"added": [{"id", "species", "pupated", "place", "x", "y", "firm_from", "due", "low",
"high"}, ...], "known": [id, ...], "doubts": [text, ...], "dry_run": bool}``; x and y in cm, times local, null
where there is none. ``known`` are on record already. In a dry run the id is null.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from planner.cli.shell.add_words import Words, read_words
from planner.cli.shell.completion import complete_add
from planner.cli.shell.options import (
    ONE_LINE,
    Explain,
    Json,
    On,
    check_note,
    check_on,
    check_when,
    date_style,
    moment,
    read_point,
    read_when,
    this_year,
)
from planner.cli.shell.season_files import open_season, require_season
from planner.cli.shell.talk import command, tell, tell_paragraph, usage
from planner.record import sketched
from planner.record.match import sort_out
from planner.record.newcomers import Newcomer, record
from planner.record.own_table import OwnTable, Said, Talk
from planner.record.pupae_table import note_fits
from planner.record.redrawn import sort_drawn, typed_again
from planner.record.refusal import Refused
from planner.record.relisted import sort_listed
from planner.season.lists import foreign_table
from planner.season.reading.scalars import tidy
from planner.season.reading.told_dates import moment as moment_text
from planner.season.reading.typed_dates import read_typed
from planner.season.reading.when import When
from planner.season.season import Season
from planner.season.store import Store
from planner.season.store.disk import read_most
from planner.words import call, few_ids

STDIN = "-"
MOST = 5000  # pupae in one go; a larger count is a slip of the finger


@command
def add(
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="WORDS",
            help="How many, the lid, when, points such as 12,5; and the season if not the one you stand in.",
            show_default=False,
            autocompletion=complete_add,
        ),
    ] = None,
    lid: Annotated[
        str,
        typer.Option(
            "--lid", metavar="NAME", help="The lid on which they formed.", autocompletion=complete_add
        ),
    ] = "",
    pupated: Annotated[
        str | None,
        typer.Option(
            metavar="DATE",
            help="When: today, yesterday, 2027-07-03, or better 2027-07-03T14:30.",
            show_default="today",
        ),
    ] = None,
    prepupa: Annotated[bool, typer.Option("--prepupa", help="Still hanging in a J: no date yet.")] = False,
    number: Annotated[
        int | None,
        typer.Option("--count", metavar="N", help="How many.", show_default="one for each --at, or 1"),
    ] = None,
    at: Annotated[
        list[str] | None, typer.Option(metavar="X,Y", help="Where on the lid one hangs; once for each.")
    ] = None,
    sketch: Annotated[
        str, typer.Option(metavar="FILE", help="A lid drawn in letters and dots; - reads what is piped in.")
    ] = "",
    csv: Annotated[str, typer.Option("--csv", metavar="FILE", help="Your own table; - for a pipe.")] = "",
    columns: Annotated[
        str, typer.Option(metavar="NAMES", help="What its columns are: 'Date=pupated,Tub=place'; once.")
    ] = "",
    dates: Annotated[str, typer.Option(metavar="FORM", help="How its dates look: DD/MM/YYYY; once.")] = "",
    species: Annotated[
        str, typer.Option(metavar="NAME", help="Their species.", show_default="the season's")
    ] = "",
    note: Annotated[str, typer.Option(metavar="TEXT", help="Anything you want to keep.")] = "",
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Say what would be recorded, write nothing.")
    ] = False,
    anyway: Annotated[
        bool, typer.Option("--anyway", help="Record also who may be on record already.")
    ] = False,
    on: On = None,
    explain: Explain = False,
    json_form: Json = False,
) -> None:
    """Record pupae that have formed on a lid.

    Example: hangplan add 3 tub-2

    More: hangplan add tub-2 yesterday 12,5 14,5 (two, with where they hang); hangplan add --sketch lid.txt
    (a lid drawn in letters: docs/first-evening.md shows one); hangplan add --csv mine.csv --columns
    "Date=pupated,Tub=place" (told once, remembered).

    X is measured along the lid's width and Y along its length, in the season's unit. Nothing is written
    unless everything makes sense. Next: hangplan plan.
    """
    check_on(on)
    said = read_words(words or [], lid.strip(), this_year(on))
    _fits_together(said, sketch, csv, columns or dates, number, pupated, at or [], prepupa=prepupa)
    given = [*said.points, *(at or [])]
    date_text, said_by = (said.date, "") if pupated is None else (pupated, "--pupated")
    if date_text:
        check_when(said_by, date_text)
    asked = number if number is not None else said.count
    how_many = asked if asked is not None else max(1, len(given))
    if not (sketch or csv):
        _check_counts(said, how_many, len(given))
    check_note(note)

    folder = said.folder
    require_season(folder, this_year(on))

    from planner.cli.answers.add import report

    store = Store(folder)
    foreign = None
    with store.locked("add"):
        season = open_season(folder)
        now = moment(on, season)
        when = None if prepupa else read_when(said_by, date_text or "today", now, date_style(season))
        read_day = partial(read_typed, now=now, style=date_style(season))
        kind, text = species.strip().lower(), note.strip()
        if sketch:
            drawn = _bytes_of(sketch, sketched.LARGEST)
            plain = when or When(now.date())
            found = sketched.from_sketch(season, *drawn, said.lid, plain, kind, text, read_day)
        elif csv:
            listed = _bytes_of(csv, foreign_table.LARGEST)
            talk = Talk(tell, _confirm if csv != STDIN and sys.stdin.isatty() else None)
            foreign = OwnTable(season, *listed, Said(columns, dates), said.lid, talk, read_day)
            found = foreign.newcomers(said.lid, kind, text)
        else:
            points = [*_points(given, season), *[None] * (how_many - len(given))]
            found = [Newcomer(lid=said.lid, pupated=when, point=p, species=kind, note=text) for p in points]
        _check_notes(found)
        _not_to_come(found, now, clock="--on" if on is not None else f"time zone {season.timezone}")
        if not anyway and (questions := typed_again(season, found)):
            raise Refused(questions)
        if sketch:
            sorted_out = sort_drawn(season, found, anyway=anyway)
        elif foreign:
            sorted_out = sort_listed(season, found, foreign.before, anyway=anyway)
        else:
            sorted_out = sort_out(season, found)
        new = record(season, store, sorted_out.new, dry_run=dry_run) if sorted_out.new else []
        store.describe(f"add {few_ids([p.id for p in new])}")
    if foreign and not dry_run:  # only now is what they mean in the record
        foreign.remember([*(p.id for p in new), *sorted_out.known])
    for lid_name in dict.fromkeys(p.place for p in new):
        for sick in season.closing.get(lid_name, ())[:1]:
            tell_paragraph(f"lid {lid_name} is closed until it is cleaned: {sick.id} was sick there")
    report(season, new, sorted_out, now, dry_run=dry_run, explain=explain, json_form=json_form)


def _fits_together(
    said: Words,
    sketch: str,
    csv: str,
    for_csv: str,
    number: int | None,
    pupated: str | None,
    at: list[str],
    *,
    prepupa: bool,
) -> None:
    """Refuse what is said twice or makes no sense together."""
    if sketch and csv:
        usage("give either --sketch or --csv")
    if for_csv and not csv:
        usage("--columns and --dates say how to read a table: give it with --csv FILE")
    if (sketch or csv) and (number is not None or said.count is not None or at or said.points or prepupa):
        usage(f"{'--sketch' if sketch else '--csv'} says how many there are and where: leave that out here")
    if csv and (pupated is not None or said.date):
        usage("--csv: its own column says when: leave the date out here")
    if pupated is not None and said.date:
        usage(f"--pupated {pupated} and {said.date}: give one date")
    if number is not None and said.count is not None:
        usage(f"--count {number} and {said.count}: say once how many")
    if prepupa and (pupated is not None or said.date):
        usage("give either a date or, for one still hanging in a J, --prepupa")


def _check_counts(said: Words, how_many: int, points: int) -> None:
    if not said.lid:
        usage(f"which lid? Name it: {call('add', said.folder)} 3 tub-2")
    if not 1 <= how_many <= MOST:
        usage(f"--count: {how_many}: allowed is 1 to {MOST}")
    if points and points != how_many:
        usage(f"--at: given {points} times for --count {how_many}: give one point for each, or none")


def _points(given: list[str], season: Season) -> list[tuple[float, float] | None]:
    points: list[tuple[float, float] | None] = []
    for text in given:
        point = read_point("--at", text, season.units)
        if point in points:
            usage(f"--at: {tidy(point[0])},{tidy(point[1])} is given twice")
        points.append(point)
    return points


def _not_to_come(found: list[Newcomer], now: datetime, clock: str) -> None:
    later = [(n.source, n.pupated) for n in found if n.pupated is not None and n.pupated.earliest > now]
    faults = [
        f"{source or '--pupated'}: {when.told} is still to come: now is {moment_text(now)} ({clock})"
        for source, when in later
    ]
    if faults:
        raise Refused(list(dict.fromkeys(faults)))


def _bytes_of(name: str, largest: int) -> tuple[bytes, str]:
    """What a file holds, or what is piped in, and how to call it in messages."""
    if name == STDIN:
        return read_most(sys.stdin.buffer, largest), "stdin"
    with Path(name).open("rb") as file:
        return read_most(file, largest), name


def _confirm(columns: Mapping[str, str]) -> bool:
    """Ask whether columns mean what they were taken for."""
    for name, target in columns.items():
        typer.echo(f"  {name} = {target}", err=True)
    return typer.confirm("Is this what the columns mean?", default=True, err=True)


def _check_notes(found: Sequence[Newcomer]) -> None:
    """Refuse notes that are no line of text."""
    if bad := [n for n in found if not note_fits(n.note)]:
        raise Refused([f"{n.source}: note: {ONE_LINE}" for n in bad])
