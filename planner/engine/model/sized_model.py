"""A model that is given up while it is made, where time or memory do not allow it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from planner.engine.model import budget
from planner.engine.model.cp_sat import cp_model
from planner.engine.model.estimate import affordable_terms
from planner.engine.model.faults import TooLarge
from planner.engine.model.solver import Effort


class SizedModel(cp_model.CpModel):
    """A model that counts its terms while it is made: Booleans, and literals in constraints.

    Parameters
    ----------
    effort
        None: whatever the size.

    Raises
    ------
    TooLarge
        From whatever adds to it: beyond the terms that are affordable in the time left, when that is over,
        and after Ctrl-C.
    """

    def __init__(self, effort: Effort | None):
        super().__init__()
        self.terms = self._looked = 0
        self._clock, self._most = None, math.inf
        if effort is not None:
            affordable = affordable_terms(effort.clock.steady_left, effort.memory)
            self._clock, self._most = effort.clock, max(budget.TERMS_LEAST, affordable)

    def expect(self, terms: float) -> None:
        """Give up at once where even half of the terms that are expected are too many."""
        if terms / 2 > self._most:
            raise TooLarge(f"{terms:g} terms")

    def spend(self, terms: int) -> None:
        """Count terms that are added, and look at the clock now and then."""
        self.terms += terms
        if self.terms - self._looked < budget.TERMS_ROUND:
            return
        self._looked = self.terms
        if self.terms > self._most or (self._clock is not None and self._clock.left <= 0):
            raise TooLarge(f"{self.terms} terms")

    def new_bool_var(self, name: str) -> cp_model.IntVar:
        """A Boolean."""
        self.spend(1)
        return super().new_bool_var(name)

    def add_at_most_one(self, *literals: Any) -> Any:
        """At most one of the literals is true."""
        return super().add_at_most_one(self._counted(literals))

    def add_bool_or(self, *literals: Any) -> Any:
        """One of the literals is true, or more."""
        return super().add_bool_or(self._counted(literals))

    def _counted(self, literals: tuple[Any, ...]) -> list[Any]:
        first = literals[0] if len(literals) == 1 and isinstance(literals[0], Iterable) else literals
        found = list(first)
        self.spend(len(found))
        return found
