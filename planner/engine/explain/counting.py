"""Proofs by counting that not all can be hung: cliques of spots on one side, spans of dates on the other."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate

from planner.engine.model import budget
from planner.engine.model.due_classes import DueClasses, due_classes
from planner.engine.model.instance import EPS, Instance, Node


def too_many(inst: Instance, gap: float) -> bool:
    """Whether counting alone proves that there is no assignment without clashes; False: it proves nothing.

    Notes
    -----
    The nodes are parted into cliques. Of items due within some span a clique takes no more than are pairwise
    free of clashes, k(span), and no more than its clips have room: sum of min(k, room) over the cliques.
    Where more must hang there than that, some clash. Asked of the spans of every k, for those without a home
    on the open nodes, and for all on open nodes and homes.
    """
    free = inst.free_items
    homeless = [i for i in free if i not in inst.homes]
    if len(free) > len(inst.open_nodes) + len(inst.homes) or len(homeless) > len(inst.open_nodes):
        return True
    classes = due_classes(inst, gap)
    spans = list(_spans(classes, gap if not inst.risky else None))
    if inst.pinned:  # who keeps one class from a node leaves it to others of the span
        spans += [_Span(range(c, c + 1), 1) for c in range(len(classes)) if gap > EPS and not inst.risky]
    open_nodes = set(inst.open_nodes)
    homes = [node for node in inst.homes.values() if node not in open_nodes]
    for items, nodes in ((homeless, inst.open_nodes), (free, (*inst.open_nodes, *homes))):
        if items and _exceeded(inst, classes, spans, items, nodes):
            return True
        if len(homeless) == len(free):
            break
    return False


@dataclass(frozen=True)
class _Span:
    """Consecutive classes, of which no more than ``apart`` items are pairwise free of clashes."""

    classes: Sequence[int]
    apart: int


def _spans(classes: DueClasses, gap: float | None) -> Iterator[_Span]:
    """The spans that take in all they can, for each number that fits beside one another; and that of all.

    ``gap`` None: kinds clash, so that no more is known than of sets of classes that all clash.
    """
    everybody = range(len(classes))
    yield _Span(everybody, sum(map(len, classes.members)))
    if gap is None or len(classes) > budget.COUNTED_CLASSES:
        yield from (_Span(run, 1) for run in classes.runs)
        return
    if gap <= EPS:
        return
    after = [near[-1] + 1 for near in classes.near if isinstance(near, range)]
    begin = [*after]  # where the span of k from each class on ends
    for apart in range(1, len(classes) + 1):
        for c, end in enumerate(begin):
            if not c or begin[c - 1] < end:  # else the one from the class before takes it in
                yield _Span(range(c, end), apart)
        if begin[0] == len(classes):
            return
        begin = [end if end == len(classes) else after[end] for end in begin]


def _exceeded(
    inst: Instance, classes: DueClasses, spans: Iterable[_Span], items: Collection[int], nodes: Sequence[Node]
) -> bool:
    """Whether more of those items are due within one of the spans than all cliques of the nodes take."""
    own = set(items)
    load = [sum(i in own for i in members) for members in classes.members]
    before = [0, *accumulate(load)]
    cliques = parted(nodes, inst.graph.adj)
    rooms = [len(parted(clique, inst.excludes, apart=inst.home_of)) for clique in cliques]
    shut = _shut(inst, classes, nodes)
    for span in spans:
        of, apart = span.classes, span.apart
        many = before[of.stop] - before[of.start] if isinstance(of, range) else sum(load[c] for c in of)
        if not many or (not shut and many <= len(cliques)):
            continue
        if not shut:
            most = sum(min(apart, room) for room in rooms)
        else:
            most = sum(
                min(
                    apart,
                    room,
                    sum(node not in shut or any(c not in shut[node] for c in of) for node in clique),
                )
                for clique, room in zip(cliques, rooms, strict=True)
            )
        if many > most:
            return True
    return False


def _shut(inst: Instance, classes: DueClasses, nodes: Iterable[Node]) -> dict[Node, set[int]]:
    """Node → the classes that a pinned neighbour keeps away from it."""
    found: dict[Node, set[int]] = {}
    wanted = set(nodes)
    for node, item in inst.pinned_at.items():
        for other in inst.graph[node]:
            if other in wanted:
                found.setdefault(other, set()).update(classes.near[classes.of[item]])
    return found


def parted(
    nodes: Iterable[Node], near: Mapping[Node, Collection[Node]], apart: Collection[Node] = ()
) -> list[list[Node]]:
    """The nodes parted into cliques of ``near``, grown greedily one after another; few, but not the fewest.

    ``apart``: nodes that are each left alone.
    """
    rest = dict.fromkeys(nodes)
    cliques: list[list[Node]] = []
    while rest:
        node = next(iter(rest))
        del rest[node]
        clique = [node]
        able = [] if node in apart else [n for n in near.get(node, ()) if n in rest and n not in apart]
        while able:
            taken = able[0]
            del rest[taken]
            clique.append(taken)
            able = [other for other in able[1:] if other in near[taken]]
        cliques.append(clique)
    return cliques
