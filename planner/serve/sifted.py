"""The events of a phone that can be recorded, and why the others cannot: of those the phone keeps a hold.

A slip from a file is taken wholly or not at all, for a person reads why. A phone sends again by itself: what
cannot be recorded must not keep the rest of the evening from the season.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from planner.record.event import Event, OfPupa, Recorded, TakenBack
from planner.record.refusal import Refused
from planner.record.slip import Slip
from planner.record.take import State, Taken, take
from planner.record.taken import Log, pupa_of
from planner.record.written_event import Raw
from planner.season.reading.told_dates import moment

Pairs = list[tuple[Raw, Event]]


@dataclass(frozen=True)
class Sifted:
    """``slip``: with the events that can be recorded together, and what they make of the season, ``taken``.

    ``refused``: id of each other one, and why.
    """

    slip: Slip
    taken: Taken
    refused: dict[str, str]


def sifted(state: State, slip: Slip, now: datetime) -> Sifted:
    """Sort out what speaks against some events of a slip, and leave as few of them out as can be."""
    good: Pairs = list(zip(slip.raw, slip.events, strict=True))
    aside: Pairs = []
    while not isinstance(found := _tried(state, slip, good, now), Taken):
        named = [pair for pair in good if _is_named(pair[1], state.log, found)] or good
        aside += named
        ids = {event.id for _, event in named}
        good = [pair for pair in good if pair[1].id not in ids]
    aside.sort(key=lambda pair: pair[1].order)  # some were only beside the one named
    taken, kept, refused = found, good, {}
    for pair in aside:  # quick: each upon what those before it made
        found = _tried(taken.state, slip, [pair], now)
        if isinstance(found, Taken):
            kept, taken = [*kept, pair], found
        else:
            refused[pair[1].id] = _words(found)
    if isinstance(whole := _tried(state, slip, kept, now), Taken):
        return Sifted(_with(slip, kept), whole, refused)
    return _beside_all(state, slip, good, aside, now)  # such as a newcomer that is recorded and taken back


def _beside_all(state: State, slip: Slip, good: Pairs, aside: Pairs, now: datetime) -> Sifted:
    """The same, each of those aside tried anew with all the good ones."""
    taken, refused = take(state, [_with(slip, good)], now), {}
    for pair in aside:
        found = _tried(state, slip, [*good, pair], now)
        if isinstance(found, Taken):
            good, taken = [*good, pair], found
        else:
            refused[pair[1].id] = _words(found)
    return Sifted(_with(slip, good), taken, refused)


def _with(slip: Slip, pairs: Pairs) -> Slip:
    return replace(slip, raw=tuple(raw for raw, _ in pairs), events=tuple(event for _, event in pairs))


def _tried(state: State, slip: Slip, pairs: Pairs, now: datetime) -> Taken | Sequence[str]:
    """What they make of the season, or all that speaks against it."""
    try:
        return take(state, [_with(slip, pairs)], now)
    except Refused as e:
        return [str(problem) for problem in e.told]


def _words(problems: Sequence[str]) -> str:
    return "; ".join(dict.fromkeys(problems))


def _is_named(event: Event, log: Log, problems: Sequence[str]) -> bool:
    """Whether a problem is told of this event, or of its pupa."""
    told = f"phone {event.device}, {moment(datetime.fromisoformat(event.at))}: "
    name = _name(event, log)
    return any(
        (problem.startswith(told) and ("no pupa '" not in problem or f"'{name}'" in problem))
        or (name and problem.startswith(f"{name}: "))
        for problem in problems
    )


def _name(event: Event, log: Log) -> str:
    """What a problem with its pupa begins with."""
    match event:
        case OfPupa():
            return pupa_of(event, log) or event.pupa
        case Recorded():
            return event.newcomer.source
        case TakenBack():
            entry = log.by_id.get(event.of)
            return entry.pupa if entry else ""
    return ""
