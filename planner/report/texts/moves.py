"""The move list: every step in the order in which it works, to be ticked off beside the rack."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from itertools import groupby

from planner.report.texts.later_evenings import later_table
from planner.report.texts.pairs import pair_rows
from planner.report.texts.sheet import Block, Sheet, Table, Words
from planner.report.texts.text import CAUTION
from planner.season.places import Lid
from planner.season.plan.plan_record import Move, Plan
from planner.season.reading.told_dates import before, day_month, short_since, whole_day
from planner.season.season import Season
from planner.words import count, last_moment, some_ids, spot_name, void_steps, where

EVENING = timedelta(days=1)  # from one evening to the next
URGENT_NAMED = 12  # pupae, or runs of them; of each of the others the list says before when
_AT, _TO = 4, 5  # the columns that may be wide
_HOW = (
    "Do the steps in this order, each in its time. A pupa whose wings show through stays where it "
    "is: run plan again. " + CAUTION
)


_PARK = (
    " Parking is for minutes only: from there the pupa goes on to its own spot without a break. It is never "
    "laid down."
)


def move_list(season: Season, plan: Plan) -> str:
    """All moves of a plan, under a heading for each place they start from; empty boxes are for ticks.

    Then all clashes the plan leaves, for these are to be watched.
    """
    day = plan.on.date()
    parts: list[list[Block]] = [[Words(f"{season.name}: moves as planned on {whole_day(day)}")]]
    parts.append([Words(how(plan) if plan.moves else "Nobody is to be moved.")])
    steps = sorted(plan.moves, key=lambda m: m.step)
    for place, group in groupby(steps, key=lambda m: m.from_place):
        moves = list(group)
        title = Words(heading(season, place, len({m.pupa for m in moves})))
        parts.append([title, move_table(season, plan, moves)])
    if later := [*later_table(season, plan)]:
        parts.append(later)
    if plan.clashes:
        pairs = count(len(plan.clashes), "pair")
        title = Words(f"CLASHES to watch: {pairs} {plan.near(plan.clashes)}")
        parts.append([title, *pair_rows(season, plan, plan.clashes)])
    return str(Sheet.of(parts))


def heading(season: Season, place: str, number: int) -> str:
    """``From lid tub-2: 3 pupae (at = x,y in cm)``."""
    found = season.place.get(place)
    unit = "inches" if season.units == "in" else season.units
    at = f" (at = x,y in {unit})" if isinstance(found, Lid) else ""
    kind = f"{found.kind} " if found else ""
    return f"From {kind}{place}: {count(number, 'pupa', 'pupae')}{at}"


def move_table(season: Season, plan: Plan, moves: Sequence[Move], *, mixed: bool = False) -> Table:
    """One row for each move, with a row of names above.

    ``mixed``: moves from several places; each says from which, instead of where on it, and has no box.
    """
    names = ("", "step", "pupa", "pupated", "from" if mixed else "at", "to", "not before", "before")
    head, rows = _without_now(names, [_row(season, plan, m, mixed) for m in moves])
    notes = tuple(note(plan, m) for m in moves)
    if mixed:
        rest = "out/moves.txt has them"
        hurry = urgent_rows(moves, plan.on)
        rows = [row[1:] for row in rows]
        return Table(head[1:], rows, (_AT - 1, _TO - 1), "  ", notes, warn=hurry, spare=(2,), rest=rest)
    return Table(head, rows, (_AT, _TO), notes=notes)


def _without_now(
    head: tuple[str, ...], rows: Sequence[tuple[str, ...]]
) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Without the column "not before", where all can be done now."""
    k = head.index("not before")
    if all(row[k] == "now" for row in rows):
        return head[:k] + head[k + 1 :], [row[:k] + row[k + 1 :] for row in rows]
    return head, list(rows)


def _ends_soon(moves: Iterable[Move], now: datetime) -> dict[str, datetime]:
    """By when those are to be moved that cannot wait for another evening, where others can."""
    last: dict[str, datetime] = {}
    for move in moves:
        last[move.pupa] = min(last.get(move.pupa, move.not_after), move.not_after)
    soon = {pupa: end for pupa, end in last.items() if end - now < EVENING}
    return soon if len(soon) < len(last) else {}


def urgent(moves: Iterable[Move], now: datetime) -> str:
    """A sentence on whose step cannot wait for another evening, where others can; or empty."""
    soon = _ends_soon(moves, now)
    if not soon:
        return ""
    told = before(min(soon.values()), now)
    who = "it" if len(soon) == 1 else "them"
    when = told if told == "at once" else f"before the {told}"
    return f"Do not put off {some_ids(soon, URGENT_NAMED)}: move {who} {when}."


def urgent_rows(moves: Sequence[Move], now: datetime) -> tuple[int, ...]:
    """Which of the moves are theirs, counted from 0."""
    soon = _ends_soon(moves, now)
    return tuple(k for k, move in enumerate(moves) if move.pupa in soon)


def note(plan: Plan, move: Move) -> str:
    """What is to be heeded about a step beside its times: which come first, and whether it is for minutes."""
    parts = []
    parked = next((a for a, b in plan.goes_on.items() if b == move.step), None)
    if first := [str(n) for n in move.after if n != parked]:
        parts.append(f"after step{'s' if len(first) > 1 else ''} {' and '.join(first)}")
    if parked is not None:
        parts.append(f"from where step {parked} parked it")
    if on := plan.goes_on.get(move.step):
        parts.append(f"PARK it there: it goes on in step {on}; do steps {move.step} to {on} in one go")
    return "; ".join(parts)


def _row(season: Season, plan: Plan, move: Move, mixed: bool) -> tuple[str, ...]:
    pupa = season.pupa.get(move.pupa)
    at = spot_name(season, season.place.get(move.from_place), move.from_spot)
    return (
        "[ ]",
        str(move.step),
        move.pupa,
        day_month(pupa.pupated.day if pupa and pupa.pupated else None),
        where(season, move.from_place, move.from_spot) if mixed else at,
        where(season, move.to_place, move.to_spot),
        "now" if move.not_before <= plan.on else short_since(move.not_before),
        last_moment(move.not_after, plan.on),
    )


def move_rows(season: Season, plan: Plan) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Column names and a row for each step, without boxes, for the list on paper."""
    names = ("step", "pupa", "pupated", "from", "to", "not before", "before", "heed")
    steps = sorted(plan.moves, key=lambda m: m.step)
    cells = [(*_row(season, plan, m, mixed=True)[1:], note(plan, m)) for m in steps]
    head, rows = _without_now(names, cells)
    if not any(row[-1] for row in rows):
        return head[:-1], [row[:-1] for row in rows]
    return head, rows


def how(plan: Plan) -> str:
    """What is to be heeded with every step."""
    void = f" {text}" if (text := void_steps(plan.void)) else ""
    return _HOW + (_PARK if plan.goes_on else "") + void
