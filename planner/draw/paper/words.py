"""How wide a text is on paper, and how it is made to fit.

Letters that join or run from right to left are shaped by matplotlib (3.11 and later), and measured in their
joined form; a name between the marks of `planner.season.direction` is set by itself. A letter that the
typeface lacks is taken from one installed on the machine, if any has it.
"""

from __future__ import annotations

import re
import warnings
from collections.abc import Callable
from functools import lru_cache

from matplotlib.font_manager import FontEntry, FontProperties, findfont, fontManager, get_font
from matplotlib.ft2font import FT2Font

from planner.season.direction import MARKS
from planner.season.reading.told_words import in_keepers_words
from planner.style import MM_PER_PT

CAP = 0.73  # height of capitals and figures, in ems of this typeface
_FAMILY = "DejaVu Sans"  # comes with matplotlib, so that every machine draws the same
_EM = 100.0  # pt, large enough that nothing is lost in rounding


# Where a letter is looked for that the typeface lacks: these first, as they are plain and have many letters.
_OTHERS = (
    "Noto Sans",
    "Arial Unicode MS",
    "Segoe UI",
    "Hiragino Sans",
    "Microsoft YaHei",
    "Droid Sans Fallback",
)
_MARK = re.compile(f"[{MARKS}]")
_SIMPLE = 0x0300  # from here on letters may join, combine or run from right to left


@lru_cache(maxsize=256)
def font(size: float, bold: bool = False, extra: tuple[str, ...] = ()) -> FontProperties:
    """Give the one typeface at a size in points; ``extra``: families for letters it lacks (`others`)."""
    weight = "bold" if bold else "normal"
    if extra:
        return FontProperties(family=[_FAMILY, *extra], size=size, weight=weight)
    return FontProperties(family=_FAMILY, size=size, weight=weight, fname=_file(weight))


@lru_cache(maxsize=16)
def _file(weight: str, family: str = _FAMILY) -> str:
    """Find the typeface's file once, not for every text."""
    return findfont(FontProperties(family=family, weight=weight))


@lru_cache(maxsize=8192)
def others(text: str, bold: bool = False) -> tuple[str, ...]:
    """Families that have the letters of a text which the typeface lacks; few, and mostly none at all."""
    face = get_font(_file("bold" if bold else "normal"))
    lacking = frozenset(c for c in text if ord(c) >= _SIMPLE and not face.get_char_index(ord(c)))
    return _families(lacking) if lacking else ()


@lru_cache(maxsize=64)
def _families(lacking: frozenset[str]) -> tuple[str, ...]:
    def order(entry: FontEntry) -> tuple[int, str]:
        known = [i for i, name in enumerate(_OTHERS) if entry.name.startswith(name)]
        return min(known, default=len(_OTHERS)), entry.name

    found: list[str] = []
    tried: set[str] = set()
    rest = set(lacking)
    for entry in sorted(fontManager.ttflist, key=order):
        if not rest:
            break
        if entry.name in tried or entry.style != "normal" or "Last Resort" in entry.name:
            continue
        tried.add(entry.name)
        try:
            face = get_font(entry.fname)
        except (OSError, RuntimeError):
            continue  # a damaged file of the machine's, no reason to stop
        has = {c for c in rest if face.get_char_index(ord(c))}
        if has:
            found.append(entry.name)
            rest -= has
    return tuple(found)


def typeface(text: str, bold: bool) -> FT2Font:
    """Give the typeface with those for letters of a text which it lacks."""
    weight = "bold" if bold else "normal"
    return get_font([_file(weight), *(_file(weight, family) for family in others(text, bold))])


def plain(text: str) -> str:
    """Make one line of any text: what cannot be printed, such as a line break, becomes a space."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() or c in MARKS else " " for c in text)


def pieces(text: str) -> list[str]:
    """Cut a text into what is set one after another from the left, each in its own direction.

    A row or a shortened text may hold one mark of a pair without the other.
    """
    return [piece for piece in _MARK.split(text) if piece]


def width(text: str, size: float, bold: bool = False) -> float:
    """Say how wide a text is when printed at ``size`` points, in mm."""
    return _ems(in_keepers_words(text), bold) * size * MM_PER_PT


@lru_cache(maxsize=65536)
def _ems(text: str, bold: bool) -> float:
    weight, text = "bold" if bold else "normal", plain(text)
    if all(ord(c) < _SIMPLE or 0x2010 <= ord(c) < 0x2600 for c in text):
        return sum(_advance(c, weight) for c in text if c not in MARKS)
    return sum(_shaped(piece, bold) for piece in pieces(text))


@lru_cache(maxsize=4096)
def _shaped(text: str, bold: bool) -> float:
    """Width in ems of a text whose letters join, combine or come from another typeface."""
    face = typeface(text, bold)
    face.set_size(_EM, 72)
    with warnings.catch_warnings():
        ignore_missing_letters()
        face.set_text(text, 0.0)
    return float(face.get_width_height()[0]) / 64 / _EM


@lru_cache(maxsize=4096)
def _advance(letter: str, weight: str) -> float:
    """Width of one letter in ems.

    Kerning is left out: most of it draws letters nearer, the rest is a twentieth of an em in rare pairs.
    """
    face = get_font(_file(weight))
    face.set_size(_EM, 72)
    glyph = face.load_glyph(
        face.get_char_index(ord(letter))
    )  # of a letter it lacks, the box it draws instead
    return float(glyph.linearHoriAdvance) / 65536 / _EM


def ignore_missing_letters() -> None:
    """Keep quiet about letters no typeface here has: they come out as boxes, which is seen on the sheet."""
    warnings.filterwarnings("ignore", message="Glyph .* missing from font", category=UserWarning)


def fit(text: str, size: float, room: float, bold: bool = False, middle: bool = False) -> str:
    """Shorten a text with an ellipsis until it is at most ``room`` mm wide.

    ``middle``: leave out the middle, for ids, which mostly differ at their ends.
    """
    if width(text, size, bold) <= room:
        return text

    def kept(n: int) -> str:
        head = (n + 1) // 2 if middle else n
        return text[:head].rstrip() + "…" + (text[len(text) - (n - head) :] if n > head else "")

    return kept(_most(len(text) - 1, lambda n: width(kept(n), size, bold) <= room))


def _most(limit: int, fits: Callable[[int], bool]) -> int:
    """Find the greatest n in 0 … limit that fits, or 0, taking it that whatever is shorter fits too."""
    low, high = 0, limit
    while low < high:
        n = (low + high + 1) // 2
        low, high = (n, high) if fits(n) else (low, n - 1)
    return low


def wrap(text: str, size: float, room: float) -> list[str]:
    """Break a text at its spaces into rows of at most ``room`` mm; a longer word is shortened."""
    rows: list[str] = []
    for word in text.split():
        longer = f"{rows[-1]} {word}" if rows else word
        if rows and width(longer, size) <= room:
            rows[-1] = longer
        else:
            rows.append(fit(word, size, room))
    return rows
