"""The verifier's rules about who is moved, when, and in which order."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime

from planner.season.places import Lid
from planner.season.plan_record import Hang, Move
from planner.season.season import Season
from planner.verify_case import Case, Findings
from planner.verify_geometry import Hung, point, spot_name


def untouched(case: Case) -> Findings:
    """Who may not be touched hangs where it is recorded.

    Handling cripples a prepupa, a soft pupa and one about to emerge; one that hangs on a line or board
    already is not handled twice; and whom the keeper wants left is left.
    """
    for one in case.hung:
        if not one.stays and (reason := _untouchable(one, case)):
            home = _recorded(one, case.season)
            yield (one.pupa.id,), f"{one.pupa.id} {reason}: allowed is {home}, not {one}"


def _untouchable(one: Hung, case: Case) -> str:
    """Say why a pupa may not be moved at the time of the plan; nothing when it may."""
    forecast, on = case.forecasts.get(one.pupa.id), _time(case.plan.on)
    if forecast and forecast.stage == "soft" and forecast.firm_from:
        return f"is soft until {_time(forecast.firm_from)}"
    if forecast and not forecast.movable:
        return {"prepupa": f"is a prepupa on {on}", "darkening": f"may be darkening on {on}"}.get(
            forecast.stage, forecast.why
        )
    if one.pupa.stay:
        return "is recorded to stay"
    home = case.season.place.get(one.pupa.place)
    hangs = home is not None and not isinstance(home, Lid)
    return "hangs already" if hangs and "rehang_price" not in case.plan.settings else ""


def moved_from_record(case: Case) -> Findings:
    """Who moves comes from where it is recorded, and who has no from hangs there: else nobody finds it."""
    for one in case.hung:
        name, source, home = one.pupa.id, one.hang.from_place, _recorded(one, case.season)
        if source is None and not one.stays:
            yield (name,), f"{name} hangs on {one} without a from: allowed is {home}, or a move from there"
        elif source is not None and one.stays:
            yield (name,), f"{name} has from {source} but hangs where it is recorded: allowed is no from"
        elif source is not None and source != one.pupa.place:
            yield (name,), f"{name} has from {source}: allowed is where it is recorded, {home}"


def _recorded(one: Hung, season: Season) -> str:
    home = season.place.get(one.pupa.place)
    return spot_name(home, one.pupa.spot) if home else one.pupa.place


def moves_match(case: Case) -> Findings:
    """Each pupa that hangs elsewhere is brought there by exactly one step, and no step does anything else."""
    hangs = {hang.pupa: hang for hang in case.plan.hangs if hang.from_place is not None}
    steps: defaultdict[str, list[Move]] = defaultdict(list)
    for move in case.plan.moves:
        steps[move.pupa].append(move)
    for name, hang in hangs.items():
        if name not in steps:
            yield (
                (name,),
                f"{name} hangs on {hang.place} at {hang.spot} with a from but no move: allowed is one",
            )
    for name, moves in steps.items():
        if len(moves) > 1:
            numbers = " and ".join(str(move.step) for move in moves)
            yield (name,), f"{name} is moved {len(moves)} times, in steps {numbers}: allowed is once"
        for move in moves:
            if fault := _move_fault(move, hangs.get(name)):
                yield (name,), f"step {move.step} moves {name} {fault}"
    found = [move.step for move in case.plan.moves]
    if sorted(found) != list(range(1, len(found) + 1)):
        numbers = ", ".join(map(str, found))
        yield (), f"the steps are numbered {numbers}: allowed is each of 1 to {len(found)} once"


def _move_fault(move: Move, hang: Hang | None) -> str:
    said = f"from {move.from_place} to {move.to_place} at {move.to_spot}"
    if hang is None:
        return f"{said}, but nothing hangs it there with a from: allowed is no move"
    true = f"from {hang.from_place} to {hang.place} at {hang.spot}"
    return "" if said == true else f"{said}: allowed is {true}, as it hangs"


def moved_in_time(case: Case) -> Findings:
    """A move starts when the pupa is firm, ends before it may be darkening, and can still be done.

    It may start before the plan was made, as the pupa may have been firm for days.
    """
    for move in case.plan.moves:
        forecast, start, end = case.forecasts.get(move.pupa), move.not_before, move.not_after
        step, ids = f"step {move.step}, {move.pupa}", (move.pupa,)
        if forecast and forecast.firm_from and start < forecast.firm_from:
            firm = f"allowed is from {_time(forecast.firm_from)}, when it is firm"
            yield ids, f"{step}: not before {_time(start)}: {firm}"
        if forecast and forecast.dark_from and end > forecast.dark_from:
            dark = f"allowed is until {_time(forecast.dark_from)}, when it may be darkening"
            yield ids, f"{step}: not after {_time(end)}: {dark}"
        if end < (first := max(start, case.plan.on)):
            yield ids, f"{step}: not after {_time(end)}: allowed is {_time(first)} or later"


def moves_in_order(case: Case) -> Findings:
    """Done one after another, no step puts a pupa on a spot where another still hangs."""
    season = case.season
    there: defaultdict[tuple[str, float, float], list[str]] = defaultdict(list)
    held: dict[str, tuple[str, float, float]] = {}
    for pupa in season.pupae:
        home = season.place.get(pupa.place)
        if pupa.present and home and (at := point(home, pupa.spot, season.cm_per_unit)):
            there[at.key].append(pupa.id)
            held[pupa.id] = at.key
    for move in sorted(case.plan.moves, key=lambda move: move.step):
        if move.pupa in held:
            there[held.pop(move.pupa)].remove(move.pupa)
        goal = season.place.get(move.to_place)
        if goal and (
            at := point(goal, move.to_spot, season.cm_per_unit)
        ):  # else the rules about spots say so
            for other in there[at.key]:
                step = f"step {move.step} hangs {move.pupa} on {spot_name(goal, move.to_spot)}"
                yield (move.pupa, other), f"{step}, where {other} still hangs: allowed is a free spot"
            there[at.key].append(move.pupa)
            held[move.pupa] = at.key


def _time(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M}"
