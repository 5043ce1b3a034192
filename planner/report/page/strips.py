"""The places of a rack as strips: each to scale in its own frame, a tag at every pupa, no tag on another."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from planner.rack import spots
from planner.report.page.board import board_strip
from planner.report.page.data import PageData
from planner.report.page.lid import lid_strip
from planner.report.page.line import line_scale, line_strip
from planner.report.page.tags import LEAST_SCALE, At, Rack, Strip, View, tag_width
from planner.season.places import Line, Place
from planner.words import spot_name, where

STRIPS: dict[str, Callable[[View], Strip]] = {"line": line_strip, "board": board_strip, "lid": lid_strip}


def rack(page: PageData) -> Rack:
    """Lay everything out."""
    marks = spots(page.season)
    here, width = _by_place(page), tag_width(page.shown)
    lines = [p for p in page.season.places if isinstance(p, Line)]
    scale = max((line_scale(p, here[p.name], width) for p in lines), default=LEAST_SCALE)
    views = [View(page, p, marks[p.name], here[p.name], width, scale) for p in page.season.places]
    drawn = [view for view in views if view.here or view.place.offers_spots]
    strips = [replace(STRIPS[v.place.kind](v), cards_words=_cards(page, v.place)) for v in drawn]
    return Rack(tuple(strips), tuple(v.place.name for v in views if v not in drawn), width)


def _by_place(page: PageData) -> dict[str, list[At]]:
    """Who is, or will be, where."""
    season = page.season
    found: dict[str, list[At]] = {p.name: [] for p in season.places}

    def point(name: str, spot: str) -> tuple[float | None, float | None]:
        return season.place[name].point(spot, season.cm_per_unit) or (None, None)

    for one in page.shown:
        pupa = one.prospect.pupa
        _, x, y = season.place[pupa.place].recorded(pupa, season.cm_per_unit)
        found[pupa.place].append(At(one, 0, x, y, pupa.spot or ""))
        for after, move in enumerate(one.moves, start=1):
            found[move.to_place].append(At(one, after, *point(move.to_place, move.to_spot), move.to_spot))
    return found


def _cards(page: PageData, place: Place) -> str:
    """``Card between 8 cm and 12 cm; between 20 cm and south 20 cm.``"""
    season, told = page.season, []
    for card in season.dividers:
        if here := [end for end in (card.a, card.b) if end[0] == place.name]:
            first = here[0]
            other = card.b if first == card.a else card.a
            name = where(season, *other) if other[0] != place.name else spot_name(season, place, other[1])
            told.append(f"between {spot_name(season, place, first[1])} and {page.names.apart(name)}")
    return f"Card {'; '.join(told)}." if told else ""
