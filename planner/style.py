"""One look for maps, tags, plots and pages: type sizes, colours, and the contrast of one on another.

Colours are Okabe and Ito's set and the cividis map, both readable by colour-blind people; none is ever the
only carrier of a meaning: each state also has a sign of its own shape and a word.

References
----------
Okabe M., Ito K., "Color Universal Design", 2008. Nuñez J. R. et al., "Optimizing colormaps with consideration
for color vision deficiency", PLoS ONE 13 (2018) e0199239.
"""

from __future__ import annotations

from dataclasses import dataclass

BLACK, WHITE = "#000000", "#ffffff"
FAINT = "#8a8a8a"  # marks only: 3.5:1 on white
QUIET = "#555555"  # text that may stand back: 7.5:1 on white
ORANGE, SKY, GREEN = "#e69f00", "#56b4e9", "#009e73"
YELLOW, BLUE, VERMILION, PURPLE = "#f0e442", "#0072b2", "#d55e00", "#cc79a7"
UNKNOWN = "#e6e6e6"  # a tag whose due day is not known

MM_PER_PT, MM_PER_INCH = 25.4 / 72, 25.4
# On paper, pt. Nothing is set smaller than the smallest, but what a small tag to cut out has no room for.
SMALLEST = 7.5
SMALL = 8.0  # ids and lists at small lids, numbers in legends
BODY = 9.0
LARGER = 10.0  # the words under a title
LARGE = 12.0  # names of places, and what is read with tweezers in hand: the move list, the steps on a lid
LIST = 13.0  # the list below a lid
TITLE = 18.0
DAY_LARGEST, DAY_LEAST = 15.0, 9.5  # rows of the day sheet
TAG_LARGEST, TAG_GOOD, TAG_LEAST = 20.0, 7.5, 4.5  # rows of a tag below its day
# On a screen, px: ids are read at arm's length, nothing is smaller than the smallest.
PAGE_SMALLEST = 11.5
PAGE_ID = 13.0
PAGE_BODY = 17.0


@dataclass(frozen=True)
class Paper:
    """The colours of a page: what is written on what. ``accent`` is used as text and as a ground."""

    ground: str
    raised: str  # panels and bars on the ground
    ink: str
    quiet: str  # text that may stand back
    edge: str  # lines and frames: 3:1
    accent: str
    on_accent: str
    alarm: str  # text of a caution
    bar: str  # of a diagram, on raised: 3:1


LIGHT = Paper("#fbf8f1", "#ffffff", "#1c221f", "#53594f", "#7d8378", "#00574a", "#ffffff", "#8f2d00", BLUE)
DARK = Paper("#15191a", "#202628", "#ecefe8", "#b3bab0", "#828b84", "#7fd1bd", "#10201c", "#ffb38a", SKY)
# What a pupa's tag is filled with, by what it is on that day; written on in ``ink_on`` that fill.
STATE_FILLS = {
    "may": SKY,
    "stay": WHITE,
    "soft": "#d4d4d4",
    "dark": PURPLE,
    "due": ORANGE,
    "late": VERMILION,
    "out": WHITE,
    "gone": WHITE,
}


def luminance(colour: str) -> float:
    """Relative luminance of ``#rrggbb``, 0 to 1.

    References
    ----------
    Web Content Accessibility Guidelines (WCAG) 2.2, W3C Recommendation, "relative luminance".
    """
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(a: str, b: str) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.2, "contrast ratio")."""
    dark, light = sorted((luminance(a), luminance(b)))
    return (light + 0.05) / (dark + 0.05)


def ink_on(colour: str) -> str:
    """Black or white, whichever reads better on a colour: never under 4.5:1 (the worst case is 4.58:1)."""
    return max((BLACK, WHITE), key=lambda ink: contrast(ink, colour))
