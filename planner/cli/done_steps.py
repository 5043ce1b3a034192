"""Which steps of a plan ``done`` records, and what speaks against them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from planner.cli.talk import call
from planner.emergence import Forecast
from planner.report.progress import Progress
from planner.report.text import where
from planner.season.places import Lid
from planner.season.plan_record import Move
from planner.season.pupae import Pupa
from planner.season.when import When, day_text

ANYWAY = "if it was moved then all the same, --anyway records it; --on says when it was moved"


@dataclass(frozen=True)
class Hung:
    """One pupa as it is to be recorded: place and spot as in pupae.csv, and the steps that brought it."""

    pupa: str
    place: str
    spot: str
    steps: tuple[int, ...] = ()


def carried_out(progress: Progress, named: Sequence[str]) -> tuple[list[Hung], list[str]]:
    """Where the named pupae hang once their steps are done, as far as the free spots allow.

    All steps that can be done one after another, in the order of the plan: one that is parked goes on only
    when the other has left its spot, or is named too. The second are the refusals.
    """
    there = {(s.place, s.tag): name for name, s in progress.here.items()}
    wanted, steps = set(named), dict[str, list[Move]]()
    stopped: dict[str, tuple[Move, str]] = {}
    for move in progress.to_do:
        if move.pupa not in wanted or move.pupa in stopped:
            continue
        target = move.to_place, move.to_spot
        other = there.get(target)
        if other is not None and other != move.pupa:
            stopped[move.pupa] = move, other
            continue
        at = next((spot for spot, name in there.items() if name == move.pupa), None)
        if at is not None:
            del there[at]
        there[target] = move.pupa
        steps.setdefault(move.pupa, []).append(move)
    problems = [_taken(progress, move, other) for name, (move, other) in stopped.items() if name not in steps]
    found = [
        Hung(name, own[-1].to_place, own[-1].to_spot, tuple(m.step for m in own))
        for name, own in steps.items()
    ]
    return found, problems


def _taken(progress: Progress, move: Move, other: str) -> str:
    spot = where(progress.season, move.to_place, move.to_spot)
    leaving = next((m.step for m in progress.to_do if m.pupa == other), None)
    if leaving is None:
        how = f"{elsewhere(progress.season.folder, move.pupa)} says where it hangs instead"
    else:
        how = f"step {leaving} takes {other} away: name both if both were moved"
    return f"{move.pupa}: step {move.step} hangs it at {spot}, where {other} hangs; {how}"


def elsewhere(folder: Path, pupa: str) -> str:
    """How to record that one hangs where the plan has no step for it, as it is typed."""
    return f"'{call(f'done {pupa}', folder)} --to PLACE SPOT'"


def without_step(progress: Progress, pupa: Pupa) -> str:
    """Why a pupa has nothing to be recorded, or empty when it has."""
    name, plan = pupa.id, progress.plan
    if any(m.pupa == name for m in progress.to_do):
        return ""
    correct = f"{elsewhere(progress.season.folder, name)} records it elsewhere"
    if name in progress.newcomers:
        return f"{name}: is not in the plan, which is older; {correct}"
    spot = progress.here[name]
    at = where(progress.season, spot.place, spot.tag)
    if name in progress.reached:
        hung = f" since {pupa.hung}" if pupa.hung else ""
        return f"{name}: hangs at {at}{hung} already, as planned; {correct}"
    if name in progress.elsewhere:
        return f"{name}: hangs at {at}, where no step of the plan takes it from; {correct}"
    if name not in plan.movers:
        return f"{name}: the plan leaves it at {at}; {correct}"
    return f"{name}: no step of the plan is left for it; {correct}"


def forbidden(pupa: Pupa, forecast: Forecast | None, when: When) -> Iterator[str]:
    """Why it was not to be touched at that time; the doubt is the animal's."""
    if forecast is None:
        return
    if forecast.firm_from is None:
        yield f"{pupa.id}: is a prepupa, which is not to be touched"
    elif when.latest <= forecast.firm_from or (when.hour and when.earliest < forecast.firm_from):
        firm = forecast.firm_from
        yield f"{pupa.id}: is soft until {day_text(firm.date())} {firm:%H:%M}, and {when} is before that"
    elif pupa.darkening and pupa.darkening.earliest < when.latest and when.latest > pupa.darkening.latest:
        yield f"{pupa.id}: was darkening by {when}, as seen on {pupa.darkening}"
    elif forecast.dark_from and when.earliest >= forecast.dark_from:
        yield f"{pupa.id}: may have been darkening by {when}: due {_day(forecast)}"


def _day(forecast: Forecast) -> str:
    return day_text(forecast.due.day) if forecast.due else "soon"


def cells(hung: Hung, when: When, lid: bool) -> dict[str, str]:
    """What to write into the row."""
    x, y = hung.spot.split(",") if lid and "," in hung.spot else ("", "")
    spot = "" if lid else hung.spot
    return {
        "place": hung.place,
        "spot": spot,
        "x": x.strip(),
        "y": y.strip(),
        "hung": "" if lid else str(when),
    }


def emptied(progress: Progress, hung: Sequence[Hung]) -> list[str]:
    """Lids that nobody is on any more."""
    after = {name: spot.place for name, spot in progress.here.items()} | {h.pupa: h.place for h in hung}
    lids: Mapping[str, None] = dict.fromkeys(progress.here[h.pupa].place for h in hung)
    return [
        name for name in lids
        if isinstance(progress.season.place.get(name), Lid) and name not in after.values()
    ]  # fmt: skip
