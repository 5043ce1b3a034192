"""Which steps of a plan ``done`` records, and what speaks against them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from planner.emergence import Forecast
from planner.follow.progress import Progress
from planner.season.places import Lid, Line, Place
from planner.season.plan.plan_record import Move
from planner.season.pupae import FORMED, Pupa
from planner.season.pupae.record import formed_text
from planner.season.reading.scalars import parse_number, tidy
from planner.season.reading.told_dates import day_text, day_told, until
from planner.season.reading.when import When
from planner.season.season import Season
from planner.words import call, where

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


Taken = Mapping[tuple[str, tuple[int, ...]], Sequence[str]]  # place and point → who hangs there


def spots_taken(season: Season) -> Taken:
    """Who hangs in which point."""
    found: dict[tuple[str, tuple[int, ...]], list[str]] = {}
    for p in season.pupae:
        place = season.place.get(p.place)
        if not p.present or place is None:
            continue
        spot = p.spot or ""
        if isinstance(place, Lid) and p.x is not None and p.y is not None:
            spot = f"{p.x / season.cm_per_unit!r},{p.y / season.cm_per_unit!r}"
        if (at := _point(place, spot, season)) is not None:
            found.setdefault((place.name, at), []).append(p.id)
    return found


def no_spot_for(season: Season, hung: Hung, taken: Taken, *, anyway: bool) -> str:
    """Why nobody can be hung where the keeper says, or empty: it is taken, or there is no clip.

    Whether there is such a place and spot at all is found in the would-be file. Who was recorded between two
    clips stays there; newly hung, one is on a clip, unless the keeper says that it hangs there ``anyway``.
    """
    place = season.place.get(hung.place)
    at = None if place is None else _point(place, hung.spot, season)
    if place is None or at is None:
        return ""
    for other in taken.get((place.name, at), ()):
        if other != hung.pupa:
            shown = f"{place.name} at {hung.spot}" if isinstance(place, Lid) else ""
            shown = shown or where(season, hung.place, hung.spot)
            return f"{hung.pupa}: {shown} is taken: {other} hangs there"
    if isinstance(place, Line) and place.clips_every and not anyway:
        return _off_the_clips(season, place, hung)
    return ""


def _point(place: Place, spot: str, season: Season) -> tuple[int, ...] | None:
    """What two spots of a place have in common that are one, to the hundredth of a millimetre."""
    at = place.point(spot, season.cm_per_unit)
    return None if at is None else tuple(round(n * 1000) for n in at)


def _off_the_clips(season: Season, line: Line, hung: Hung) -> str:
    at, unit = parse_number(hung.spot), season.cm_per_unit
    if at is None or not line.clips_every or not 0 < at * unit < line.length:
        return ""
    every = line.clips_every / unit
    below = math.floor(at / every + 1e-6) * every
    if at - below <= 1e-3 / unit + 1e-6 * every:
        return ""
    marks = [m for m in (below, below + every) if 0 < m < line.length / unit - 1e-6]
    near = " and ".join(tidy(m) for m in marks)
    nearest = f"the nearest {'are' if len(marks) > 1 else 'is'} at {near} {season.units}"
    return f"{hung.pupa}: there is no clip at {tidy(at)} {season.units} on line {line.name}: {nearest}"


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
        hung = f" since {pupa.hung.told}" if pupa.hung else ""
        return f"{name}: hangs at {at}{hung} already, as planned; {correct}"
    if name in progress.elsewhere:
        return f"{name}: hangs at {at}, where no step of the plan takes it from; {correct}"
    if later := next((one for one in plan.later if one.who == name), None):
        to = where(progress.season, later.place, later.spot)
        hung = call(f"done {name}", progress.season.folder, "--to", later.place, later.spot)
        return (
            f"{name}: is planned for {day_told(later.since)}, at {to}. Its step is made that evening: "
            f"'{call('plan', progress.season.folder)}' first. If it hangs there already: '{hung}'"
        )
    if name not in plan.movers:
        return f"{name}: the plan leaves it at {at}; {correct}"
    return f"{name}: no step of the plan is left for it; {correct}"


def gone(pupa: Pupa) -> Iterator[str]:
    """Why it cannot have been moved, whoever is not there any more."""
    if not pupa.present:
        ended = f" on {pupa.ended.told}" if pupa.ended else ""
        yield f"{pupa.id}: is recorded as {pupa.outcome}{ended}"


def forbidden(pupa: Pupa, forecast: Forecast | None, when: When) -> Iterator[str]:
    """Why it was not to be touched at that time; the doubt is the animal's."""
    if forecast is None:
        return
    if forecast.firm_from is None:
        yield f"{pupa.id}: is a prepupa, which is not to be touched"
    elif when.latest <= forecast.firm_from or (when.hour and when.earliest < forecast.firm_from):
        firm = forecast.firm_from
        yield f"{pupa.id}: is soft until {until(firm)}, and {when.told} is before that"
    elif pupa.darkening and pupa.darkening.earliest < when.latest and when.latest > pupa.darkening.latest:
        yield f"{pupa.id}: was darkening by {when.told}, as seen on {pupa.darkening.told}"
    elif forecast.dark_from and when.earliest >= forecast.dark_from:
        yield f"{pupa.id}: may have been darkening by {when.told}: due {_day(forecast)}"


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


def formed(season: Season, pupa: Pupa) -> dict[str, str]:
    """Where it formed, to be kept when it leaves its lid for the first time."""
    if pupa.formed or not isinstance(season.place[pupa.place], Lid):
        return {}
    return {FORMED: formed_text(pupa, season.cm_per_unit)}
