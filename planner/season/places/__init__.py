"""The kinds of place there are: each says in a file of its own what it is (see `places.place`)."""

from __future__ import annotations

from planner.season.places.board import Board, parse_pin
from planner.season.places.lid import Lid
from planner.season.places.line import Line
from planner.season.places.place import Place, Ruler, fold

__all__ = ["KINDS", "Board", "Lid", "Line", "Place", "Ruler", "fold", "parse_pin"]

KINDS: dict[str, type[Place]] = {kind.kind: kind for kind in (Line, Board, Lid)}
