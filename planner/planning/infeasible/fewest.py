"""The fewest of something of which more never harms: proofs by counting, then doubling, then halving."""

from __future__ import annotations

from collections.abc import Callable


def fewest(
    most: int, excluded: Callable[[int], bool], works: Callable[[int], bool | None]
) -> tuple[int | None, int]:
    """The fewest that work, and how many at least are needed; the two are equal where that is proved.

    Parameters
    ----------
    most
        To be tried; what is sought is 1 or more. If so many do not work, None.
    excluded
        Whether so many are proved to be too few, found out at once.
    works
        Whether so many do; None: not found out.
    """
    needed = _first_not(excluded, most)
    low, high, step = needed, needed, 1
    while high <= most and not (answer := works(high)):
        needed = max(needed, high + 1) if answer is False else needed
        low, high = high + 1, min(high + step, most) if high < most else most + 1
        step *= 2
    if high > most:
        return None, needed
    while low < high:
        middle = (low + high) // 2
        answer = works(middle)
        if answer:
            high = middle
        else:
            needed = max(needed, middle + 1) if answer is False else needed
            low = middle + 1
    return high, min(needed, high)


def _first_not(excluded: Callable[[int], bool], most: int) -> int:
    """The least number from 1 to ``most`` that is not excluded, else ``most`` + 1."""
    low, high = 1, 1
    while high <= most and excluded(high):
        low, high = high + 1, max(min(2 * high, most), high + 1)
    while low < high:
        middle = (low + high) // 2
        if excluded(middle):
            low = middle + 1
        else:
            high = middle
    return low
