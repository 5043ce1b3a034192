"""Brackets over a line, each from one of a pair to the other; many of a kind are joined in runs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from planner.draw.data import Hung, Pair
from planner.draw.map.links import sign_text, sign_width
from planner.words import count

MOST_LEVELS = {False: 6, True: 3}  # by whether it is a wait; what needs more is drawn in runs
BESIDE = 1.0  # mm between two of a level


@dataclass(frozen=True)
class Bracket:
    """From ``low`` to ``high``, mm along the paper, with words in its middle; ``legs``: who is of it.

    ``pairs``: for how many it stands; ``level``: 0 is nearest to the line.
    """

    low: float
    high: float
    words: str
    wait: bool
    legs: tuple[float, ...]
    pairs: int = 1
    level: int = 0


def brackets(
    pairs: Sequence[Pair], at: Mapping[str, float], middle: Callable[[float, float, str], float]
) -> list[Bracket]:
    """One for each pair that has somebody ``at`` a point of this line (mm), or for each run of such pairs.

    ``middle`` says where words go between two points.
    """
    found: list[Bracket] = []
    for wait in (False, True):
        single = [one for pair in pairs if pair.wait == wait for one in _single(pair, at)]
        levels = max((b.level for b in _levelled(single, middle)), default=-1) + 1
        found += single if levels <= MOST_LEVELS[wait] else _runs(single)
    return _levelled(found, middle)


def _single(pair: Pair, at: Mapping[str, float]) -> Iterator[Bracket]:
    here: list[Hung] = [h for h in (pair.a, pair.b) if h.pupa in at]
    if here:
        other = pair.b if here[0] is pair.a else pair.a
        words = sign_text(pair) + ("" if len(here) == 2 else f" with {other.pupa}")
        xs = tuple(sorted(at[h.pupa] for h in here))
        yield Bracket(xs[0], xs[-1], words, pair.wait, xs)


def _runs(single: Iterable[Bracket]) -> list[Bracket]:
    """Join those that overlap or meet; each says how many pairs it stands for."""
    runs: list[Bracket] = []
    for one in sorted(single, key=lambda b: b.low):
        last = runs[-1] if runs else None
        if last is None or one.low > last.high:
            runs.append(one)
            continue
        pairs = last.pairs + one.pairs
        legs = tuple(sorted({*last.legs, *one.legs}))
        words = f"{'wait' if one.wait else 'CLASH'}, {count(pairs, 'pair')}"
        runs[-1] = replace(last, high=max(last.high, one.high), words=words, legs=legs, pairs=pairs)
    return runs


def _levelled(found: Iterable[Bracket], middle: Callable[[float, float, str], float]) -> list[Bracket]:
    """Each at the lowest level that has room for it and its words."""
    ends: list[float] = []
    placed = []
    for one in sorted(found, key=lambda b: (b.low, b.high, b.words)):
        at, half = middle(one.low, one.high, one.words), sign_width(one.words) / 2
        left, right = min(one.low, at - half), max(one.high, at + half)
        level = next((i for i, end in enumerate(ends) if left > end + BESIDE), len(ends))
        ends[level : level + 1] = [right]
        placed.append(replace(one, level=level))
    return placed
