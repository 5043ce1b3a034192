"""Due classes: items with one due are interchangeable, as are dues that clash with just the same others."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations_with_replacement

import networkx as nx

from planner.engine.model.instance import EPS, Coming, Instance


@dataclass(frozen=True)
class DueClasses:
    """Items grouped by due (and kind, where kinds matter), ascending.

    Where only dates count, two classes clash when their dues are closer than the gap. That clash graph is a
    unit interval graph, so its maximal cliques are *runs* of consecutive classes.
    """

    dues: tuple[float, ...]  # of each class, the earliest
    members: tuple[tuple[int, ...], ...]  # items of each class
    near: tuple[Collection[int], ...]  # the classes each class clashes with; itself too if its items clash
    runs: tuple[Sequence[int], ...]  # maximal sets of mutually clashing classes
    pairs: tuple[tuple[int, int], ...]  # clashing pairs in no run, both ways round
    coming: tuple[int, ...] = ()  # class of each of the instance's items to come
    undated: tuple[int, ...] = ()  # classes of items that may be due on any day

    @cached_property
    def of(self) -> dict[int, int]:
        """Item → class."""
        return {i: c for c, items in enumerate(self.members) for i in items}

    def runs_at(self, days: float) -> tuple[Sequence[int], ...]:
        """Runs of classes due closer than ``days``; right only for classes that were not merged.

        Who may be due on any day may be due with each of a run.
        """
        if not self.undated:
            return _runs(_windows(self.dues, days))
        dated = [c for c in range(len(self)) if c not in self.undated]
        runs = _runs(_windows([self.dues[c] for c in dated], days))
        return tuple((*(dated[k] for k in run), *self.undated) for run in runs) or (self.undated,)

    def __len__(self) -> int:
        return len(self.dues)


def due_classes(inst: Instance, gap: float, *, merge: bool = True, with_coming: bool = False) -> DueClasses:
    """The due classes of the items of an instance.

    Parameters
    ----------
    gap
        Days; at 0 dates allow everybody to be neighbours.
    merge
        Whether dues that clash with each other and with exactly the same others become one class (twins:
        nothing is lost at this gap).
    with_coming
        Whether those to come have classes too, which may have no members.
    """
    found = _grouped(inst, gap, merge and not inst.reserved_beside, inst.coming if with_coming else ())
    if not with_coming:
        return found
    n, of = len(inst.dues), found.of
    return replace(
        found,
        members=tuple(tuple(i for i in items if i < n) for items in found.members),
        coming=tuple(of[n + k] for k in range(len(inst.coming))),
    )


def _grouped(inst: Instance, gap: float, merge: bool, coming: Sequence[Coming]) -> DueClasses:
    """The classes; those to come are items n, n + 1, … here."""
    groups: list[tuple[float, int, list[int]]] = []
    dues = [*inst.dues, *(c.due for c in coming)]
    kinds = [*inst.kinds, *(c.kind for c in coming)] if inst.risky else [0] * len(dues)
    for item in sorted(range(len(dues)), key=lambda i: (dues[i], kinds[i], i)):
        due, kind = dues[item], kinds[item]
        if groups and due - groups[-1][0] < EPS and kind == groups[-1][1]:
            groups[-1][2].append(item)
        else:
            groups.append((due, kind, [item]))
    if inst.risky:
        undated = tuple(c for c, (_, _, items) in enumerate(groups) if inst.undated & set(items))
        return replace(_with_risk(inst, gap, groups), undated=undated)
    windows = _windows([due for due, _, _ in groups], gap)
    merged: list[tuple[float, list[int]]] = []
    for (due, _, items), window, before in zip(groups, windows, [None, *windows], strict=False):
        if merge and window == before and window[0] < window[1]:
            merged[-1][1].extend(items)
        else:
            merged.append((due, list(items)))
    firsts = tuple(due for due, _ in merged)
    members = tuple(tuple(items) for _, items in merged)
    if gap <= EPS:  # nobody clashes, not even two of one date
        return DueClasses(firsts, members, ((),) * len(firsts), (), ())
    # Twins span no gap, so the windows of the representatives are those of all members.
    windows = _windows(firsts, gap)
    near = tuple(range(first, last + 1) for first, last in windows)
    return DueClasses(firsts, members, near, _runs(windows), ())


def _with_risk(inst: Instance, gap: float, groups: Sequence[tuple[float, int, list[int]]]) -> DueClasses:
    """Classes that clash by date or by kind: any graph, so its maximal cliques are searched for."""
    near: list[set[int]] = [set() for _ in groups]
    for c, d in combinations_with_replacement(range(len(groups)), 2):
        (due, kind, _), (other, its_kind, _) = groups[c], groups[d]
        if abs(due - other) < gap - EPS or (kind, its_kind) in inst.risky:
            near[c].add(d)
            near[d].add(c)
    runs, pairs = cliques_of(near)
    members = tuple(tuple(items) for _, _, items in groups)
    return DueClasses(tuple(due for due, _, _ in groups), members, tuple(near), runs, pairs)


def cliques_of(
    near: Sequence[Collection[int]],
) -> tuple[tuple[tuple[int, ...], ...], tuple[tuple[int, int], ...]]:
    """Maximal sets of classes each near all others and itself, and the pairs in no such set, both ways round.

    ``near``: of each class, those it is near; itself too if two of its items are.
    """
    selfish = {c for c, others in enumerate(near) if c in others}
    graph: nx.Graph[int] = nx.Graph()
    graph.add_nodes_from(selfish)
    graph.add_edges_from((c, d) for c in selfish for d in near[c] if d in selfish and c != d)
    runs = tuple(tuple(sorted(clique)) for clique in nx.find_cliques(graph)) if selfish else ()
    # A class whose own items may be neighbours fits into no run: its pairs are taken one by one.
    pairs = tuple(
        (c, d) for c, others in enumerate(near) for d in others if c not in selfish or d not in selfish
    )
    return runs, pairs


def _runs(windows: Sequence[tuple[int, int]]) -> tuple[range, ...]:
    found: list[range] = []
    for c, (_, last) in enumerate(windows):
        if not found or last + 1 > found[-1].stop:
            found.append(range(c, last + 1))
    return tuple(found)


def _windows(dues: Sequence[float], gap: float) -> list[tuple[int, int]]:
    """First and last index whose due is closer than ``gap``, for each of ascending ``dues``."""
    windows = []
    first = last = 0
    for c, due in enumerate(dues):
        while due - dues[first] >= gap - EPS and first < c:
            first += 1
        last = max(last, c)
        while last + 1 < len(dues) and dues[last + 1] - due < gap - EPS:
            last += 1
        windows.append((first, last))
    return windows
