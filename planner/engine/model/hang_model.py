"""The CP-SAT model of an instance: its variables under all constraints."""

from __future__ import annotations

from collections.abc import Sequence

from planner.engine.model.constraints import CONSTRAINTS
from planner.engine.model.instance import Instance, Node
from planner.engine.model.variables import Variables


class HangModel(Variables):
    """The variables of one instance at one gap, constrained; see `Variables` for the parameters."""

    def __init__(
        self,
        inst: Instance,
        gap: float,
        cover: Sequence[list[Node]] | None = None,
        *,
        counted: bool = False,
        merge: bool = True,
        ahead: bool = False,
        demand: bool = True,
    ):
        super().__init__(inst, gap, cover, counted=counted, merge=merge, ahead=ahead, demand=demand)
        for constraint in CONSTRAINTS:
            constraint(self)
