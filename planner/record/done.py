"""What ``done`` records: who was hung where by the plan in force, or elsewhere by the keeper's choice."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path

from planner.follow.harmful_steps import with_followers
from planner.follow.in_force import InForce, judge
from planner.follow.progress import Progress
from planner.record.named_pupae import named_pupae, pupa_of_step, pupae_at
from planner.record.refusal import USAGE, Refused
from planner.record.steps_done import (
    Hung,
    carried_out,
    elsewhere,
    gone,
    without_step,
)
from planner.season.places import Lid, fold
from planner.season.plan import plan_file
from planner.season.plan.plan_record import Plan
from planner.season.pupae import Pupa
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import parse_number
from planner.season.season import Season
from planner.words import call, no_plan_yet

NOT_NOW = "such a step would do harm by what is recorded now; if it was done, --anyway records it"


def hung_elsewhere(
    season: Season, name: str, to: tuple[str, str], now: datetime, year: int
) -> tuple[Progress, list[Hung]]:
    """One pupa where the keeper hung it, or Refused with everything that speaks against it.

    ``year``: of a date typed where an id goes, which names none.
    """
    pupae, problems = _present(season, [name], year)
    if problems:
        raise Refused(problems)
    plan = plan_file.read(season.folder) or Plan(on=now, gap_days=0, hangs=())
    place, spot = _spelled(season, *to)
    return Progress(season, plan), [Hung(pupae[0].id, place, spot)]


def hung_as_planned(
    season: Season, names: Sequence[str], year: int, tell: Callable[[str], None], *, anyway: bool
) -> tuple[Progress, list[Hung]]:
    """Where the plan in force has those named (nobody: all of them), or Refused with what speaks against it.

    ``tell``: takes what should be known besides. ``anyway``: harm and rules broken are no hindrance.
    """
    pupae, problems = _present(season, names, year)
    named = [p.id for p in pupae]
    state = _in_force(season, anyway)
    progress = Progress(season, state.plan)
    refused_now = {} if anyway else state.withheld
    if not names:
        if not progress.to_do:
            every = "all moves of the plan are done" if progress.plan.moves else "the plan moves nobody"
            raise Refused([f"{every}: there is nothing to record"])
        dark = [] if anyway else [n for n in progress.rest.movers if season.pupa[n].darkening]
        after_them = with_followers(progress.rest, dark)
        named = [n for n in progress.rest.movers if n not in {*refused_now, *dark, *after_them}]
        here = [] if season.folder == Path() else [str(season.folder)]
        for name in dark:
            seen = season.pupa[name].darkening
            tell(
                f"note: {name} was seen darkening on {seen.told if seen else '?'}, so it is taken as not "
                f"moved; if it was, '{call('done', Path(), name, *here)}' records it"
            )
        if not named:
            raise Refused([*state.refused, NOT_NOW])
        for text in state.not_done() if refused_now else ():
            tell(f"note: {text}")
    elif harmful := [name for name in named if name in refused_now]:
        told = [p for p in state.refused if any(name in p.what for name in harmful)] or state.refused
        raise Refused([*problems, *told, NOT_NOW])
    problems += [why for name in named if (why := without_step(progress, season.pupa[name]))]
    found, refused = carried_out(progress, named)
    if problems or refused:
        raise Refused([*problems, *refused])
    return progress, found


def _present(season: Season, names: Sequence[str], year: int) -> tuple[list[Pupa], list[str]]:
    """Those named who are there, and what is wrong. A place stands for those whose moves begin there."""
    plan = plan_file.read(season.folder)
    moves = plan.moves if plan else ()
    movers = {move.pupa for move in moves}
    at = {place: [name for name in ids if name in movers] for place, ids in pupae_at(season).items()}

    return named_pupae(season, names, pupa_of_step(moves), at, year, gone)


def _in_force(season: Season, anyway: bool) -> InForce:
    """The plan in force, if what is left of it holds."""
    plan = plan_file.read(season.folder)
    if plan is None:
        to = f"{elsewhere(season.folder, 'PUPA')} records where one hangs"
        raise Refused([f"{no_plan_yet(season.folder)}; {to}"])
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
            raise Refused([f"--to: '{shorten(spot)}': on lid {found.name} {how}"], USAGE)
    return (found.name if found else place.strip()), spot
