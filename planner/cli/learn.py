"""``learn``: what the season's own emergences teach, and putting that into force when the keeper says so.

With ``--json``: see `planner.cli.learning_outputs.show_learned_json`; with ``--history`` as well
``{"history": [entry, ...]}``, each entry as it stands in learned.yaml.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.drawings import MAP_FORMATS, Output
from planner.cli.learning_outputs import drawing, plain, show_learned_json
from planner.cli.shell.options import Json, On, SeasonFolder, check_on, moment, output_file
from planner.cli.shell.season_files import open_season, stale, stale_text
from planner.cli.shell.talk import command, show, show_json, show_paragraph, shown, tell_paragraph, usage
from planner.record.refusal import DONE, Refused
from planner.season import plan_file
from planner.season.load import LEARNED
from planner.season.problems import FaultyFiles
from planner.season.season import Season
from planner.season.store import write_output
from planner.words import call

if TYPE_CHECKING:
    from planner.emergence import Learned  # at run time numpy comes with it, for which --help does not wait


@command
def learn(
    folder: SeasonFolder = Path(),
    species: Annotated[
        list[str] | None, typer.Option(metavar="NAME", help="Only this one; may be given again.")
    ] = None,
    accept: Annotated[
        bool, typer.Option("--accept", help=f"Put the learned values into force: write {LEARNED}.")
    ] = False,
    yes: Annotated[bool, typer.Option("--yes", help="Accept also what may be chance, unasked.")] = False,
    history: Annotated[bool, typer.Option("--history", help="Show what was ever accepted.")] = False,
    everything: Annotated[bool, typer.Option("--all", help="Show all rows of the tables.")] = False,
    output: Output = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Compare forecasts with records; show how long it takes here.

    Example: hangplan learn porch -o learned.png

    More: hangplan learn --species monarch; hangplan learn --accept; hangplan learn --history.

    Nothing changes unless --accept is given. Where the forecasts got no better by more than chance, that
    asks; without a terminal it needs --yes, or ends with 2. With -o it draws forecasts against records,
    before and after learning: .png, .svg or .pdf. Next: hangplan plan, once it is accepted.
    """
    check_on(on)
    if history and (accept or output or species):
        usage("give --history alone: it shows everything that was ever accepted")
    if yes and not accept:
        usage("--yes: it is for --accept, which puts the learned values into force")
    path, fmt = (None, "") if output is None else output_file(output, output, MAP_FORMATS)
    season = open_season(folder)
    if history:
        _history(season, json_form)
        return
    now = moment(on, season)
    found = _learned(season, now, species or [])
    if accept and not yes:
        _ask(season, folder, found)
    if path is not None:
        write_output(path, drawing(season, found, fmt))
    files = [] if path is None else [path]
    accepted, already = _accept(season, found, now) if accept else ([], [])
    if json_form:
        show_learned_json(season, found, now, accepted, [*files, *([folder / LEARNED] if accepted else [])])
        return
    from planner.report.texts.learning import sheet

    show(sheet(season, found, now, everything))
    for file in files:
        show(f"wrote {shown(file)}")
    if accept:
        _show_accepted(season, accepted, already)
    elif any(not _in_force_already(season, x) for x in found):
        how = f"'{call('learn', folder, '--accept')}' puts the learned values into force"
        show_paragraph(f"Nothing was changed: {how}.", hang="")


def _learned(season: Season, now: datetime, names: Sequence[str]) -> list[Learned]:
    from planner.emergence import learn as learn_from

    wanted = {name.strip().lower() for name in names}
    recorded = {p.species for p in season.pupae}
    if unknown := sorted(wanted - recorded):
        usage(f"--species: no {' and no '.join(unknown)} is recorded; there are {_and(sorted(recorded))}")
    return [x for x in learn_from(season, now) if not wanted or x.species in wanted]


def _and(names: Sequence[str]) -> str:
    return ", ".join(names) or "no pupae"


def _accept(season: Season, found: Sequence[Learned], now: datetime) -> tuple[list[str], list[str]]:
    """Names of the species accepted, and of those whose values were in force already."""
    from planner.emergence import accept as accept_all

    if not found:
        raise Refused(["there is nothing to accept: no emergence is recorded that can be used"])
    problems = [f"{x.species}: would not come into force: {x.overruled}" for x in found if x.overruled]
    if problems:
        raise Refused([*problems, "nothing was accepted; --species NAME accepts another one alone"])
    already = [x.species for x in found if _in_force_already(season, x)]
    accept_all(season.folder, found, now.date(), season)
    return [x.species for x in found if x.species not in already], already


def _ask(season: Season, folder: Path, found: Sequence[Learned]) -> None:
    """Ask before values are put into force whose forecasts are better by no more than chance, or worse."""
    from planner.report.texts.judgement import within_noise

    doubtful = [x.species for x in found if not x.overruled and not _in_force_already(season, x)]
    doubtful = [x.species for x in found if x.species in doubtful and within_noise(season, x)]
    if not doubtful:
        return
    why = f"{_and(doubtful)}: the records do not show that the learned values forecast better"
    if not sys.stdin.isatty():
        usage(f"{why}; '{call('learn', folder, '--accept', '--yes')}' accepts them all the same")
    if not typer.confirm(f"{why}. Accept them all the same?", default=False, err=True):
        raise Refused(["nothing was accepted"], DONE)


def _in_force_already(season: Season, found: Learned) -> bool:
    from planner.emergence.learned_file import in_force
    from planner.report.texts.learning import same_values

    entry = in_force(season.folder, found.species)
    return entry is not None and same_values(entry, found)


def _show_accepted(season: Season, accepted: Sequence[str], already: Sequence[str]) -> None:

    if already:
        show(f"in force already: {_and(already)}")
    if not accepted:
        return
    wrote = f"wrote {shown(season.folder / LEARNED)}"
    show_paragraph(f"accepted, and in force from now on: {_and(accepted)}; {wrote}")
    try:
        plan = plan_file.read(season.folder)
    except FaultyFiles as e:  # what was accepted stays accepted: this is told besides
        again = f"'{call('plan', season.folder)}' makes a new one"
        tell_paragraph(f"note: {e.problems[0]}; the plan in force cannot be read: {again}")
        return
    after = open_season(season.folder)
    if plan is not None and (files := stale(after, plan)):
        tell_paragraph(stale_text(season, files))


def _history(season: Season, json_form: bool) -> None:
    from planner.emergence.learned_file import read

    entries = read(season.folder)
    if json_form:
        show_json({"history": [plain(asdict(e)) for e in entries]})
        return
    from planner.report.texts.learning import history

    show(history(entries))
