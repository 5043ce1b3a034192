"""The rows of ``pupae.csv``."""

from __future__ import annotations

from dataclasses import dataclass

from planner.season.reading.when import When

OUTCOMES = ("emerged", "failed", "deformed", "parasitised", "escaped", "released", "removed")
COLUMNS = (
    "id", "species", "pupated", "place", "spot", "x", "y", "hung", "stay", "darkening", "outcome", "ended",
    "note",
)  # fmt: skip
FORMED = "formed_at"  # the lid and point where it formed, kept when it is moved: ``tub-2 12 5``
CLEANED = "spot_cleaned"  # when the spot of a sick one was cleaned
AFTER = {"pupated": "pupated_after", "ended": "ended_after"}  # the look at which that had not happened yet
ADDED = (FORMED, CLEANED, *AFTER.values())  # columns that a table gets only when they are needed
SICK = ("parasitised",)  # outcomes after which a spot is closed until it is cleaned


@dataclass(frozen=True)
class Formed:
    """Where a pupa formed: a lid, and the point on it in cm, None where that was never measured."""

    lid: str
    x: float | None = None
    y: float | None = None


@dataclass(frozen=True, kw_only=True)
class Pupa:
    """One animal, as recorded.

    ``pupated`` None: a prepupa still hanging in a J. ``place`` is where it is now: a lid (then ``x``, ``y``
    in cm in the lid's frame, or both None when not measured) or a line or board (then ``spot``: on a line the
    position in the keeper's unit as written, on a board the pin ``r2p5``). ``stay``: the keeper wants it
    left where it is. ``outcome``: how it ended, one of OUTCOMES, ``ended`` when; it then takes no spot.
    ``formed``: where it was before it was first moved; None: it was not, or nobody knows. ``cleaned``: when
    what a sick one hung from was cleaned.
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
    formed: Formed | None = None
    cleaned: When | None = None
    line: int = 0

    @property
    def present(self) -> bool:
        """Whether it still takes a spot."""
        return self.outcome is None

    @property
    def closes(self) -> bool:
        """Whether its spot is closed: it was sick there, and nobody has cleaned it since."""
        return self.outcome in SICK and self.cleaned is None
