"""The ``places:`` of ``season.yaml``."""

from __future__ import annotations

from dataclasses import dataclass

from planner.season.fields import Fields, Report
from planner.season.places import Board, Lid, Line, Place
from planner.season.yaml_text import Node

_STAND = ("left", "front")
_KEYS = {
    "line": ("line", "length", "height", "clips_every", "clip_width", "to_nearest", "below", *_STAND),
    "board": ("board", "width", "height", "pins_every", "pattern", "bottom", "below", *_STAND),
    "lid": ("lid", "width", "length", "clear", "height", *_STAND),
}
NARROWEST = 0.5  # cm between clips or pins; a pupa is wider
MOST_PINS = 100_000


@dataclass(frozen=True)
class Stated:
    """A place as stated. ``place`` None: it has faults. ``name`` empty: not even that could be read."""

    name: str
    place: Place | None
    where: str
    line: int
    column: int


def read_place(report: Report, node: Node, where: str) -> Stated:
    """Read one place; what is wrong with it goes to ``report``."""
    kinds = [k for k in _KEYS if isinstance(node.value, dict) and k in node.value]
    if len(kinds) != 1:
        what = f"has {' and '.join(kinds)}" if kinds else node.kind
        what += ": a place is one of line: NAME, board: NAME, lid: NAME"
        report.add(node.line, node.column, where, what)
        return Stated("", None, where, node.line, node.column)
    kind = kinds[0]
    fields = Fields(report, node, where, _KEYS[kind])
    name = fields.text(kind, "", need=True, longest=40).strip()
    place = {"line": _line, "board": _board, "lid": _lid}[kind](fields, name)
    at = fields.map[kind]
    return Stated(name, place if fields.clean else None, fields.path(kind), at.line, at.column)


def _stand(fields: Fields) -> tuple[float | None, float | None]:
    left = fields.length("left", None, above=False)
    front = fields.length("front", None, above=False)
    return left, front


def _line(fields: Fields, name: str) -> Line | None:
    length = fields.length("length", 0.0, need=True)
    height = fields.length("height", 0.0, need=True)
    clips_every = fields.length("clips_every", None, low=NARROWEST, above=False)
    clip_width = fields.length("clip_width", None, low=0.1, high=100, above=False)
    usual = 0.5 if fields.report.unit == "cm" else 0.25 * fields.report.factor
    to_nearest = fields.length("to_nearest", usual, low=0.1, high=10, above=False)
    below = fields.length("below", 0.0, above=False)
    left, front = _stand(fields)
    _under(fields, below, height, "height")
    for key, width in (("clips_every", clips_every), ("clip_width", clip_width)):
        if width is not None and length and width >= length:
            fields.fault(key, "must be less than the line's length, or there is no room for a clip")
    both = fields.has("clips_every"), fields.has("clip_width")
    if both[0] == both[1]:
        what = "has both clips_every and clip_width" if both[0] else "has neither clips_every nor clip_width"
        fields.fault("", f"{what}: write clips_every for fixed marks, or clip_width for clips that slide")
    if fields.has("to_nearest") and fields.has("clips_every"):
        what = "is for clips that slide (clip_width); fixed marks are where clips_every says"
        fields.fault("to_nearest", what)
    if not fields.clean:
        return None
    return Line(
        name=name, left=left, front=front, length=length, height=height,
        clips_every=clips_every, clip_width=clip_width, below=below,
        to_nearest=usual if to_nearest is None else to_nearest,
    )  # fmt: skip


def _board(fields: Fields, name: str) -> Board | None:
    width = fields.length("width", 0.0, need=True)
    height = fields.length("height", 0.0, need=True)
    every = fields.length("pins_every", 0.0, low=NARROWEST, above=False, need=True)
    pattern = fields.choice("pattern", "square", ("square", "staggered"))
    bottom = fields.length("bottom", 0.0, above=False, need=True)
    below = fields.length("below", 0.0, above=False)
    left, front = _stand(fields)
    if below > bottom:
        fields.fault("below", "must not be above the board's bottom edge")
    if width and height and every:
        if every / 2 >= min(width, height):
            fields.fault("pins_every", "must be less than twice the board's width and height: it has no pin")
        elif width / every * height / every > MOST_PINS:
            fields.fault("pins_every", f"makes more than {MOST_PINS} pins on this board")
    if not fields.clean:
        return None
    return Board(
        name=name, left=left, front=front, width=width, height=height,
        pins_every=every, bottom=bottom, pattern=pattern, below=below,
    )  # fmt: skip


def _lid(fields: Fields, name: str) -> Lid | None:
    width = fields.length("width", 0.0, need=True)
    length = fields.length("length", 0.0, need=True)
    clear = fields.yes("clear", False)
    height = fields.length("height", 0.0, above=False)
    left, front = _stand(fields)
    if not fields.clean:
        return None
    return Lid(name=name, left=left, front=front, width=width, length=length, clear=clear, height=height)


def _under(fields: Fields, below: float, height: float, top: str) -> None:
    if height and below >= height:
        fields.fault("below", f"must be less than the {top}: it is the surface beneath")
