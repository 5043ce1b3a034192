"""What it would cost to hang an item anywhere, kept up to date as items come and go."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import networkx as nx
import numpy as np
import numpy.typing as npt

from planner.engine.model.instance import Instance, Node, SpotOf

Whole = npt.NDArray[np.int64]
SHUT = np.int64(2**61)  # the cost of a node that is not to be had: far above any sum of costs


@dataclass(frozen=True, eq=False)
class Costs:
    """The costs of an arrangement, each already multiplied with its weight.

    Attributes
    ----------
    sort
        Item → its sort: items of one sort are interchangeable but for what it costs to carry them.
    beside
        Shape (sorts, sorts): what two neighbours of these sorts cost.
    crowded
        What two items cost on nodes that are joined in ``close``, whatever their sorts.
    close
        Joins nodes that are nearer to one another than is liked.
    touch
        What it costs to move an item from its home, for each unit of its price.
    group
        Item → which row of ``carry`` is its own.
    carry
        Shape (groups, open nodes): what it costs to carry one of a group there.
    shut
        Shape (sorts, open nodes): whether one of a sort may never hang there.
    """

    sort: Sequence[int]
    beside: Whole
    crowded: int
    close: nx.Graph[Any]
    touch: int
    group: Mapping[int, int]
    carry: Whole
    shut: npt.NDArray[np.bool_]


class Fields:
    """The open nodes and homes of an instance, who hangs where, and what each would cost one of each sort.

    Parameters
    ----------
    inst
        No home is an open node.
    """

    def __init__(self, inst: Instance, costs: Costs, spot_of: SpotOf):
        self.inst, self.costs = inst, costs
        self.nodes = [*inst.open_nodes, *inst.homes.values()]
        self.open = len(inst.open_nodes)
        self.number = {node: k for k, node in enumerate(self.nodes)}
        close = costs.close
        self.near = {node: self._numbers(inst.graph.adj[node]) for node in inst.graph}
        self.crowd = {
            node: self._numbers(n for n in close.adj[node] if n not in inst.home_of) for node in close
        }
        self.excluded = {
            node: self._numbers((node, *inst.excludes.get(node, ()))) for node in inst.open_nodes
        }
        for home in inst.homes.values():  # two whose homes are too near may stay both
            self.excluded[home] = self._numbers(
                n for n in inst.excludes.get(home, ()) if n not in inst.home_of
            )
        self.field = np.zeros((len(self.nodes), len(costs.beside)), dtype=np.int64)  # rows, for they change
        self.field[: self.open][costs.shut.T] = SHUT
        self.taken = np.zeros(len(self.nodes), dtype=np.int64)
        self.at: dict[int, Node] = {}
        self.held: dict[Node, int] = {}
        free = {*inst.free_items}
        for item in (i for i in spot_of if i not in free):
            self.put(item, spot_of[item])
        self.total = sum(self.put(item, spot_of[item]) for item in inst.free_items)

    def _numbers(self, nodes: Iterable[Hashable]) -> npt.NDArray[np.intp]:
        found = [k for node in nodes if (k := self.number.get(node, -1)) >= 0]
        return np.array(sorted(found), dtype=np.intp)

    def put(self, item: int, node: Node) -> int:
        """Hang an item there; returns what that costs beside those that hang already."""
        cost = self.cost(item, node)
        self._change(item, node, 1)
        self.at[item], self.held[node] = node, item
        return cost

    def take(self, item: int) -> int:
        """Take an item down; returns what that saves."""
        node = self.at.pop(item)
        del self.held[node]
        self._change(item, node, -1)
        return self.cost(item, node)

    def _change(self, item: int, node: Node, sign: int) -> None:
        sort = self.costs.sort[item]
        if len(near := self.near[node]):
            self.field[near] += sign * self.costs.beside[:, sort]
        if (crowd := self.crowd.get(node)) is not None and len(crowd):
            self.field[crowd] += sign * self.costs.crowded
        if (excluded := self.excluded.get(node)) is not None:
            self.taken[excluded] += sign

    def cost(self, item: int, node: Node) -> int:
        """What it costs to hang a free item at a node beside those that hang; pinned ones are no decision."""
        if item in self.inst.pinned:
            return 0
        k = self.number[node]
        cost = int(self.field[k, self.costs.sort[item]])
        if k >= self.open:
            return cost
        return cost + self._touch(item) + int(self.costs.carry[self.costs.group[item], k])

    def _touch(self, item: int) -> int:
        return self.costs.touch * self.inst.price_of(item)

    def best(self, item: int) -> Node | None:
        """Where an item that does not hang costs least; None where no node is to be had."""
        costs, n = self.costs, self.open
        row = self.field[:n, costs.sort[item]] + costs.carry[costs.group[item]]
        row[self.taken[:n] > 0] = SHUT
        k = int(row.argmin()) if n else -1
        least = int(row[k]) if n else int(SHUT)
        if (home := self.inst.homes.get(item)) is not None:
            h = self.number[home]
            if not self.taken[h] and self.field[h, costs.sort[item]] <= least + self._touch(item):
                return home
        return None if least >= SHUT else self.nodes[k]

    def beside(self, node: Node) -> list[int]:
        """The free items that hang beside a node."""
        near = (self.held.get(self.nodes[k]) for k in self.near[node].tolist())
        return [i for i in near if i is not None and i not in self.inst.pinned]
