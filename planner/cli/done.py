"""``done``: record which moves of the plan in force were carried out, or where a pupa hangs instead.

With ``--json``: ``{"done": [{"id", "place", "spot", "hung", "steps": [step, ...]}, ...], "remaining": [{"id",
"step", "place", "spot"}, ...], "empty_lids": [name, ...], "cautions": [text, ...], "clashes": [text, ...],
"problems": []}``. Places and spots as in pupae.csv; ``steps`` is empty with ``--to``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from planner.cli.shell.completion import complete_place, complete_pupa
from planner.cli.shell.date_words import date_apart
from planner.cli.shell.options import Json, On, check_on, moment, this_year, when_of
from planner.cli.shell.season_files import open_season, require_season
from planner.cli.shell.season_word import season_apart
from planner.cli.shell.talk import command, tell_paragraph, usage
from planner.record.named_pupae import joined
from planner.record.pupae_table import unchanged_pupae
from planner.season import settings
from planner.season.load import digest
from planner.season.pupae import table
from planner.season.reading.problems import shorten
from planner.season.reading.told_dates import moment as moment_text
from planner.season.store import Store
from planner.words import few_ids


@dataclass(frozen=True)
class Asked:
    """What the command line says. ``pupae`` empty: all moves; ``to``: place and spot instead of planned."""

    pupae: tuple[str, ...]
    season: Path
    to: tuple[str, str] | None
    anyway: bool


@command
def done(
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="WORDS",
            help="Pupae or steps, and the season if not the one you stand in.",
            autocompletion=complete_pupa,
        ),
    ] = None,
    to: Annotated[
        tuple[str, str] | None,
        typer.Option("--to", metavar="PLACE SPOT", help="If not as planned.", autocompletion=complete_place),
    ] = None,
    anyway: Annotated[
        bool, typer.Option("--anyway", help="Record a move at a time when it was not to be touched.")
    ] = False,
    season_option: Annotated[
        Path | None,
        typer.Option("--season", metavar="FOLDER", help="The season's folder, if it is not the last word."),
    ] = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Record which moves of the plan were carried out.

    Example: hangplan done m3 m4 porch

    More: hangplan done (all moves of the plan); hangplan done step 1-5; hangplan done m3 --to north 36 (hung
    elsewhere than planned).

    It writes into pupae.csv where each hangs and since when: --on says it, or now. Nothing is written unless
    everything makes sense. Next: hangplan today.
    """
    words, on = date_apart(words or [], on)
    check_on(on)
    asked = understand(words, season_option, to, anyway)
    require_season(asked.season, this_year(on))

    from planner.cli.answers.done import report
    from planner.follow.progress import Progress
    from planner.record.apply import apply
    from planner.record.clashing import clashing_with
    from planner.record.cleaned import not_cleaned
    from planner.record.done import hung_as_planned, hung_elsewhere
    from planner.record.event import Moved

    store = Store(asked.season)
    with store.locked():
        season = open_season(asked.season)
        now = moment(on, season)
        when = when_of(on, now, season)
        before = unchanged_pupae(season)
        year = when.day.year
        if asked.to:
            progress, hung = hung_elsewhere(season, asked.pupae[0], asked.to, now, year)
        else:
            progress, hung = hung_as_planned(season, asked.pupae, year, tell_paragraph, anyway=anyway)
        closed = [text for h in hung if (text := not_cleaned(season, h))]
        events = [Moved(pupa=h.pupa, when=when, place=h.place, spot=h.spot, anyway=anyway) for h in hung]
        applied = apply(season, before, events)
        told, after = applied.cautions, Progress(applied.season, progress.plan)
        store.describe(_what(asked, [h.pupa for h in hung]))
        store.write(table.FILE, applied.data, expect=digest(before))
    if asked.to is None and not told and when.latest < progress.plan.on:
        made = moment_text(progress.plan.on)
        tell_paragraph(f"note: {when.told} is before the plan was made, {made}: is it the right day?")
    for text in closed:
        tell_paragraph(text)
    beside = clashing_with(after, [hung[0].pupa], now) if asked.to else []
    report(progress, after, hung, when, told, json_form, beside)


def understand(words: Sequence[str], season: Path | None, to: tuple[str, str] | None, anyway: bool) -> Asked:
    """Part ``m1 m2 porch``: the last word is the season if it is a folder that holds one."""
    names, folder = season_apart("done", words, season)
    names = joined(names)
    if twice := next((n for i, n in enumerate(names) if n.lower() in map(str.lower, names[:i])), ""):
        usage(f"{shorten(twice, 30)} is named twice")
    if to is not None and len(names) != 1:
        usage("--to: name the one pupa that hangs there: hangplan done m3 --to north 36")
    if to is not None and (Path(to[1]) / settings.FILE).exists():
        usage(f"--to wants PLACE and SPOT, and {to[1]} is a season: --to {to[0]} SPOT {to[1]}")
    return Asked(tuple(names), folder, to, anyway)


def _what(asked: Asked, names: Sequence[str]) -> str:
    to = f" --to {asked.to[0]} {asked.to[1]}" if asked.to else ""
    return f"done {few_ids(names)}{to}"
