"""The kinds of place there are: each says in a file of its own what it is (see `planner.season.place`)."""

from __future__ import annotations

from planner.season.board import Board, parse_pin
from planner.season.lid import Lid
from planner.season.line import Line
from planner.season.place import Place, Ruler, fold

__all__ = ["KINDS", "Board", "Lid", "Line", "Place", "Ruler", "fold", "parse_pin"]

KINDS: dict[str, type[Place]] = {kind.kind: kind for kind in (Line, Board, Lid)}
