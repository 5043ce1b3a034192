"""The numbers of the steps: a step of the plan before that is to be done as it was keeps its number.

Lists, lid sheets and wall sheets with these numbers are printed by then. A number that no longer holds is
given to no other step as long as steps of those lists are to be done.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import accumulate

from planner.season.plan.plan_record import Move, Plan


def numbered_on(plan: Plan, before: Plan | None) -> Plan:
    """The plan with the numbers that its steps had in the plan before; new steps come after all of those.

    ``plan``: its steps numbered in an order that works. ``void``: numbers of steps of earlier lists that are
    not done and not to be done any more.
    """
    to_do = () if before is None else _to_do(plan, before)
    if before is None or not to_do:
        return plan
    printed = {_way(move): move.step for move in to_do}
    last = max([*(move.step for move in before.moves), *before.void])
    kept = _kept(plan, {move.step: printed[_way(move)] for move in plan.moves if _way(move) in printed})
    moves = _numbered(plan, kept, last)
    if not _in_time(moves):
        moves = _numbered(plan, {}, last)
    void = {*before.void, *(move.step for move in to_do)} - {move.step for move in moves}
    return replace(plan, moves=moves, void=tuple(sorted(void)))


def _numbered(plan: Plan, kept: Mapping[int, int], last: int) -> tuple[Move, ...]:
    """The steps in the order of their numbers: those kept, then the others from ``last`` on."""
    new = [move.step for move in plan.moves if move.step not in kept]
    number = {**kept, **{step: last + k for k, step in enumerate(new, start=1)}}
    moves = (
        replace(move, step=number[move.step], after=tuple(sorted(number[n] for n in move.after)))
        for move in plan.moves
    )
    return tuple(sorted(moves, key=lambda move: move.step))


def _in_time(moves: Iterable[Move]) -> bool:
    """Whether no step ends before one of those ahead of it begins."""
    moves = [*moves]
    begun = accumulate((move.not_before for move in moves), max)
    return all(start <= move.not_after for start, move in zip(begun, moves, strict=True))


def _way(move: Move) -> tuple[str, ...]:
    return move.pupa, move.from_place, move.from_spot, move.to_place, move.to_spot


def _to_do(plan: Plan, before: Plan) -> tuple[Move, ...]:
    """The steps of the plan before that are not done, of pupae that are still there."""
    now = {hang.pupa: (hang.place, hang.spot) for hang in plan.hangs}
    now |= {move.pupa: (move.from_place, move.from_spot) for move in reversed(plan.moves)}
    steps = [move for move in sorted(before.moves, key=lambda move: move.step) if move.pupa in now]
    done = {move.pupa: move.step for move in steps if now[move.pupa] == (move.to_place, move.to_spot)}
    return tuple(move for move in steps if move.step > done.get(move.pupa, 0))


def _kept(plan: Plan, number: Mapping[int, int]) -> dict[int, int]:
    """Step → the number it had, of those that can be done before all new ones, in the order of the numbers.

    Who is parked goes on soon: both of its steps keep their numbers or neither does.
    """
    own = {move.step: move for move in plan.moves}
    found = dict(number)
    while True:
        held = {
            step: n
            for step, n in found.items()
            if all(found.get(first, n) < n for first in own[step].after)
            and all((a in found) == (b in found) for a, b in plan.goes_on.items() if step in (a, b))
        }
        if held == found:
            return found
        found = held
