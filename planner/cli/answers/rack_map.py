"""The map of a plan as a file; one that is too tall for a picture becomes a PDF of several pages."""

from __future__ import annotations

from pathlib import Path

from planner.draw.data import Mark
from planner.draw.map.rack_map import rack_map
from planner.rack.spots import spots
from planner.record.refusal import Refused
from planner.season.plan.plan_record import Plan
from planner.season.season import Season
from planner.season.store import write_output


def draw_to(season: Season, plan: Plan, path: Path, fmt: str, *, asked: bool, paper: str) -> Path:
    """Draw the map into a file and return it; raises Refused or StoreError.

    Where this very file was not ``asked`` for and the map is too tall for one picture, it becomes a PDF of
    several pages beside it, and no picture of an older plan is left in its place.
    """
    try:
        data = draw_map(season, plan, fmt, paper)
    except Refused:
        if asked:
            raise
        path.unlink(missing_ok=True)
        path = path.with_suffix(".pdf")
        data = draw_map(season, plan, "pdf", paper)
    write_output(path, data)
    return path


def draw_map(season: Season, plan: Plan, fmt: str, paper: str) -> bytes:
    """The map's bytes. Raises Refused when it cannot be drawn in this format."""
    try:
        return rack_map(season, plan, marks(season), fmt, paper)
    except ValueError as e:
        raise Refused([str(e)]) from None


def marks(season: Season) -> dict[str, list[Mark]]:
    """The usable spots of each place, to be drawn."""
    return {
        name: [Mark(s.tag, s.x, s.y, not s.unusable) for s in found if s.x is not None and s.y is not None]
        for name, found in spots(season).items()
    }
