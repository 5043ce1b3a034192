"""The rows of ``pupae.csv``."""

from __future__ import annotations

from dataclasses import dataclass

from planner.season.when import When

OUTCOMES = ("emerged", "failed", "deformed", "parasitised", "escaped", "released", "removed")
COLUMNS = (
    "id", "species", "pupated", "place", "spot", "x", "y", "hung", "stay", "darkening", "outcome", "ended",
    "note",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Pupa:
    """One animal, as recorded.

    ``pupated`` None: a prepupa still hanging in a J. ``place`` is where it is now: a lid (then ``x``, ``y``
    in cm in the lid's frame, or both None when not measured) or a line or board (then ``spot``: on a line the
    position in the keeper's unit as written, on a board the pin ``r2p5``). ``stay``: the keeper wants it
    left where it is. ``outcome``: how it ended, one of OUTCOMES, ``ended`` when; it then takes no spot.
    ``line`` is its line in pupae.csv.
    """

    id: str
    species: str
    pupated: When | None
    place: str
    spot: str | None = None
    x: float | None = None
    y: float | None = None
    hung: When | None = None
    stay: bool = False
    darkening: When | None = None
    outcome: str | None = None
    ended: When | None = None
    note: str = ""
    line: int = 0

    @property
    def present(self) -> bool:
        """Whether it still takes a spot."""
        return self.outcome is None
