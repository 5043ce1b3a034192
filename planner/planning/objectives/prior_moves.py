"""The moves of the plan in force that are still to be made, and which of them change."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from planner.engine.model.instance import Instance, Node, SpotOf
from planner.engine.model.level import Level
from planner.engine.model.penalties import Penalty
from planner.engine.model.solver import Effort
from planner.engine.search.lexicographic import Solution
from planner.engine.secondary.stability import kept, most_kept
from planner.planning.problem.season_problem import SeasonProblem
from planner.rack.spots import Spot
from planner.season.plan.plan_record import Changed, Hang, Plan


@dataclass(frozen=True)
class PriorMoves:
    """The moves of the plan ``before`` that are not made yet, of those who may be moved in ``problem``.

    Also those that it had for a later evening. ``rehung``: whether other plans, in which those that hang are
    moved as well, were sought and are no better: of them it is not known how many moves they change.
    """

    problem: SeasonProblem
    before: Plan | None
    rehung: bool = False

    @cached_property
    def to_make(self) -> dict[int, Hang]:
        """Item → where the plan before has it, if it is to be moved and does not hang there yet."""
        if self.before is None:
            return {}
        hangs = {one.who: Hang(pupa=one.who, place=one.place, spot=one.spot) for one in self.before.later}
        hangs |= {hang.pupa: hang for hang in self.before.hangs if hang.from_place is not None}
        found = {}
        for i in self.problem.instance.free_items:
            hang, home = hangs.get(self.problem.ids[i]), self.problem.instance.homes.get(i)
            if hang is not None and not _is(home, hang):
                found[i] = hang
        return found

    @cached_property
    def nodes(self) -> SpotOf:
        """Item → its node, where that is still open; nobody's twice."""
        open_nodes = {(node.place, node.tag): node for node in self.problem.instance.open_nodes}  # type: ignore[attr-defined]  # Spots here
        found: SpotOf = {}
        for i, hang in self.to_make.items():
            node = open_nodes.pop((hang.place, hang.spot), None)
            if node is not None:
                found[i] = node
        return found

    @cached_property
    def reserved(self) -> set[tuple[str, Node]]:
        """(Pupa, node) of those who were to be hung on a later evening, and still are."""
        nodes = {
            (node.place, node.tag): node for node in self.problem.instance.graph if isinstance(node, Spot)
        }
        later = self.before.later if self.before else ()
        return {(one.who, node) for one in later if (node := nodes.get((one.place, one.spot)))}

    @cached_property
    def off_grid(self) -> int:
        """How many have a point on a line with sliding clips that is none of the positions tried now."""
        lost = (hang for i, hang in self.to_make.items() if i not in self.nodes)
        places = (self.problem.season.place.get(hang.place) for hang in lost)
        return sum(place is not None and place.slides for place in places)

    @property
    def shut(self) -> int:
        """How many have a spot that is open to nobody now, or that two were to have."""
        return len(self.to_make) - len(self.nodes) - self.off_grid

    def kept(self, spot_of: SpotOf) -> SpotOf:
        """Those that have their node in an assignment."""
        return kept(spot_of, self.nodes)

    def all_kept(self, spot_of: SpotOf) -> bool:
        """Whether more cannot be kept."""
        return not self.off_grid and len(self.kept(spot_of)) == len(self.nodes)

    def changed(self, spot_of: SpotOf) -> Iterator[Changed]:
        """Those who are not to hang where the plan before had them, in the order of the record."""
        for i, hang in self.to_make.items():
            if not _is(spot_of[i], hang):
                yield Changed(pupa=hang.pupa, place=hang.place, spot=hang.spot)

    def level(self, spot_of: SpotOf, least: int) -> Level:
        """The level ``stability`` of an assignment; of ``nodes`` at least so many are lost."""
        value, bound = sum(1 for _ in self.changed(spot_of)), 0 if self.rehung else least + self.shut
        return Level(name="stability", value=value, bound=bound, proved=value == bound)


def with_stability(
    prior: PriorMoves, inst: Instance, solution: Solution, gap: float, penalty: Penalty | None, effort: Effort
) -> tuple[Solution, int]:
    """The solution in which most moves of the plan before keep their nodes; how many lose theirs at least.

    ``inst``: the instance of the prior moves, perhaps with more pinned and fewer nodes open.
    """
    free, open_nodes = {*inst.free_items}, {*inst.open_nodes}
    nodes = {i: node for i, node in prior.nodes.items() if i in free and node in open_nodes}
    if not nodes:
        return solution, 0
    return most_kept(inst, solution, gap, nodes, penalty, effort)


def _is(node: Node | None, hang: Hang) -> bool:
    return isinstance(node, Spot) and (node.place, node.tag) == (hang.place, hang.spot)
