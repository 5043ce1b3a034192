"""One look for everything drawn: type sizes, colours, and the contrast of one on another.

Colours are Okabe and Ito's set and the cividis map, both readable by colour-blind people; none is ever the
only carrier of a meaning.
"""

from __future__ import annotations

MM_PER_PT = 25.4 / 72
MM_PER_INCH = 25.4

SMALLEST = 7.5  # pt; nothing on a map is set smaller
BODY = 9.0
NAME = 12.0
TITLE = 18.0

BLACK, WHITE = "#000000", "#ffffff"
FAINT = "#8a8a8a"  # marks only: 3.5:1 on white
QUIET = "#555555"  # text that may stand back: 7.5:1 on white
VERMILION = "#d55e00"
UNKNOWN = "#e6e6e6"  # a tag whose due day is not known


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
