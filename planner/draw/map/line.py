"""A stretch of one line: spots with their positions above it, date tags below, clashes over all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import ceil, floor

from planner.draw.data import Hung, KeptSpot, PlacePicture, Sheet
from planner.draw.map.brackets import Bracket, brackets
from planner.draw.map.dividers import draw_card, spots_divided
from planner.draw.map.kept import draw_kept
from planner.draw.map.label import DROP, Form, draw_label, draw_spot
from planner.draw.map.links import draw_link, draw_sign, sign_width
from planner.draw.map.scale import BESIDE, Scale, number_width
from planner.draw.paper.page import Page
from planner.draw.paper.pen import put, rings, stroke
from planner.draw.paper.words import width
from planner.season.places import Line
from planner.style import FAINT, QUIET, SMALLEST

STRIP = 5.0  # mm above the line, for one row of positions
NUMBER_ROW = 2.8  # mm for each further one
EVERY = 5  # each fifth free spot is numbered, so that those of the taken ones stand out
BETWEEN = 0.7  # mm beside a free spot's number, so that it is not read into another
RULERS = ((0.5, 2), (1.0, 5), (5.0, 2), (10.0, 5), (50.0, 2))  # units from tick to tick; ticks to a number
TICK, LABELLED = 2.4, 8.0  # mm from tick to tick, and from number to number, at least
BRACKET = 8.0  # mm per level of clashes
INDENT = 8.0  # mm left of the line, so that a tag at its very end stays on the sheet


@dataclass(frozen=True)
class LinePanel:
    """From ``low`` to ``high`` cm of a line. ``room``: width of the sheet, mm."""

    picture: PlacePicture
    line: Line
    low: float
    high: float
    scale: Scale
    form: Form
    sheet: Sheet
    room: float

    @cached_property
    def hung(self) -> tuple[Hung, ...]:
        """Who hangs on this stretch."""
        return tuple(h for h in self.picture.hung if h.x is not None and self._holds(h.x))

    @cached_property
    def kept(self) -> tuple[KeptSpot, ...]:
        """Spots of this stretch that are kept and free now."""
        return tuple(k for k in self.picture.kept_free if self._holds(k.x))

    def _holds(self, x: float) -> bool:
        return self.low <= x < self.high or x >= self.high >= self.line.length

    @property
    def bare(self) -> bool:
        """Whether nothing is to be seen on this stretch but a ruler."""
        crossed = any(not m.usable and self._holds(m.x) for m in self.picture.marks)
        return not (self.fixed or self.hung or self.kept or self.picture.cards or crossed)

    @property
    def fixed(self) -> bool:
        """Whether its clips sit at fixed marks."""
        return self.line.clips_every is not None

    def mm(self, x: float) -> float:
        """Position on paper of ``x`` cm, from the panel's left edge."""
        return INDENT + self.scale.mm(x - self.low)

    @cached_property
    def levels(self) -> dict[str, int]:
        """Which level each tag hangs at, 0 the upper: the first with room beside its neighbours."""
        return _stack([(self.mm(h.x or 0.0), self.form.width + BESIDE, h.pupa) for h in self.hung])

    @cached_property
    def number_rows(self) -> dict[str, int]:
        """Which row each number stands in, 0 the lower; the rest for those hung closer than clips are."""
        return _stack([(self.mm(h.x or 0.0), number_width([h.spot]), h.pupa) for h in self.hung])

    @cached_property
    def brackets(self) -> list[Bracket]:
        """Over all pairs that have one here."""
        at = {h.pupa: self.mm(h.x) for h in self.hung if h.x is not None}
        return brackets(self.picture.pairs, at, self.middle)

    def middle(self, low: float, high: float, words: str) -> float:
        """Where a bracket's words go, kept on the sheet."""
        half = sign_width(words) / 2
        return min(max((low + high) / 2, half), self.room - half)

    @property
    def line_depth(self) -> float:
        """From the panel's upper edge down to the line, mm."""
        return self.strip + BRACKET * (1 + max((b.level for b in self.brackets), default=-1))

    @property
    def strip(self) -> float:
        """Height of what the numbers take above the line, mm."""
        return STRIP + NUMBER_ROW * max(self.number_rows.values(), default=0)

    def tag_top(self, h: Hung) -> float:
        """From the line down to a tag's upper edge, mm."""
        return DROP + self.levels[h.pupa] * (self.form.height + DROP)

    @property
    def height(self) -> float:
        """Height of the panel, mm."""
        deepest = max((self.tag_top(h) + self.form.height_of(h) for h in self.hung), default=1.0)
        return self.line_depth + deepest + 2.6


def _stack(items: Sequence[tuple[float, float, str]]) -> dict[str, int]:
    """Spread things of a middle and a width (mm) over as few levels as keep them apart."""
    ends: list[float] = []
    levels = {}
    for x, wide, name in sorted(items):
        level = next((i for i, end in enumerate(ends) if x - wide / 2 >= end - 1e-6), len(ends))
        ends[level : level + 1] = [x + wide / 2]
        levels[name] = level
    return levels


def draw_line(panel: LinePanel, page: Page, left: float, top: float) -> Page:
    """Draw a stretch of line with its upper left corner at (left, top), mm on paper."""
    y = top - panel.line_depth
    _draw_yarn(panel, left, y, page)
    numbers = (_draw_marks if panel.fixed else _draw_ruler)(panel, left, y, page)
    numbers = [*((left + panel.mm(k.x), k.spot) for k in panel.kept), *numbers]
    _draw_numbers(panel, numbers, left, y, page)
    _draw_kept(panel, left, y, page)
    for a, b in spots_divided(panel.picture, panel.sheet.cm_per_unit):
        if panel.low <= (a[0] + b[0]) / 2 < panel.high:
            draw_card((left + panel.mm(a[0]), y), (left + panel.mm(b[0]), y), page)
    for h in panel.hung:
        x, tag = left + panel.mm(h.x or 0.0), y - panel.tag_top(h)
        stroke(page, (x, x), (y, tag), zorder=2, gid=f"string-{h.pupa}")
        draw_spot(h, x, y, page)
        draw_label(h, panel.form, x, tag, page)
    for one in panel.brackets:
        up = y + panel.strip + one.level * BRACKET + 1.4
        leg = (
            up + 3.1 if one.low == one.high else up
        )  # the other is elsewhere: up to the words, which name it
        for x in one.legs:
            stroke(page, (left + x, left + x), (y + panel.strip - 0.8, leg), weight=0.8, zorder=3)
        draw_link((left + one.low, up), (left + one.high, up), one.wait, page)
        at = left + panel.middle(one.low, one.high, one.words)
        draw_sign(one.words, one.wait, at, up + 3.1, page)
    return page


def _draw_yarn(panel: LinePanel, left: float, y: float, page: Page) -> None:
    """Draw the line itself; dots where it goes on in the next stretch, a bar where it ends."""
    start, end = left + panel.mm(panel.low), left + panel.mm(panel.high)
    stroke(page, (start, end), (y, y), colour=QUIET, weight=1.4, zorder=1, gid=f"line-{panel.line.name}")
    for x, outer, goes_on in (
        (start, start - 4, panel.low > 0),
        (end, end + 4, panel.high < panel.line.length),
    ):
        if goes_on:
            stroke(page, (x, outer), (y, y), colour=QUIET, weight=1.4, ls=":", zorder=1)
        else:
            stroke(page, (x, x), (y - 1.6, y + 1.6), colour=QUIET, weight=1.4, zorder=1)


def _draw_marks(panel: LinePanel, left: float, y: float, page: Page) -> list[tuple[float, str]]:
    """Draw free and unusable spots; give the numbers that some of them get."""
    free = [m for m in panel.picture.free if panel.low <= m.x < panel.high]
    kept = {k.spot for k in panel.kept}
    draw_free([(left + panel.mm(m.x), y, m.usable) for m in free if m.tag not in kept], page)
    fifths = {m.tag for m in panel.picture.marks[EVERY - 1 :: EVERY]}
    return [(left + panel.mm(m.x), m.tag) for m in free if m.tag in fifths]


def _draw_ruler(panel: LinePanel, left: float, y: float, page: Page) -> list[tuple[float, str]]:
    """Draw a ruler in the keeper's unit on a line whose clips slide; give the numbers of its long ticks."""
    unused = [m.x for m in panel.picture.free if not m.usable and panel.low <= m.x < panel.high]
    draw_free([(left + panel.mm(x), y, False) for x in unused], page)
    unit = panel.sheet.cm_per_unit
    fine = ((t, every) for t, every in RULERS if panel.scale.mm(t * unit) >= max(TICK, LABELLED / every))
    tick, every = next(fine, RULERS[-1])
    numbers = []
    for i in range(ceil(panel.low / (tick * unit) - 1e-9), floor(panel.high / (tick * unit) + 1e-9) + 1):
        x, long = left + panel.mm(i * tick * unit), i % every == 0
        stroke(page, (x, x), (y - 0.8, y + (1.4 if long else 0.8)), colour=FAINT, weight=0.8, zorder=1,
               gid="tick")  # fmt: skip
        if long:
            numbers.append((x, f"{i * tick:g}"))
    return numbers


def _draw_kept(panel: LinePanel, left: float, y: float, page: Page) -> None:
    """Draw a dashed ring at each kept spot; below it the day from which on, where no tag hangs."""
    taken = []
    for h in panel.hung:
        half = 0.4 if panel.levels[h.pupa] else panel.form.width / 2
        x, top = left + panel.mm(h.x or 0.0), y - DROP
        taken.append((x - half, top - panel.form.height, x + half, y))
    draw_kept([(left + panel.mm(k.x), y, k.since) for k in panel.kept], taken, page)


def _draw_numbers(panel: LinePanel, free: list[tuple[float, str]], left: float, y: float, page: Page) -> None:
    """Write positions above the line: all taken ones, bold, and those free ones that run into none."""
    ends: list[tuple[float, float]] = []
    for h in panel.hung:
        x, up = left + panel.mm(h.x or 0.0), 2.2 + panel.number_rows[h.pupa] * NUMBER_ROW
        put(page, x, y + up, h.spot, SMALLEST, bold=True, ha="center", gid="number")
        half = number_width([h.spot]) / 2
        ends.append((x - half, x + half))
    for x, text in free:
        half = width(text, SMALLEST) / 2 + BETWEEN
        if all(x + half <= low or x - half >= high for low, high in ends):
            put(page, x, y + 2.2, text, SMALLEST, colour=QUIET, ha="center", gid="number")
            ends.append((x - half + BETWEEN, x + half - BETWEEN))


def draw_free(spots: Iterable[tuple[float, float, bool]], page: Page) -> Page:
    """Draw spots nobody hangs at: an open ring each, or a faint cross (third item False) when out of use."""
    spots = tuple(spots)
    for usable, edge in ((True, QUIET), (False, FAINT)):
        xs, ys = [s[0] for s in spots if s[2] == usable], [s[1] for s in spots if s[2] == usable]
        if xs:
            gid = "free" if usable else "unused"
            rings(page, xs, ys, edge=edge, crosses=not usable, zorder=3, gid=gid)
    return page
