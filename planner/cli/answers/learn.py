"""What ``learn`` answers, and what it puts into force when the keeper says so."""

from __future__ import annotations

import math
import sys
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import date, datetime
from pathlib import Path
from typing import Any

import typer

from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import show, show_json, show_paragraph, shown, tell_paragraph, usage
from planner.emergence import (
    Accuracy,
    Due,
    Learned,
    assumption,
    earlier_seasons,
    forget,
    learn,
    learned_file,
    stated_profile,
)
from planner.emergence import accept as accept_learned
from planner.emergence.prior import Summary
from planner.follow.changed_files import stale, stale_text
from planner.record.refusal import DONE, Refused
from planner.report.texts.judgement import covered_if_right, few, gain, pace, spans, within_noise
from planner.report.texts.learning import history, same_values, sheet
from planner.report.texts.learning_levels import levels, taught_species
from planner.season.load import LEARNED
from planner.season.plan import plan_file
from planner.season.reading.problems import FaultyFiles
from planner.season.season import Season
from planner.season.store import write_output
from planner.words import call

ACCURACY = ("error", "covered", "covered_if_right")


def answer(
    season: Season,
    now: datetime,
    species: Sequence[str],
    path: Path | None,
    fmt: str,
    *,
    accept: bool,
    yes: bool,
    everything: bool,
    json_form: bool,
) -> None:
    """Show what is learned of these species (none named: all), draw it to ``path``, accept it if asked."""
    found = _learned(season, now, species)
    if accept and not yes:
        _ask(season, found)
    if path is not None:
        from planner.cli.answers.learned_plot import drawing  # matplotlib: only where it is drawn

        write_output(path, drawing(season, found, fmt))
    files = [] if path is None else [path]
    accepted, already = _accept(season, found, now) if accept else ([], [])
    if json_form:
        _show_json(season, found, now, accepted, [*files, *([season.folder / LEARNED] if accepted else [])])
        return

    show(sheet(season, found, now, everything))
    for file in files:
        show(f"wrote {shown(file)}")
    if accept:
        _show_accepted(season, accepted, already)
    elif any(not _in_force_already(season, x) for x in found):
        how = f"'{call('learn', season.folder, '--accept')}' puts the learned values into force"
        show_paragraph(f"Nothing was changed: {how}.", hang="")


def _learned(season: Season, now: datetime, names: Sequence[str]) -> list[Learned]:
    wanted = {name.strip().lower() for name in names}
    recorded = {p.species for p in season.pupae}
    if unknown := sorted(wanted - recorded):
        usage(f"--species: no {' and no '.join(unknown)} is recorded; there are {_and(sorted(recorded))}")
    return [x for x in learn(season, now) if not wanted or x.species in wanted]


def _and(names: Sequence[str]) -> str:
    return ", ".join(names) or "no pupae"


def _accept(season: Season, found: Sequence[Learned], now: datetime) -> tuple[list[str], list[str]]:
    """Names of the species accepted, and of those whose values were in force already."""
    if not found:
        raise Refused(["there is nothing to accept: no emergence is recorded that can be used"])
    problems = [f"{x.species}: would not come into force: {x.overruled}" for x in found if x.overruled]
    if problems:
        raise Refused([*problems, "nothing was accepted; --species NAME accepts another one alone"])
    already = [x.species for x in found if _in_force_already(season, x)]
    accept_learned(season.folder, found, now.date(), season)
    return [x.species for x in found if x.species not in already], already


def _ask(season: Season, found: Sequence[Learned]) -> None:
    """Ask before values are put into force whose forecasts are better by no more than chance, or worse."""
    doubtful = [x.species for x in found if not x.overruled and not _in_force_already(season, x)]
    doubtful = [x.species for x in found if x.species in doubtful and within_noise(season, x)]
    if not doubtful:
        return
    why = f"{_and(doubtful)}: the records do not show that the learned values forecast better"
    if not sys.stdin.isatty():
        usage(f"{why}; '{call('learn', season.folder, '--accept', '--yes')}' accepts them all the same")
    if not typer.confirm(f"{why}. Accept them all the same?", default=False, err=True):
        raise Refused(["nothing was accepted"], DONE)


def _in_force_already(season: Season, found: Learned) -> bool:
    entry = learned_file.in_force(season, found.species)
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


def forget_learned(season: Season, on: date, names: Sequence[str], *, json_form: bool) -> None:
    """Put the profiles of these species (none named: all) in force again, and say so."""
    known = {e.species for e in learned_file.entries_of(season) if not e.replaced_by}
    known |= {one.species for one in earlier_seasons.earlier_seasons(season)}
    wanted = {name.strip().lower() for name in names} or known
    if not known or not wanted <= known:
        what = _and(sorted(wanted - known)) if known else "any species"
        raise Refused([f"nothing is in force that was learned of {what}: the profile is"])
    forget(season.folder, sorted(wanted), on, season)
    if json_form:
        show_json({"forgotten": sorted(wanted)})
        return
    for name in sorted(wanted):
        show_paragraph(
            f"{name}: the profile is in force, {stated_profile(season, name).requirement:g} degree-days"
        )
    back = f"'{call('undo', season.folder)}' takes that back"
    show_paragraph(f"{back}; '{call('plan', season.folder)}' plans with it")


def show_history(season: Season, *, json_form: bool) -> None:
    """Show what was ever accepted."""
    entries = learned_file.entries_of(season)
    if json_form:
        show_json({"history": [_plain(asdict(e)) for e in entries]})
        return

    show(history(entries))


def _show_json(
    season: Season, found: Sequence[Learned], now: datetime, accepted: Sequence[str], files: Sequence[Path]
) -> None:
    """Print everything for programs.

    ``{"on": moment, "assumption": text, "species": [...], "accepted": [species], "files": [path]}``, of each
    species ``{"species", "records", "hanging", "unused": [{"pupa", "why"}], "few": true or false,
    "unscored": how many had no date to compare, "before", "after":
    {"requirement", "spread", "season_share", "day_share", "days": [median, low, high], "error",
    "covered", "covered_if_right"}, "rate": degree-days a day, "gain": {"mean", "uncertain"}, "siblings":
    {"pairs", "same", "before", "after", "spread"}, "overruled": text,
    "compared": [{"pupa", "ended", "before", "after": {"median", "low", "high"}}]}``. Errors and gains
    are days, covered is a share; they are null with too few records, as is whatever else is not known.
    ``"seasons"``: the earlier ones that these begin from, as in earlier.yaml.
    """

    show_json(
        {
            "on": now.isoformat(),
            "assumption": assumption(season),
            "species": [_species(season, x) for x in found],
            "seasons": [
                _plain(asdict(one))
                for name in taught_species(season, found)
                for one in levels(season, name).seasons
            ],
            "accepted": list(accepted),
            "files": [str(f) for f in files],
        }
    )


def _species(season: Season, learned: Learned) -> dict[str, Any]:
    speed, better = pace(season, learned), gain(season, learned)
    too_few = few(season, learned)

    def values(summary: Summary, accuracy: Accuracy, dues: Iterable[Due | None]) -> dict[str, Any]:
        known = (
            {}
            if too_few
            else {**asdict(accuracy), "covered_if_right": covered_if_right(dues, spans(learned))}
        )
        return {
            **asdict(summary),
            "days": speed and list(speed.days(summary)),
            **{k: None if math.isnan(v := known.get(k, math.nan)) else v for k in ACCURACY},
        }

    return {
        "species": learned.species,
        "records": learned.records,
        "hanging": learned.hanging,
        "unused": [{"pupa": pupa, "why": why} for pupa, why in learned.unused],
        "few": too_few,
        "unscored": learned.unscored,
        "before": values(learned.before, learned.accuracy_before, (c.before for c in learned.compared)),
        "after": values(learned.after, learned.accuracy_after, (c.after for c in learned.compared)),
        "rate": speed and speed.rate,
        "gain": better and asdict(better),
        "siblings": {k: None if v != v else v for k, v in asdict(learned.siblings).items()},
        "overruled": learned.overruled,
        "compared": [
            {"pupa": c.pupa, "ended": c.ended.isoformat(), "before": _due(c.before), "after": _due(c.after)}
            for c in learned.compared
        ],
    }


def _due(due: Due | None) -> dict[str, str] | None:
    if due is None:
        return None
    return {k: getattr(due, k).isoformat(timespec="minutes") for k in ("median", "low", "high")}


def _plain(values: dict[str, Any]) -> dict[str, Any]:
    """Dates as text."""
    return {k: v.isoformat() if isinstance(v, date) else v for k, v in values.items()}
