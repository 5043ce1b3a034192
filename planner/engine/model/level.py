"""A level of a lexicographic objective: what was reached, and what was proved of it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Level:
    """One objective of a lexicographic order, once it is solved.

    Attributes
    ----------
    name
        Of the objective; ``plan.yaml`` lists it under this name.
    value
        Of the best assignment found; None: no finite value (nobody has a neighbour).
    bound
        What no assignment can beat that is as good on the levels before; None: no finite one.
    proved
        Whether value and bound meet.
    """

    name: str
    value: float | None
    bound: float | None
    proved: bool
