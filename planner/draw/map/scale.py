"""The one scale of a map: as small as the closest spots allow tags that can be read at arm's length."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from math import ceil

from planner.draw.data import Hung, PlacePicture, Sheet
from planner.draw.map.label import DROP, Colours, Form
from planner.draw.paper.words import width
from planner.style import BODY, SMALL, SMALLEST

SCALES = (10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0)
LARGEST_FOR_FREE_SPOTS = 2.0  # closer grids than this serves are scaled to the pupae alone
SIZES = (BODY, 8.5, SMALL, SMALLEST)  # pt, of a tag on the map
BESIDE = 1.0  # mm between two tags
UNDER = 1.6  # mm from a tag down to the pins below, whose numbers need it
WIDEST = 24.0  # mm
PINS_APART = 6.0  # mm at least, so that a pin's number is not read into the next
BETWEEN_NUMBERS = 0.8  # mm


@dataclass(frozen=True)
class Scale:
    """1 : ``n``, and how the tags are set at it; ``boards``: theirs, where they have one of their own."""

    n: float
    form: Form
    boards: Scale | None = None

    def of(self, picture: PlacePicture) -> Scale:
        """The scale that a place is drawn at."""
        return self.boards if self.boards and picture.place.stacked else self

    def mm(self, cm: float) -> float:
        """Length on paper."""
        return cm * 10 / self.n

    def form_for(self, picture: PlacePicture) -> Form:
        """Make tags as wide as this place has room for, up to showing all of where movers come from."""
        all_rows = replace(self.form, rows=5)
        rows = max(map(all_rows.count_of, picture.hung), default=2)
        if picture.place.stacked:
            rows = min(rows, self.form.rows)
        form = replace(self.form, rows=rows)
        pitch = self.mm(picture.place.pitch)
        single = pitch - BESIDE
        room = single if picture.place.stacked or single >= form.width else 2 * pitch - BESIDE
        return replace(
            form, width=max(form.width, min(form.needed_width(picture.hung, origins=True), room, WIDEST))
        )


Whole = Callable[[PlacePicture, Scale], bool]
"""Whether a place is in one piece at a scale."""


def choose(sheet: Sheet, whole: Whole = lambda _picture, _scale: True) -> Scale:
    """Choose the smallest scale at which every place can be read, then the largest type that fits it.

    Boards have a scale of their own only where that saves one of them from being cut.
    """
    racked = [p for p in sheet.pictures if p.place.offers_spots and not sheet.folds(p)]
    together = _choose(sheet, racked, whole)
    boards = [p for p in racked if p.place.stacked]
    if len(boards) < len(racked) and not all(whole(p, together) for p in racked):
        own = _choose(sheet, boards, whole)
        if all(whole(p, own) for p in boards):
            return replace(_choose(sheet, [p for p in racked if not p.place.stacked], whole), boards=own)
    return together


def _choose(sheet: Sheet, racked: Sequence[PlacePicture], whole: Whole) -> Scale:
    """One scale for some places.

    Where a board would be cut only to leave room for tags at pins nobody hangs at, they go without, as long
    as pins stay apart.
    """
    forms = [_form(sheet, racked, size) for size in SIZES]

    def smallest(rule: Whole) -> Scale | None:
        scales = (Scale(n, form) for n in SCALES for form in forms)
        return next((scale for scale in scales if all(rule(p, scale) for p in racked)), None)

    roomy = smallest(lambda p, scale: scale.n >= LARGEST_FOR_FREE_SPOTS and _fits(p, scale, True))
    if roomy and all(whole(p, roomy) for p in racked):
        return roomy
    found = smallest(lambda p, scale: _pins_apart(p, scale) and _fits(p, scale, False) and whole(p, scale))
    return found or roomy or smallest(lambda p, scale: _fits(p, scale, False)) or Scale(SCALES[-1], forms[-1])


def _pins_apart(picture: PlacePicture, scale: Scale) -> bool:
    return not picture.place.stacked or scale.mm(picture.place.pitch) >= PINS_APART


def _form(sheet: Sheet, racked: Sequence[PlacePicture], size: float) -> Form:
    hung = [h for p in racked for h in p.hung]
    boarded = [h for p in racked if p.place.stacked for h in p.hung]
    rows = 3 if any(h.origin or h.clash or h.wait for h in boarded) else 2
    form = Form(size, 8.0, 5, Colours.of(sheet.hung))
    return replace(form, width=form.needed_width(hung, origins=False), rows=rows)


def _fits(picture: PlacePicture, scale: Scale, free: bool) -> bool:
    """Tell whether the tags fit side by side; on a line they may hang at two levels, longer and shorter."""
    form, step = scale.form, scale.mm(picture.place.pitch)
    if picture.place.stacked:
        if free:
            return step >= form.width + BESIDE and step >= form.height + DROP + UNDER
        return not any(
            abs(dx) < form.width + BESIDE and abs(dy) < form.height + DROP
            for dx, dy in _differences(picture.hung, scale)
        )
    xs = sorted(scale.mm(h.x) for h in picture.hung if h.x is not None)
    if picture.place.slides:  # only who hangs there needs room; closer than clips are, at further levels
        half = max(form.width + BESIDE, number_width(h.spot for h in picture.hung)) / 2
        return all(max(b - a, step) >= half for a, b in pairwise(xs))
    if step < number_width(m.tag for m in picture.marks):
        return False
    if free:
        return 2 * step >= form.width + BESIDE
    return all(b - a >= (form.width + BESIDE) / 2 for a, b in pairwise(xs))


def number_width(numbers: Iterable[str]) -> float:
    """Room that the widest of some spots' numbers needs, mm."""
    return max((width(number, SMALLEST, True) for number in numbers), default=0.0) + BETWEEN_NUMBERS


def _differences(hung: Sequence[Hung], scale: Scale) -> Iterator[tuple[float, float]]:
    for a, b in combinations(hung, 2):
        if a.x is not None and b.x is not None and a.y is not None and b.y is not None:
            yield scale.mm(a.x - b.x), scale.mm(a.y - b.y)


def cuts(
    length: float, capacity: float, positions: Sequence[float], near: float
) -> list[tuple[float, float]]:
    """Cut a length (cm) into even stretches of about ``capacity`` at most, clear of the positions.

    A cut less than ``near`` from a position moves to the middle between two, so a stretch may come out longer
    by about that.
    """
    parts = max(1, ceil(length / capacity - 1e-9))
    ordered = sorted(positions)
    between = [(a + b) / 2 for a, b in pairwise(sorted({round(p, 3) for p in ordered}))]
    edges = [0.0]
    for i in range(1, parts):
        edge = target = length * i / parts
        if any(abs(p - target) < near for p in _beside(ordered, target)):
            edge = min(_beside(between, target), key=lambda m: abs(m - target), default=target)
        if edges[-1] < edge < length:
            edges.append(edge)
    return list(pairwise([*edges, length]))


def _beside(ordered: Sequence[float], target: float) -> Sequence[float]:
    """The one or two next to a target, of which one is the nearest of all."""
    k = bisect_left(ordered, target)
    return ordered[max(0, k - 1) : k + 1]
