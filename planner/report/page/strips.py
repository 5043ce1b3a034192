"""The places of a rack as strips: each to scale in its own frame, a tag at every pupa, no tag on another."""

from __future__ import annotations

from dataclasses import replace

from planner.rack import spots
from planner.rack.spots import Spot
from planner.report.page.board import board_strip
from planner.report.page.data import PageData
from planner.report.page.lid import lid_strip
from planner.report.page.line import line_scale, line_strip
from planner.report.page.tags import LEAST_SCALE, At, Rack, Strip, tag_width
from planner.season.places import Board, Lid, Line, Place
from planner.season.season import Season
from planner.words import length, spot_name, where


def rack(page: PageData) -> Rack:
    """Lay everything out."""
    marks = spots(page.season)
    here = _by_place(page, marks)
    width = tag_width(page.shown)
    drawn: list[Strip] = []
    lines = [p for p in page.season.places if isinstance(p, Line)]
    scale = max((line_scale(p, here[p.name], width) for p in lines), default=LEAST_SCALE)
    for place in page.season.places:
        words = _words(page.season, place)
        if isinstance(place, Line):
            drawn.append(line_strip(page, place, words, marks[place.name], here[place.name], scale, width))
        elif isinstance(place, Board):
            drawn.append(board_strip(page, place, words, marks[place.name], here[place.name], width))
        elif isinstance(place, Lid) and here[place.name]:
            drawn.append(lid_strip(place, words, here[place.name], width))
    drawn = [replace(strip, cards_words=_cards(page, strip.place)) for strip in drawn]
    empty = [p.name for p in page.season.places if isinstance(p, Lid) and not here[p.name]]
    return Rack(tuple(drawn), tuple(empty), width)


def _by_place(page: PageData, marks: dict[str, list[Spot]]) -> dict[str, list[At]]:
    """Who is, or will be, where."""
    pin = {(s.place, s.tag): s for found in marks.values() for s in found}

    def point(name: str, spot: str) -> tuple[float | None, float | None]:
        if isinstance(page.season.place[name], Line):
            return float(spot or 0) * page.season.cm_per_unit, 0.0
        return pin[name, spot].x, pin[name, spot].y

    found: dict[str, list[At]] = {p.name: [] for p in page.season.places}
    for one in page.shown:
        pupa = one.prospect.pupa
        on_lid = isinstance(page.season.place[pupa.place], Lid)
        x, y = (pupa.x, pupa.y) if on_lid else point(pupa.place, pupa.spot or "")
        found[pupa.place].append(At(one, 0, x, y, pupa.spot or ""))
        for after, move in enumerate(one.moves, start=1):
            x, y = point(move.to_place, move.to_spot)
            found[move.to_place].append(At(one, after, x, y, move.to_spot))
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


def _words(season: Season, place: Place) -> str:
    """What it is and where: ``line, 160 cm long, 165 cm above the floor``."""
    match place:
        case Line():
            text = f"line, {length(season, place.length)} long, {length(season, place.height)} high"
            if place.clip_width is not None:
                text += f", clips slide, {length(season, place.clip_width)} wide"
        case Board():
            text = f"board, {length(season, place.width)} by {length(season, place.height)}"
            text += f", lower edge {length(season, place.bottom)} high"
        case Lid():
            text = f"lid from above, {length(season, place.width)} by {length(season, place.length)}"
            text += ", x,y from its lower left corner" + (", to be cleared" if place.clear else "")
        case _:
            text = place.kind
    return text
