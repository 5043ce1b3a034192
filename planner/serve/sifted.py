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
    if not aside:
        return Sifted(slip, found, {})
    aside.sort(key=lambda pair: pair[1].order)
    kept, refused = _with_more(state, slip, good, aside, now, together=False)
    whole = _tried(state, slip, kept, now)
    if not isinstance(whole, Taken):  # such as a newcomer that is recorded and taken back
        kept, refused = _with_more(state, slip, good, aside, now, together=True)
        whole = take(state, [_with(slip, kept)], now)
    return Sifted(_with(slip, kept), whole, refused)


def _with_more(
    state: State, slip: Slip, good: Pairs, aside: Pairs, now: datetime, *, together: bool
) -> tuple[Pairs, dict[str, str]]:
    """The good events with those aside that were only beside a faulty one; and why not, of the others.

    ``together``: each is tried beside all that are kept, else upon what those make of the season, which is
    sooner done.
    """
    kept, refused = list(good), dict[str, str]()
    upon = take(state, [_with(slip, good)], now).state
    for pair in aside:
        found = _tried(state, slip, [*kept, pair], now) if together else _tried(upon, slip, [pair], now)
        if isinstance(found, Taken):
            kept.append(pair)
            upon = found.state
        else:
            refused[pair[1].id] = "; ".join(dict.fromkeys(found))
    return kept, refused


def _with(slip: Slip, pairs: Pairs) -> Slip:
    return replace(slip, raw=tuple(raw for raw, _ in pairs), events=tuple(event for _, event in pairs))


def _tried(state: State, slip: Slip, pairs: Pairs, now: datetime) -> Taken | Sequence[str]:
    """What they make of the season, or all that speaks against it."""
    try:
        return take(state, [_with(slip, pairs)], now)
    except Refused as e:
        return [str(problem) for problem in e.told]


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
