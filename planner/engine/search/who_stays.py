"""Who may stay at home, whatever hangs elsewhere: a relaxation of the whole, and so a bound."""

from __future__ import annotations

from dataclasses import dataclass

from planner.engine.model import budget
from planner.engine.model.cp_sat import cp_model
from planner.engine.model.instance import Instance
from planner.engine.model.sized_model import SizedModel
from planner.engine.model.solver import Effort, solve_repeatably


class HomeModel:
    """The model of the homes alone: of two who clash there one leaves, and nobody stays beside a pinned one.

    Whoever leaves hangs nowhere, so that every arrangement without clashes is a solution of it.

    Attributes
    ----------
    stay
        Item → a Boolean, of those who may stay at all.
    pairs
        The pairs of them that are neighbours at home and do not clash.
    """

    def __init__(self, inst: Instance, gap: float, effort: Effort):
        self.cp = SizedModel(effort)
        self.cp.name = f"who stays, gap {gap:g}"
        self.stay: dict[int, cp_model.IntVar] = {}
        self.pairs: list[tuple[int, int]] = []
        for i, home in inst.homes.items():
            if i not in inst.barred and not any(inst.clash(i, j, gap) for j in inst.pinned_beside(home)):
                self.stay[i] = self.cp.new_bool_var(f"{i} stays")
        for i, one in self.stay.items():
            for node in inst.graph.adj[inst.homes[i]]:
                j = inst.home_of.get(node, -1)
                if j <= i or j not in self.stay:
                    continue
                if inst.clash(i, j, gap):
                    self.cp.add_at_most_one([one, self.stay[j]])
                else:
                    self.pairs.append((i, j))
        self.stays = cp_model.LinearExpr.weighted_sum(  # what is saved by those who stay
            list(self.stay.values()), [inst.price_of(i) for i in self.stay]
        )


@dataclass(frozen=True)
class WhoStays:
    """Items that can all stay at home, and what moving costs at least, whoever stays.

    ``proved``: whether moving all others costs just that.
    """

    items: frozenset[int]
    least_handling: int
    proved: bool


def most_staying(inst: Instance, gap: float, effort: Effort) -> WhoStays:
    """As many items as can stay at home without a clash among them; most by price where some are dear.

    Raises
    ------
    TooLarge
        The time or memory left does not suffice for the model.
    """
    model = HomeModel(inst, gap, effort)
    price = inst.price_of_all
    if not model.stay:
        return WhoStays(frozenset(), price, proved=True)
    model.cp.maximize(model.stays)
    answer = solve_repeatably(model.cp, effort, budget.WHO_STAYS)
    most = sum(map(inst.price_of, model.stay)) if answer.bound is None else answer.bound
    staying = frozenset(i for i, one in model.stay.items() if answer.solved and answer.on(one))
    return WhoStays(staying, price - most, proved=sum(map(inst.price_of, staying)) == most)
