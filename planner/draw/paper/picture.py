"""A picture of pixels, into which each text is set at once: by its letters, they took half the map's time."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.ft2font import LoadFlags

from planner.draw.paper.words import typeface


class Picture(RendererAgg):
    """Matplotlib's renderer of pixels. Texts begin at a whole pixel, and stand upright or upside down."""

    def draw_text(
        self, gc: Any, x: float, y: float, s: str, prop: Any, angle: float, *_: Any, **__: Any
    ) -> None:
        """Draw a text with its baseline from (x, y), y from above."""
        face = typeface(s, prop.get_weight() == "bold")
        face.set_size(prop.get_size_in_points(), self.dpi)
        face.set_text(s, 0.0, flags=LoadFlags.NO_HINTING)
        face.draw_glyphs_to_bitmap(antialiased=True)
        ink = np.asarray(face.get_image())
        # 64ths of a pixel; rows are counted from the one just above the highest letter
        left = face.get_bitmap_offset()[0] // 64
        above = (face.get_width_height()[1] - face.get_descent()) // 64 + 1
        if angle:
            ink, left, above = ink[::-1, ::-1], -left - ink.shape[1], ink.shape[0] - above
        coloured = np.empty((*ink.shape, 4), dtype=np.uint8)
        coloured[..., :3] = np.rint(255 * np.array(gc.get_rgb()[:3]))
        coloured[..., 3] = ink
        bottom = round(self.height - y) + above - len(ink)
        self.draw_image(gc, round(x) + left, bottom, coloured[::-1])  # its lowest row first
