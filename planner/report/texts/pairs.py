"""Pairs of neighbours due too soon after one another, as rows that name both."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from planner.report.texts.sheet import Block, Table, Words
from planner.season.plan.plan_record import Plan, TooClose
from planner.season.reading.told_dates import day_month
from planner.season.season import Season
from planner.words import days, ids, length, where

_HEAD = ("pupa", "hangs", "due", "pupa", "hangs", "due", "apart", "days")
_HANGS = (1, 4)


def pair_rows(season: Season, plan: Plan, pairs: Sequence[TooClose], rest: str = "") -> Iterator[Block]:
    """One row for each pair, under a row of names; pairs with a reason stand together under it.

    ``rest``: where those are that a screen has no room for.
    """
    groups: defaultdict[str, list[TooClose]] = defaultdict(list)
    for pair in pairs:
        groups[pair.why].append(pair)
    sides = {
        h.pupa: (h.pupa, where(season, h.place, h.spot), day_month(h.due) if h.due else "no date")
        for h in plan.hangs
    }
    undated = plan.undated(pairs)
    for why, found in groups.items():
        if why:
            yield Words(f"{why}:", "  ", "  ")
        rows = [_row(season, sides, pair, undated) for pair in found]
        yield Table(_HEAD, rows, _HANGS, "  ", rest=rest)
    if undated:
        yield Words(no_date(undated), "  ", "  ")


def no_date(names: Sequence[str]) -> str:
    """Why those clash with whoever is beside them, in words."""
    it = "it" if len(names) == 1 else "they"
    return f"No date is known of {ids(names)}: {it} may be due on any day."


def _row(
    season: Season, sides: dict[str, tuple[str, str, str]], pair: TooClose, undated: Sequence[str]
) -> tuple[str, ...]:
    a, b = (sides.get(name, (name, "?", "?")) for name in (pair.a, pair.b))
    apart = "one lid" if pair.distance is None else length(season, pair.distance)
    return (*a, *b, apart, "?" if {pair.a, pair.b} & {*undated} else days(pair.gap).split()[0])
