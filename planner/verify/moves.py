"""The verifier's rules about which pupae are moved, from where, and when."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from planner.season.places import Lid
from planner.season.plan.plan_record import Hang, Move
from planner.season.season import Season
from planner.verify.case import Case, Findings
from planner.verify.geometry import Hung, spot_name
from planner.verify.places import point

A_YEAR = timedelta(days=365)


def untouched(case: Case) -> Findings:
    """A pupa that may not be touched stays where it is recorded.

    Handling can cripple a prepupa, a soft pupa and one about to emerge. One that hangs on a line or board
    already is not handled a second time, unless the plan was made with a price for that. One recorded to stay
    is left where the keeper wants it.
    """
    for one in case.hung:
        if not one.stays and (reason := _untouchable(one, case)):
            home = _recorded(one, case.season)
            yield (one.pupa.id,), f"{one.pupa.id} {reason}: allowed is {home}, not {one}"


def _untouchable(one: Hung, case: Case) -> str:
    """Why a pupa may not be moved when the plan is made, as the end of a sentence; empty when it may."""
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
    """Each pupa that moves has ``from`` the place where it is recorded, and each that stays has none.

    By a wrong ``from`` the keeper would not find the pupa.
    """
    for one in case.hung:
        name, source, home = one.pupa.id, one.hang.from_place, _recorded(one, case.season)
        if source is None and not one.stays:
            yield (name,), f"{name} hangs on {one} without a from: allowed is {home}, or a move from there"
        elif source is not None and one.stays:
            yield (name,), f"{name} has from {source} but hangs where it is recorded: allowed is no from"
        elif source is not None and source != one.pupa.place:
            yield (name,), f"{name} has from {source}: allowed is where it is recorded, {home}"


def _recorded(one: Hung, season: Season) -> str:
    """The spot where a pupa is recorded, in words."""
    home = season.place.get(one.pupa.place)
    return spot_name(home, one.pupa.spot) if home else one.pupa.place


def moves_match(case: Case) -> Findings:
    """The steps bring each pupa that is to hang elsewhere to its spot, and do nothing else.

    A pupa has one step, or several where it is parked on the way; each then begins where the one before has
    ended. Each number is one step's, and no step has one that is void: that stands for another step on lists
    that were printed. The keeper follows the steps, so by others the pupae would end up where nothing was
    checked.
    """
    hangs = {hang.pupa: hang for hang in case.plan.hangs if hang.from_place is not None}
    for name, hang in hangs.items():
        if name not in case.steps:
            yield (
                (name,),
                f"{name} hangs on {hang.place} at {hang.spot} with a from but no move: allowed is one",
            )
    for name, moves in case.steps.items():
        for fault in _chain_faults(moves, hangs.get(name), case.season):
            yield (name,), fault
    found = [move.step for move in case.plan.moves]
    if min(found, default=1) < 1 or len({*found}) < len(found):
        numbers = ", ".join(map(str, found))
        yield (), f"the steps are numbered {numbers}: allowed is each number from 1 on once"
    for step in sorted({*found} & {*case.plan.void}):
        yield (), f"step {step} is void: allowed is a number that no earlier list has"


def _chain_faults(moves: list[Move], hang: Hang | None, season: Season) -> Iterator[str]:
    """What is wrong with the steps of one pupa, given in their order: sentences."""
    for n, move in enumerate(moves):
        start, end = f"from {move.from_place}", f"{move.to_place} at {move.to_spot}"
        said = f"step {move.step} moves {move.pupa} {start} to {end}"
        if hang is None:
            yield f"{said}, but nothing hangs it there with a from: allowed is no move"
            continue
        if n:
            before = moves[n - 1]
            if (move.from_place, move.from_spot) != (before.to_place, before.to_spot):
                allowed = f"from {before.to_place} at {before.to_spot}, where step {before.step} hung it"
                yield f"step {move.step} moves {move.pupa} {start} at {move.from_spot}: allowed is {allowed}"
        elif fault := _start_fault(move, season):
            yield fault
        source = hang.from_place if n == 0 else move.from_place
        goal = f"{hang.place} at {hang.spot}" if move is moves[-1] else end
        if (true := f"from {source} to {goal}") != f"{start} to {end}":
            yield f"{said}: allowed is {true}, as it hangs"


def _start_fault(move: Move, season: Season) -> str:
    """What is wrong with the start of a pupa's first step, or empty: it must be where the pupa is recorded.

    On a lid the place is enough, as points on a lid carry no tags.
    """
    pupa, place = season.pupa.get(move.pupa), season.place.get(move.from_place)
    if pupa is None or place is None or isinstance(place, Lid) or pupa.place != place.name:
        return ""
    said, true = (point(place, spot, season.cm_per_unit) for spot in (move.from_spot, pupa.spot))
    if true is None or (said is not None and said.key == true.key):
        return ""
    where, recorded = spot_name(place, move.from_spot), spot_name(place, pupa.spot)
    return (
        f"step {move.step} moves {move.pupa} from {where}: allowed is from {recorded}, where it is recorded"
    )


def moved_in_time(case: Case) -> Findings:
    """Each step starts when its pupa is firm, ends before it may be darkening, and can still be done.

    Handling can harm a pupa before that and after it. A step may start before the plan is made, as the pupa
    may have been firm for days. Where no darkening is forecast, it ends within a year of the plan, as nothing
    is forecast beyond.

    A step starts no earlier, and ends no earlier, than one it must come after. No step ends before the start
    of one listed earlier: otherwise there is no time at which each can be done in the order of the list.
    """
    by_step = {move.step: move for move in case.plan.moves}
    clock, slow = case.plan.on, 0
    for move in sorted(case.plan.moves, key=lambda move: move.step):
        forecast, start, end = case.forecasts.get(move.pupa), move.not_before, move.not_after
        step, ids = f"step {move.step}, {move.pupa}", (move.pupa,)
        if forecast and forecast.firm_from and start < forecast.firm_from:
            firm = f"allowed is from {_time(forecast.firm_from)}, when it is firm"
            yield ids, f"{step}: not before {_time(start)}: {firm}"
        if forecast and forecast.dark_from and end > forecast.dark_from:
            dark = f"allowed is until {_time(forecast.dark_from)}, when it may be darkening"
            yield ids, f"{step}: not after {_time(end)}: {dark}"
        elif forecast and not forecast.dark_from and end > case.plan.on + A_YEAR:
            last = f"allowed is until {_time(case.plan.on + A_YEAR)}, a year after the plan"
            yield ids, f"{step}: not after {_time(end)}: {last}"
        for before in (by_step[n] for n in move.after if n in by_step):
            if start < before.not_before:
                first = f"allowed is from {_time(before.not_before)}, as it comes after step {before.step}"
                yield ids, f"{step}: not before {_time(start)}: {first}"
            if end < before.not_after:
                last = f"step {before.step}, {before.pupa}: not after {_time(before.not_after)}"
                yield (
                    (before.pupa,),
                    f"{last}: allowed is until {_time(end)}, as step {move.step} comes after it",
                )
        if end < (first_time := max(start, case.plan.on)):
            yield ids, f"{step}: not after {_time(end)}: allowed is {_time(first_time)} or later"
        elif end < clock:
            waits = f"allowed is {_time(clock)} or later, as step {slow} comes before it"
            yield ids, f"{step}: not after {_time(end)}: {waits}"
        if start > clock:
            clock, slow = start, move.step


def _time(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M}"
