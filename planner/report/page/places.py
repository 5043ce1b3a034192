"""The rack as the scripts need it: where each free spot is, on the page and in the room, and the lids."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planner.rack import Spot, spots
from planner.report.page.data import PageData
from planner.report.page.tags import Rack, Strip
from planner.season.places import Lid, Line


def places_json(page: PageData, laid: Rack) -> dict[str, Any]:
    """All places with a strip, the lids, and by what two are neighbours. Lengths cm."""
    season, marks = page.season, spots(page.season)
    return {
        "units": season.units,
        "cm": season.cm_per_unit,
        "reach": season.wing_reach,
        "drop": season.drop,
        "gap": page.plan.gap_days if page.plan else season.gap_days,
        "cards": [[list(card.a), list(card.b)] for card in season.dividers],
        "lids": [
            {"name": p.name, "width": p.width, "length": p.length, "round": p.circular}
            for p in season.places
            if isinstance(p, Lid)
        ],
        "places": [_place(page, strip, marks[strip.place.name]) for strip in laid.strips],
    }


def _place(page: PageData, strip: Strip, marks: Sequence[Spot]) -> dict[str, Any]:
    """One place: ``at`` is its origin in the room, ``across`` and ``up`` what a cm each way in it adds.

    ``spots``: tag, x and y in its own frame of each that may be used; ``slides``: to which cm clips slide.
    """
    place = strip.place
    origin = place.stand(0.0, 0.0)
    across, up = (
        [b - a for a, b in zip(origin, place.stand(*way), strict=True)] for way in ((1.0, 0.0), (0.0, 1.0))
    )
    free = [s for s in marks if not s.unusable and not place.slides]
    found: dict[str, Any] = {
        "name": place.name,
        "told": page.names.apart(place.name),
        "kind": place.kind,
        "frame": strip.frame,
        "extent": place.extent,
        "room": "" if place.located else place.name,
        "at": origin,
        "across": across,
        "up": up,
        "spots": [[s.tag, round(s.x or 0.0, 3), round(s.y or 0.0, 3)] for s in free],
    }
    if isinstance(place, Line) and place.slides:
        found |= {"slides": place.to_nearest, "clip": place.clip_room}
    return found
