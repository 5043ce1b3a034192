"""Spots kept for those to come: a dashed ring, the day it is kept from, and all of them in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from itertools import groupby

from planner.draw.data import KeptSpot, PlacePicture, Sheet
from planner.draw.paper.boxes import Box, overlap
from planner.draw.paper.marks import Point
from planner.draw.paper.page import Page
from planner.draw.paper.pen import disc, put
from planner.draw.paper.words import CAP, fit, width
from planner.season.direction import apart
from planner.season.reading.told_dates import day_month
from planner.style import BODY, MM_PER_PT, QUIET, SMALLEST, WHITE

RING = 1.3  # mm, radius; a free spot's is 0.9
MOST = 40  # are told in words
UNDER = 1.9  # mm from the spot down to the upper edge of its day


def day_box(x: float, y: float, since: date) -> Box:
    """Say where the day of a kept spot at (x, y) is written."""
    half, high = width(day_month(since), SMALLEST) / 2, CAP * SMALLEST * MM_PER_PT
    return x - half, y - UNDER - high, x + half, y - UNDER


def draw_ring(at: Point, page: Page) -> Page:
    """Draw the sign of a kept spot."""
    disc(page, at, RING, fill=WHITE, edge=QUIET, weight=1.1, ls=(0, (1.6, 1.2)), zorder=3, gid="kept")
    return page


def draw_kept(spots: Iterable[tuple[float, float, date]], taken: Sequence[Box], page: Page) -> Page:
    """Draw a ring at each spot (x, y, day), and the day where it covers nothing ``taken``."""
    boxes = list(taken)
    for x, y, since in spots:
        draw_ring((x, y), page)
        box = day_box(x, y, since)
        wider = (box[0] - 0.6, box[1], box[2] + 0.6, box[3])
        if not any(overlap(wider, other) for other in boxes):
            boxes.append(box)
            put(page, x, box[1], day_month(since), SMALLEST, colour=QUIET, ha="center", gid="kept-day")
    return page


def kept_words(sheet: Sheet) -> list[str]:
    """A sentence for each day from which spots are kept: ``from 16 Jul: north 4, 20 cm; cork r1p3``.

    The first needed; the rest is counted, the drawing has their days.
    """
    found = sorted(
        ((k.since, i, k) for i, p in enumerate(sheet.pictures) for k in p.kept), key=lambda one: one[:2]
    )
    rows = []
    for since, ones in groupby(found[:MOST], key=lambda one: one[0]):
        parts = [
            _words(sheet, sheet.pictures[i], [k for *_, k in group])
            for i, group in groupby(ones, key=lambda one: one[1])
        ]
        rows.append(f"from {day_month(since)}: {'; '.join(parts)}")
    return [*rows, *([f"and {len(found) - MOST} more, under kept in plan.yaml"] if found[MOST:] else [])]


def _words(sheet: Sheet, picture: PlacePicture, ones: Sequence[KeptSpot]) -> str:
    """``north 4, 20 cm``; who it is kept for where that is known, and that it is not free yet."""
    free = set(picture.kept_free)
    told = []
    for one in ones:
        notes = [one.who] if one.who else []
        notes += [] if one in free else ["taken until then"]
        told.append(one.spot + (f" ({', '.join(notes)})" if notes else ""))
    unit = picture.place.unit(sheet.units)
    return f"{apart(fit(picture.place.name, BODY, 60.0))} {', '.join(told)} {unit}".rstrip()
