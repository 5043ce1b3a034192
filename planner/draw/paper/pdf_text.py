"""Texts that come again in a PDF: what one takes there is made once and written again elsewhere.

Of a large map most texts come many times: days, months, marks, tubs. To lay each out anew took half of the
time of drawing it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial
from typing import Any
from weakref import WeakKeyDictionary

from matplotlib.font_manager import FontProperties
from matplotlib.text import Text

_MADE: WeakKeyDictionary[Any, dict[tuple[object, ...], bytes]] = (
    WeakKeyDictionary()
)  # file → text → its bytes


def draw_again(
    renderer: Any,
    gc: Any,
    at: tuple[float, float],
    words: str,
    face: FontProperties,
    turn: float,
    whole: Text | None,
) -> None:
    """Draw a text with a renderer as its ``draw_text`` does; in a PDF, one that is known by its bytes."""
    draw = partial(renderer.draw_text, gc, *at, words, face, turn, mtext=whole)
    file = getattr(renderer, "file", None)
    if file is None or not hasattr(renderer, "check_gc"):  # a picture
        draw()
        return
    from matplotlib.backends.backend_pdf import Op

    made = _MADE.setdefault(file, {})
    key = (words, face.get_size_in_points(), face.get_weight(), *face.get_family(), turn)
    renderer.check_gc(gc, gc._rgb)  # the colour, as `draw_text` sets it
    if key not in made:
        parts = _written(file, draw)
        if parts[:2] != [b"q", b"\n"] or not parts[2].endswith(b" cm"):
            file.write(b"".join(parts))  # it is not begun by its place: nothing is known of it elsewhere
            return
        made[key] = b"".join(parts[4:])
    a = math.radians(turn)
    file.output(Op.gsave)
    file.output(math.cos(a), math.sin(a), -math.sin(a), math.cos(a), *at, Op.concat_matrix)
    file.write(made[key])


def _written(file: Any, draw: Callable[[], None]) -> list[bytes]:
    """What is written to a file while something is drawn, in the pieces in which it is written."""
    parts: list[bytes] = []
    file.write = parts.append
    try:
        draw()
    finally:
        del file.write
    return parts
