"""The CP-SAT model of an instance: its variables under all constraints."""

from __future__ import annotations

from planner.engine.model.constraints import CONSTRAINTS
from planner.engine.model.variables import Variables


class HangModel(Variables):
    """The variables of one instance at one gap, constrained; see `Variables` for the parameters."""

    def _constrain(self) -> None:
        for constraint in CONSTRAINTS:
            constraint(self)
