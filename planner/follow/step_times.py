"""The times between which each step that is left of a plan can be done, by the dates as they are now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from planner.emergence import Forecast
from planner.season.plan.plan_record import Move


def timed(moves: Sequence[Move], now: Mapping[str, Forecast], on: datetime) -> tuple[Move, ...]:
    """The steps with the times that their forecasts and the other steps allow.

    A step lasts from when its pupa is firm until that may be darkening. It begins no earlier than those it
    must come after, and they end no later than it. One that parks a pupa has the same two times as the one
    that takes it on. So the times of one step may narrow those of others, which is repeated until nothing
    changes. It ends, as times are only ever narrowed and take only values that were there at the start.

    The times that the plan has for them do not matter: dates may have become later since, or a step that
    bounded another was done.

    Parameters
    ----------
    moves
        In the order of the plan.
    now
        Forecasts by id. A step without one, or of a prepupa, keeps the plan's time.
    on
        When the plan was made.
    """
    start = {m.step: m.not_before for m in moves}
    end = {m.step: m.not_after for m in moves}
    for move in moves:
        if forecast := now.get(move.pupa):
            start[move.step] = forecast.firm_from or move.not_before
            end[move.step] = forecast.last_move(on)
    last: dict[str, int] = {}
    pairs: list[tuple[int, int]] = []
    for move in moves:
        if move.pupa in last:
            pairs.append((last[move.pupa], move.step))
        last[move.pupa] = move.step
    before = None
    while (start, end) != before:
        before = dict(start), dict(end)
        for move in moves:
            start[move.step] = max(start[n] for n in (move.step, *move.after))
        for move in reversed(moves):
            for n in move.after:
                end[n] = min(end[n], end[move.step])
        for a, b in pairs:
            start[a] = start[b] = max(start[a], start[b])
            end[a] = end[b] = min(end[a], end[b])
    return tuple(replace(m, not_before=start[m.step], not_after=end[m.step]) for m in moves)
