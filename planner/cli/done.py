"""``done``: record which moves of the plan in force were carried out, or where a pupa hangs instead.

With ``--json``: ``{"done": [{"id", "place", "spot", "hung", "steps": [step, ...]}, ...], "remaining": [{"id",
"step", "place", "spot"}, ...], "empty_lids": [name, ...], "cautions": [text, ...], "clashes": [text, ...],
"problems": []}``. Places and spots as in pupae.csv; ``steps`` is empty with ``--to``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.shell.completion import complete_place, complete_pupa
from planner.cli.shell.date_words import date_apart
from planner.cli.shell.options import Json, On, check_on, moment, this_year, when_of
from planner.cli.shell.season_files import open_season, require_season
from planner.cli.shell.talk import command, tell_paragraph, usage
from planner.record.named_pupae import joined, named_pupae, pupae_at
from planner.record.pupae_table import unchanged_pupae
from planner.record.refusal import Refused
from planner.season import plan_file, settings, table
from planner.season.load import digest, read_bytes
from planner.season.places import Lid, fold
from planner.season.plan_record import Plan
from planner.season.problems import shorten
from planner.season.pupae import Pupa
from planner.season.record import read_record
from planner.season.scalars import parse_number
from planner.season.season import Season
from planner.season.store import Store
from planner.season.when import When
from planner.words import call

if TYPE_CHECKING:
    from planner.cli.plan_in_force import InForce
    from planner.follow.progress import Progress
    from planner.record.steps_done import Hung


NOT_NOW = "such a step would do harm by what is recorded now; if it was done, --anyway records it"


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
            help="Pupae, and the season if not the one you stand in.",
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

    More: hangplan done (all moves of the plan); hangplan done m3 --to north 36 (hung elsewhere than planned).

    It writes into pupae.csv where each hangs and since when: --on says it, or now. Nothing is written unless
    everything makes sense. Next: hangplan today.
    """
    from planner.cli.cleaned import not_cleaned
    from planner.cli.done_report import report
    from planner.follow.progress import Progress
    from planner.record.clashing import clashing_with

    words, on = date_apart(words or [], on)
    check_on(on)
    asked = understand(words, season_option, to, anyway)
    require_season(asked.season, this_year(on))
    store = Store(asked.season)
    with store.locked():
        season = open_season(asked.season)
        now = moment(on, season)
        when = when_of(on, now, season)
        before = unchanged_pupae(season)
        progress, hung = _found(season, asked, when.day.year)
        cautions = _cautions(season, hung, when, asked)
        closed = [text for h in hung if (text := not_cleaned(season, h))]
        data = _changed(season, hung, when, before)
        after = Progress(_judge(season, data, hung), progress.plan)
        store.describe(_what(asked, hung))
        store.write(table.FILE, data, expect=digest(before))
    if asked.to is None and not cautions and when.latest < progress.plan.on:
        made = f"{progress.plan.on:%Y-%m-%d %H:%M}"
        tell_paragraph(f"note: {when} is before the plan was made, {made}: is it the right day?")
    for text in closed:
        tell_paragraph(text)
    beside = clashing_with(after, hung[0].pupa, now) if asked.to else []
    report(progress, after, hung, when, cautions, json_form, beside)


def understand(words: Sequence[str], season: Path | None, to: tuple[str, str] | None, anyway: bool) -> Asked:
    """Part ``m1 m2 porch``: the last word is the season if it is a folder that holds one."""
    names = list(words)
    if names and ("/" in names[-1] or (Path(names[-1]) / settings.FILE).exists()):
        folder = Path(names.pop())
        if season is not None:
            usage(f"--season: the season is named twice: {folder} and {season}")
    else:
        folder = season or Path()
    for i, name in enumerate(names):
        if (Path(name) / settings.FILE).exists():
            rest = " ".join([*names[:i], *names[i + 1 :], name])
            usage(f"{name} is a season: here it is named last, hangplan done {rest}")
    names = joined(names)
    if twice := next((n for i, n in enumerate(names) if n.lower() in map(str.lower, names[:i])), ""):
        usage(f"{shorten(twice, 30)} is named twice")
    if to is not None and len(names) != 1:
        usage("--to: name the one pupa that hangs there: hangplan done m3 --to north 36")
    if to is not None and (Path(to[1]) / settings.FILE).exists():
        usage(f"--to wants PLACE and SPOT, and {to[1]} is a season: --to {to[0]} SPOT {to[1]}")
    return Asked(tuple(names), folder, to, anyway)


def _found(season: Season, asked: Asked, year: int) -> tuple[Progress, list[Hung]]:
    """Who is to be recorded where, or Refused with everything that speaks against it."""
    from planner.cli.harmful_steps import with_followers
    from planner.follow.progress import Progress
    from planner.record.steps_done import Hung, carried_out, no_spot_for, without_step

    named, problems = _named(season, asked.pupae, year)
    if asked.to is not None:
        if problems:
            raise Refused(problems)
        plan = plan_file.read(season.folder) or Plan(on=moment(None, season), gap_days=0, hangs=())
        place, spot = _spelled(season, *asked.to)
        hung = Hung(named[0], place, spot)
        if why := no_spot_for(season, hung):
            raise Refused([why])
        return Progress(season, plan), [hung]
    state = _plan(season, asked.anyway)
    progress = Progress(season, state.plan)
    refused_now = {} if asked.anyway else state.withheld
    if not asked.pupae:
        if not progress.to_do:
            every = (
                "all moves of the plan are carried out" if progress.plan.moves else "the plan moves nobody"
            )
            raise Refused([f"{every}: there is nothing to record"])
        dark = [] if asked.anyway else [n for n in progress.rest.movers if season.pupa[n].darkening]
        after_them = with_followers(progress.rest, dark)
        named = [n for n in progress.rest.movers if n not in {*refused_now, *dark, *after_them}]
        here = [] if season.folder == Path() else [str(season.folder)]
        for name in dark:
            tell_paragraph(
                f"note: {name} was seen darkening on {season.pupa[name].darkening}, so it is taken as not "
                f"moved; if it was, '{call('done', Path(), name, *here)}' records it"
            )
        if not named:
            raise Refused([*state.refused, NOT_NOW])
        for text in state.not_done() if refused_now else ():
            tell_paragraph(f"note: {text}")
    elif harmful := [name for name in named if name in refused_now]:
        told = [p for p in state.refused if any(name in p.what for name in harmful)] or state.refused
        raise Refused([*problems, *told, NOT_NOW])
    problems += [why for name in named if (why := without_step(progress, season.pupa[name]))]
    found, refused = carried_out(progress, named)
    if problems or refused:
        raise Refused([*problems, *refused])
    return progress, found


def _named(season: Season, names: Sequence[str], year: int) -> tuple[list[str], list[str]]:
    """Ids of those named, and what is wrong. A place stands for those whose moves begin there."""
    plan = plan_file.read(season.folder)
    moves = plan.moves if plan else ()
    here = pupae_at(season)
    movers = {move.pupa for move in moves}
    at = {place: [name for name in names if name in movers] for place, names in here.items()}
    named = named_pupae(season, names, {move.step: move.pupa for move in moves}, at, year, _gone)
    return [name for name in named.ids if season.pupa[name].present], list(named.problems)


def _gone(pupa: Pupa) -> Iterator[str]:
    if not pupa.present:
        ended = f" on {pupa.ended}" if pupa.ended else ""
        yield f"{pupa.id}: is recorded as {pupa.outcome}{ended}"


def _plan(season: Season, anyway: bool) -> InForce:
    """The plan in force, if what is left of it holds."""
    from planner.cli.plan_in_force import judge
    from planner.record.steps_done import elsewhere

    plan = plan_file.read(season.folder)
    if plan is None:
        to = f"{elsewhere(season.folder, 'PUPA')} records where one hangs"
        raise Refused([f"there is no plan yet: '{call('plan', season.folder)}' makes one; {to}"])
    state = judge(season, plan)
    if not anyway and (found := state.found):
        why = (
            "the plan in force does not hold any more. If its moves were carried out all the same, --anyway "
            f"records them; '{call('plan', season.folder)}' makes a new one"
        )
        raise Refused([*found, why])
    return state


def _spelled(season: Season, place: str, spot: str) -> tuple[str, str]:
    """Place and spot as they belong into pupae.csv; what is wrong with them is found in the would-be file."""
    found = next((p for p in season.places if fold(p.name) == fold(place.strip())), None)
    spot = spot.strip()
    if isinstance(found, Lid):
        numbers = [parse_number(part.strip()) for part in spot.split(",")]
        if spot != "?" and (len(numbers) != 2 or None in numbers):
            how = f"write x,y in {season.units}, or ? if not measured"
            usage(f"--to: '{shorten(spot)}': on lid {found.name} {how}")
    return (found.name if found else place.strip()), spot


def _cautions(season: Season, hung: Sequence[Hung], when: When, asked: Asked) -> list[str]:
    """Who was not to be touched at that time: refused, or told where it is to be recorded anyway."""
    from planner.emergence import forecasts
    from planner.record.steps_done import ANYWAY, forbidden

    pupae = [season.pupa[h.pupa] for h in hung]
    now = forecasts(replace(season, pupae=tuple(pupae)), when.latest)
    found = [text for p in pupae for text in forbidden(p, now.get(p.id), when)]
    if found and not asked.anyway:
        raise Refused([*found, ANYWAY])
    return found


def _changed(season: Season, hung: Sequence[Hung], when: When, before: bytes) -> bytes:
    """The file with the new rows. Columns that stay empty are not added to it."""
    from planner.record.steps_done import cells, formed

    known = table.read_table(before).at
    changes = {}
    for one in hung:
        new = cells(one, when, isinstance(season.place.get(one.place), Lid))
        new |= formed(season, season.pupa[one.pupa])
        changes[one.pupa] = {column: text for column, text in new.items() if text or column in known}
    return table.change(before, changes)


def _judge(season: Season, data: bytes, hung: Sequence[Hung]) -> Season:
    """The season with the new record.

    Refuses what would make that faulty: an unknown place or spot, or one that is taken.
    """
    from planner.emergence import known_species
    from planner.season.settings import read_settings
    from planner.season.validate import validate
    from planner.season.yaml_text import LARGEST

    known = frozenset(known_species())
    stated, report = read_settings(
        read_bytes(season.folder, settings.FILE, LARGEST) or b"", season.folder, known
    )
    would_be = read_record(data, season.cm_per_unit, season.species)
    problems = [*report.problems, *would_be.problems, *validate(stated, would_be, known)]
    names = {h.pupa for h in hung}
    told = [f"{p.where}: {p.what.partition(': ')[2] or p.what}" if p.where in names else p for p in problems]
    if told:
        raise Refused(dict.fromkeys(told))
    return replace(season, pupae=would_be.pupae)


def _what(asked: Asked, hung: Sequence[Hung]) -> str:
    from planner.words import few_ids

    to = f" --to {asked.to[0]} {asked.to[1]}" if asked.to else ""
    return f"done {few_ids([h.pupa for h in hung])}{to}"
