"""A line as a strip: its spots to scale along it, tags below them at as many levels as they need."""

from __future__ import annotations

from bisect import bisect
from collections.abc import Iterator, Sequence
from itertools import pairwise

from planner.report.page.tags import (
    BESIDE,
    LEAST_SCALE,
    MOST_SCALE,
    PAD,
    TAG_HEIGHT,
    THREAD,
    TOP,
    At,
    Strip,
    Tag,
    View,
    card_bars,
    free_spots,
)
from planner.report.texts.text import columns
from planner.season.places import Line

DIGIT = 7.2  # width of a figure in a spot's name


def line_scale(line: Line, here: Sequence[At], width: float) -> float:
    """As small as leaves half a tag, and a spot's name, from each pupa to the next."""
    at = sorted({a.x for a in here if a.x is not None})
    closest = min((b - a for a, b in pairwise(at)), default=line.length)
    number = max((columns(a.spot) for a in here), default=1) * DIGIT + BESIDE
    need = max((width + BESIDE) / 2, number) / max(closest, 0.1)
    return min(MOST_SCALE, max(LEAST_SCALE, need))


def line_strip(view: View) -> Strip:
    """A line with its tags; one that would touch the last of a level hangs on the next."""
    line, here, scale, width = view.place, view.here, view.line_scale, view.tag_width
    assert isinstance(line, Line)
    side = width / 2 + PAD

    def px(x: float | None) -> float:
        return side + (x or 0.0) * scale

    ends: list[float] = []  # of each level: where its last tag ends
    tags: list[Tag] = []
    for at in sorted(here, key=_across):
        x = px(at.x)
        level = next((i for i, end in enumerate(ends) if x - width / 2 >= end + BESIDE - 0.01), len(ends))
        ends[level : level + 1] = [x + width / 2]
        tags.append(Tag(at.one, at.after, x, TOP, 0.0, THREAD + level * (TAG_HEIGHT + BESIDE)))
    taken = {round(a.x or 0.0, 3) for a in here}
    fixed = not line.slides
    free = [s for s in view.marks if fixed and s.x is not None and round(s.x, 3) not in taken]
    own = {round(t.x, 1): a.spot for t, a in zip(tags, sorted(here, key=_across), strict=True)}
    others = [(px(s.x), s.tag) for s in free]
    height = TOP + THREAD + max(1, len(ends)) * (TAG_HEIGHT + BESIDE) + PAD if here else TOP + PAD
    return Strip(
        line,
        view.words,
        round(2 * side + line.length * scale, 1),
        height,
        (side, TOP, px(line.length), TOP),
        tuple(tags),
        free_spots(view.page, free, lambda s: (px(s.x), TOP)),
        tuple(_numbers(sorted(own.items()), others)),
        counted=fixed,
        cards=tuple(
            ((x, TOP - 8.0), (x, TOP + 14.0))  # below the numbers
            for (x, _), _ in card_bars(view, lambda x, _: (px(x), TOP))
        ),
    )


def _across(at: At) -> tuple[float, int]:
    return (at.x or 0.0, at.after)


def _numbers(
    own: Sequence[tuple[float, str]], others: Sequence[tuple[float, str]]
) -> Iterator[tuple[float, float, str]]:
    """The names of taken spots, and of as many free ones as there is room for; both from left to right."""
    taken = [x for x, _ in own]
    last = float("-inf")
    for x, text in own:
        if x - _half(text) > last:
            last = x + _half(text)
            yield x, TOP - 10, text
    last = float("-inf")
    for x, text in others:
        k = bisect(taken, x)
        near = own[max(0, k - 1) : k + 1]
        if x - _half(text) > last and all(abs(x - at) > _half(text) + _half(name) for at, name in near):
            last = x + _half(text)
            yield x, TOP - 10, text


def _half(text: str) -> float:
    return columns(text) * DIGIT / 2 + 1
