"""A plan explained: what it sought, what was reached and is proved, and which pairs are too close for now."""

from __future__ import annotations

import math
from collections.abc import Iterator

from planner.report.texts.pairs import pair_rows
from planner.report.texts.sheet import Block, Table, Words
from planner.season.plan.plan_record import Level, Plan
from planner.season.reading.told_words import in_keepers_words
from planner.season.season import Season

_LENGTHS = ("length", "carrying")
MOST_PENDING = 8  # pairs shown; plan.yaml has all
_MEANING = {
    "unplaced": "put off, without a spot",
    "waiting": "evenings on lids",
    "left": "left on lids to clear",
    "clashes": "clashes",
    "trouble": "weight of the clashes",
    "touched": "pupae to move",
    "handling": "moves, by price",
    "stability": "moves changed",
    "room": "to come, without room",
    "length": "yarn used",
    "carrying": "carrying and order",
    "smallest_gap": "smallest gap, days",
    "close": "due close together",
    "risk": "pairs drying together",
    "elbow_room": "too near for hands",
}


def levels(season: Season, plan: Plan) -> Iterator[Block]:
    """A row for each objective of a plan."""
    if not plan.proof:
        return
    rows = [
        (
            f"  {meaning(season, level.name):<22}",
            f"{_shown(season, level.name, level.value):>8}",
            f"{_shown(season, level.name, level.bound):>8}",
            _proved(season, plan, level) if level.proved else f"not proved: {_rest(season, level)}",
        )
        for level in plan.proof
    ]
    yield Table(("Sought, in this order", f"{'reached':>8}", f"{'at best':>8}", ""), rows, (3,))


def pending(season: Season, plan: Plan) -> Iterator[Block]:
    """The pairs too close until one of them can be moved, under what is waited for."""
    if plan.waiting:
        yield Words("Too close for now:")
        yield from pair_rows(season, plan, plan.waiting[:MOST_PENDING])
    if (more := len(plan.waiting) - MOST_PENDING) > 0:
        yield Words(f"and {more} more, under waiting in plan.yaml", "  ")


def meaning(season: Season, name: str) -> str:
    """A level in the keeper's words."""
    words = in_keepers_words(_MEANING.get(name, name))
    return f"{words}, {season.units}" if name in _LENGTHS else words


def _proved(season: Season, plan: Plan, level: Level) -> str:
    """That it is proved, and for what alone. Less than nothing there is nowhere."""
    names = [one.name for one in plan.proof]
    kept = "stability" in names[: names.index(level.name)] and level.value != 0
    moved = level.name in _LENGTHS
    for_what = [word for word, holds in (("moved", moved), ("kept", kept)) if holds]
    proved = f"proved for those {' and '.join(for_what)}" if for_what else "proved"
    return f"{proved}{_where(season, level)}"


def _where(season: Season, level: Level) -> str:
    """What carrying is proved of where clips slide: each is tried where another or the end stops it."""
    slides = level.name == "carrying" and any(place.slides for place in season.places)
    return ", at the spots tried" if slides else ""


def _rest(season: Season, level: Level) -> str:
    """What is not known of a level: of carrying, how much less there may be."""
    if level.name != "carrying" or level.value is None or level.bound is None:
        return "better may exist"
    most = math.ceil((level.value - level.bound) / season.cm_per_unit - 1e-6)
    near = season.length(max(1, most) * season.cm_per_unit)
    return f"within {near} of best{_where(season, level)}"


def _shown(season: Season, name: str, value: float | None) -> str:
    """A value; a length in the unit of the season, while in plan.yaml all are centimetres.

    What is carried is told in whole ones: each way was rounded to 5 cm.
    """
    if value is None:
        return "none"
    if name in _LENGTHS:
        value /= season.cm_per_unit
    return f"{value:.0f}" if name == "carrying" else f"{value:.5g}"
