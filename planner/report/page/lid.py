"""A lid as a strip: seen from above, each tag beside its spot, tied to it."""

from __future__ import annotations

import math

from planner.report.page.place import free_place
from planner.report.page.tags import BESIDE, MOST_SCALE, PAD, TAG_HEIGHT, TOP, Free, Strip, Tag, View
from planner.season.places import Lid

SCALES = (8.0, 10.0, 12.5, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0, MOST_SCALE)  # px per cm
TIED = 80.0  # how far a tag may be from its spot


def lid_strip(view: View) -> Strip:
    """A lid seen from above, its tags beside the spots; larger until each has found a place."""
    lid, here, width = view.place, view.here, view.tag_width
    assert isinstance(lid, Lid)
    known = [a for a in here if a.x is not None and a.y is not None]
    unknown = [a for a in here if a.x is None or a.y is None]
    side = width / 2 + PAD
    for scale in SCALES:
        right, low = side + lid.width * scale, TOP + lid.length * scale
        at = [(side + (a.x or 0.0) * scale, low - (a.y or 0.0) * scale) for a in known]
        within = (2.0, 4.0, right + side - 2, low + TAG_HEIGHT)
        found = free_place(at, (width, TAG_HEIGHT), within, TIED if scale < SCALES[-1] else math.inf)
        if found is not None:
            break
    assert found is not None, "below the lid there is always room"
    tags = [Tag(a.one, a.after, x, y, tx, ty) for a, (x, y), (tx, ty) in zip(known, at, found, strict=True)]
    lowest = max([low, *(t.y + t.ty + TAG_HEIGHT for t in tags)]) + PAD
    in_row = max(1, int((right - PAD) // (width + BESIDE)))
    for i, a in enumerate(unknown):
        row, column = divmod(i, in_row)
        x, y = side + column * (width + BESIDE), lowest + 26 + row * (TAG_HEIGHT + BESIDE + 14)
        tags.append(Tag(a.one, a.after, x, y, 0.0, 10.0))
    rows = -(-len(unknown) // in_row)
    height = lowest + (26 + rows * (TAG_HEIGHT + BESIDE + 14) if rows else 0)
    return Strip(
        lid,
        view.words,
        round(right + side, 1),
        round(height, 1),
        (side, TOP, right, low),
        tuple(tags),
        Free(),
        numbers=((side, lowest + 12, "not measured, on this lid:"),) if rows else (),
        counted=False,
        unmeasured=bool(rows),
    )
