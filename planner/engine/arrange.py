"""``arrange``: the engine for any neighbour graph and any dates, usable without a season."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Mapping
from typing import TypeVar

import networkx as nx

from planner.engine.affordable_fewest import affordable_fewest
from planner.engine.affordable_widest import affordable_widest
from planner.engine.arguments import (
    Days,
    Due,
    checked_instance,
    checked_seconds,
    checked_seed,
    checked_workers,
    days_of_dues,
    days_of_gap,
)
from planner.engine.arrangement import Arrangement
from planner.engine.interrupt import interruptible
from planner.engine.model.instance import SAME, Instance, SpotOf
from planner.engine.model.solver import Clock, Effort

N = TypeVar("N", bound=Hashable)


def arrange(
    graph: nx.Graph[N],
    dues: Mapping[int, Due] | Iterable[Due],
    *,
    gap: Days | None = None,
    pinned: Mapping[int, N] | None = None,
    seconds: float = 60,
    seed: int = 0,
    workers: int | None = None,
) -> Arrangement[N]:
    """Put items with dues on the nodes of a graph, so that neighbours are due far apart.

    Parameters
    ----------
    graph
        Undirected; an edge joins two spots that are neighbours. Self-loops are ignored, and so is how often
        two are joined.
    dues
        One per item, in any order, repeats allowed; at most one item per node. Days as numbers or as lengths
        of time (timedelta, numpy's timedelta64), at most 10⁹ either way; or dates: date, datetime, numpy's
        datetime64, pandas' Timestamp, all with a time zone or all without. An array or a Series is taken in
        its order, whatever its index; of a mapping the keys must be the items 0, 1, 2 …
    gap
        None: the smallest gap between neighbours is made as wide as possible. Else days, or a timedelta: as
        few pairs of neighbours as possible are due closer than this.
    pinned
        Items (by index) that have their node already.
    seconds
        Time limit, kept within a tenth and half a second; the best found by then is returned, marked as not
        proved. Ctrl-C does the same at once, a second Ctrl-C raises KeyboardInterrupt (in the main thread,
        and unless the program has a handler of its own).
    seed, workers
        Of the solver. One worker gives the same answer every time, if it ends before the time limit. None:
        one worker first, then all cores for what is hard.

    Returns
    -------
    Arrangement

    Raises
    ------
    ValueError
        More items than nodes, a due or gap that is not finite, a due too far off, a negative gap or time,
        no workers or more than 1,000, an unknown item or node in ``pinned``, two items pinned to one node, a
        seed too large, a directed graph.
    TypeError
        What is of another kind: text or a truth value for a number, dues in no order, dates beside numbers,
        lengths in years or months, which vary.

    Notes
    -----
    Two dues closer than 10⁻⁶ days (0.09 s) are one, and a gap that is missed by less than that is kept.
    Differences of dues are rounded to 10⁻⁶ days, so a bound holds to within 2 · 10⁻⁶.

    No step is begun that is too large for the time or for a quarter of the memory
    (``engine/model/budget.py``). Of many different dues on many nodes the exact model is then asked with
    rounded dues, or not at all.

    With n items due on n consecutive days and n nodes the widest smallest gap is the antibandwidth (dual
    bandwidth, separation number) of the graph [1]_.

    References
    ----------
    .. [1] J. Y.-T. Leung, O. Vornberger, J. D. Witthoff, "On some variants of the bandwidth minimization
       problem", SIAM J. Comput. 13 (1984) 650-667.

    Examples
    --------
    >>> arrange(nx.path_graph(6), dues=range(6)).smallest_gap
    3
    """
    clock = Clock(checked_seconds(seconds))
    effort = Effort(clock, checked_seed(seed), checked_workers(workers))
    with interruptible(clock):
        days = days_of_gap(gap)
        inst = checked_instance(graph, days_of_dues(dues), pinned)
        spot_of, bound = _solve(inst, days, effort)
        # The engine leaves out pairs of two pinned items, for nothing can be decided there; here they count.
        all_free = Instance(inst.graph, inst.dues, {}, ())
        smallest = all_free.smallest_gap(spot_of)
        clashes = [] if days is None else all_free.clashes(spot_of, days)
        if days is None:
            bound = min(bound, all_free.smallest_gap(dict(inst.pinned)))
        else:
            bound += all_free.count_clashes(dict(inst.pinned), days)
    proved = smallest >= bound - SAME if days is None else len(clashes) == bound
    whole = all(due.is_integer() for due in inst.dues)
    return Arrangement(
        spot_of={i: spot_of[i] for i in range(len(inst.dues))},  # type: ignore[misc]  # nodes of this graph
        smallest_gap=_whole(smallest, whole),
        clashes=tuple(sorted((min(pair), max(pair)) for pair in clashes)),
        bound=_whole(bound, whole),
        proved=proved,
        gap=days,
        graph=graph,
        dues=inst.dues,
        pinned=dict(pinned or {}),
    )


def _solve(inst: Instance, gap: float | None, effort: Effort) -> tuple[SpotOf, float]:
    """An assignment, and the bound on its gap or its clashes; pairs of two pinned items aside."""
    if not inst.dues:
        return {}, math.inf if gap is None else 0
    if gap is None:
        wide = affordable_widest(inst, effort)
        return wide.spot_of, wide.bound
    fewest = affordable_fewest(inst, gap, effort)
    return fewest.spot_of, fewest.bound


def _whole(days: float, whole: bool) -> float:
    return int(days) if whole and math.isfinite(days) else days
