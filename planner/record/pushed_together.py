"""Sliding clips that overlap by the record."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from planner.season.places import Line
from planner.season.reading.scalars import parse_number, tidy
from planner.season.season import Season

TOUCH = 1e-3  # cm or inches: so close, two clips only touch


def pushed_together(season: Season) -> Iterator[str]:
    """Sliding clips that overlap by the record. A plan leaves them as they hang, so it breaks no rule."""
    for line in season.places:
        if not isinstance(line, Line) or not line.clip_width:
            continue
        here = [p for p in season.pupae if p.present and p.place == line.name]
        along = sorted((at, p.id) for p in here if (at := parse_number(p.spot or "")) is not None)
        width = line.clip_width / season.cm_per_unit
        for (low, a), (high, b) in pairwise(along):
            if high - low < width - TOUCH:
                apart, wide = (f"{tidy(round(n, 3))} {season.units}" for n in (high - low, width))
                yield (
                    f"{a} and {b} are recorded {apart} apart on line {line.name}, where a clip is {wide} "
                    "wide: look where they hang"
                )
