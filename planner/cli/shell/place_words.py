"""Places as people say them: ``2 lines of 72, another of 60, board cork 24 x 18 at 10 x 36, lid 23 x 16``.

``at 10 x 36``: so far from the rack's left edge, and so high above the floor. A round lid has its diameter.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count

from planner.season.places import fold
from planner.season.reading.problems import shorten

MOST = 50  # places of one kind said with a number; more is a slip of the finger
NONE = "none yet"
_NUMBER = r"[0-9]+(?:\.[0-9]+)?|\.[0-9]+"
_UNIT = r"\s*(?:[a-zA-Z]+|[\"'″′])"
_MEASURES = re.compile(
    rf"(?:^|\s)(?P<first>{_NUMBER})(?P<unit>{_UNIT})??(?:\s*(?:x|×|by)\s*(?P<second>{_NUMBER})(?P<unit2>{_UNIT})?)?$"
)
_AT = re.compile(rf"\s+at\s+(?P<left>{_NUMBER})\s*(?:x|×|by)\s*(?P<above>{_NUMBER})$")
_ROUND = "round lid"
_SHAPES = dict.fromkeys(("line", "lines", "yarn", "yarns", "rod", "rods", "string", "strings"), "line")
_SHAPES |= dict.fromkeys(("board", "boards"), "board") | dict.fromkeys(("lid", "lids", "tub", "tubs"), "lid")
_SHAPES |= dict.fromkeys(("round lid", "round lids", "round tub", "round tubs"), _ROUND)
_NAMES = {"line": "line", "board": "board", "lid": "tub"}  # of those to which none is given
SIZES = {  # what is told of each, in this order
    "line": ("length",),
    "board": ("width", "height"),
    "lid": ("width", "length"),
    _ROUND: ("diameter",),
}
EXAMPLES = {
    "cm": {"line": "line 180", "board": "board 60 x 45", "lid": "lid 40 x 28", _ROUND: "round lid 9"},
    "in": {"line": "line 72", "board": "board 24 x 18", "lid": "lid 23 x 16", _ROUND: "round lid 4"},
}
UNITS = {"cm": "cm", "in": "inches"}
_UNITS = {"cm": ("cm", "centimetres", "centimeters"), "in": ("inches", "inch", "in", '"', "″")}
_ABOVE = {"line": "height", "board": "bottom"}  # the key of how high above the floor
# What a place is taken to be of which only the size is told, by unit; and how high, where that is not told.
_REST = {
    "cm": {"line": "clip_width: 3", "board": "pins_every: 5, pattern: staggered"},
    "in": {"line": "clip_width: 1.25", "board": "pins_every: 2, pattern: staggered"},
}
_HIGH = {"cm": {"line": "150", "board": "90"}, "in": {"line": "60", "board": "36"}}


@dataclass(frozen=True)
class PlaceToBe:
    """A place as it is to stand in season.yaml: ``rest`` are its measures, with their keys."""

    kind: str
    name: str
    rest: str


def read_places(text: str, units: str) -> tuple[PlaceToBe, ...]:
    """All places that a text names, in order; empty for ``none yet``. Raises ValueError: what to write."""
    words = " ".join(text.split()).strip(" .,;")
    if words.lower() in ("", "none", "no", "nothing", NONE):
        return ()
    found: list[PlaceToBe] = []
    for part in re.split(r"\s*[,;]\s*|\s+and\s+", words):
        found += _one(part, units, found)
    return tuple(found)


def _one(part: str, units: str, before: list[PlaceToBe]) -> Iterator[PlaceToBe]:
    stands = _AT.search(part)
    measures = _MEASURES.search(part[: stands.start()] if stands else part)
    head = (part[: measures.start()] if measures else part).split()
    if head and head[-1].lower() == "of":
        head.pop()
    number, again = 1, False
    if head and head[0].isdecimal() and len(head) > 1:
        number = int(head.pop(0))
    elif head and head[0].lower() in ("a", "an", "another", "one"):
        again = head.pop(0).lower() == "another"
    if again and head and head[0].lower() == "one":
        head.pop(0)
    many = next((n for n in (2, 1) if " ".join(head[:n]).lower() in _SHAPES), 0)
    shape = _SHAPES.get(" ".join(head[:many]).lower())
    kind = "lid" if shape == _ROUND else shape
    if kind:
        del head[:many]
    elif again and before and not head:
        kind = before[-1].kind
    if kind is None:
        raise ValueError(
            f"'{shorten(part)}': write line, board or lid and its size, such as {EXAMPLES[units]['line']}"
        )
    if not 1 <= number <= MOST:
        raise ValueError(f"'{shorten(part)}': allowed are 1 to {MOST} {kind}s")
    if stands and number > 1:
        raise ValueError(f"'{shorten(part)}': two cannot hang in one place: write of each where it hangs")
    rest = before[-1].rest if again and measures is None and before and before[-1].kind == kind else None
    rest = rest or _measured(part, shape or kind, measures, stands, units)
    name = " ".join(head)
    taken = {fold(place.name) for place in before}
    if fold(name) in taken:
        raise ValueError(f"'{shorten(name)}' is the name of another: each place needs its own")
    for _ in range(number):
        called = name if name and number == 1 else _free(name or _NAMES[kind], taken)
        taken.add(fold(called))
        yield PlaceToBe(kind, called, rest)


def _measured(
    part: str, kind: str, measures: re.Match[str] | None, stands: re.Match[str] | None, units: str
) -> str:
    """Its measures, with their keys."""
    sizes = [size for size in (measures["first"], measures["second"]) if size] if measures else []
    if len(sizes) != len(SIZES[kind]):
        what = " x ".join(SIZES[kind])
        raise ValueError(f"'{shorten(part)}': a {kind} has {what}, such as {EXAMPLES[units][kind]}")
    assert measures is not None
    for unit in (measures["unit"], measures["unit2"]):
        if unit and unit.strip().lower() not in _UNITS[units]:
            whole = UNITS[units]
            raise ValueError(f"'{shorten(part)}': all lengths are in {whole} here: write it in {whole}")
    said = [f"{key}: {size}" for key, size in zip(SIZES[kind], sizes, strict=True)]
    if kind not in _ABOVE:
        if stands:
            raise ValueError(f"'{shorten(part)}': only of lines and boards is told where they hang")
        return ", ".join(said)
    above = f"{_ABOVE[kind]}: {stands['above'] if stands else _HIGH[units][kind]}"
    said += [f"left: {stands['left']}"] if stands else []
    said += [above, _REST[units][kind]] if kind == "line" else [_REST[units][kind], above]
    return ", ".join(said)


def _free(name: str, taken: set[str]) -> str:
    return next(called for k in count(1) if fold(called := f"{name}-{k}") not in taken)
