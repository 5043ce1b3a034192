"""Names that run from right to left, kept apart from the text round them.

Where a Hebrew or Arabic name meets a spot's number or unit, a reader's program orders them all by the letters
it sees, and the number changes sides. Between two invisible marks a name is ordered by itself. They stand in
drawings, on the page and in the calendar alone: in a terminal and in the season's files a keeper's name
stays what it is.

References
----------
Unicode Standard Annex 9, "Unicode Bidirectional Algorithm", explicit directional isolates.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from unicodedata import bidirectional

from planner.season.season import Season

FIRST, LAST = "\N{FIRST STRONG ISOLATE}", "\N{POP DIRECTIONAL ISOLATE}"
MARKS = FIRST + LAST


def leftward(text: str) -> bool:
    """Whether any letter of a text runs from right to left."""
    return not text.isascii() and any(bidirectional(c) in ("R", "AL") for c in text)


def apart(name: str) -> str:
    """A name between the two marks where it needs them, else as it is."""
    return f"{FIRST}{name}{LAST}" if leftward(name) else name


class Names:
    """Names to be kept apart wherever they stand in a text that was made without heed to them."""

    def __init__(self, names: Iterable[str]) -> None:
        found = sorted({name for name in names if leftward(name)}, key=lambda name: (-len(name), name))
        self._any = re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, found))})(?!\w)") if found else None

    def apart(self, text: str) -> str:
        """The text with every one of the names between marks."""
        return self._any.sub(lambda m: apart(m[0]), text) if self._any else text


def names_of(season: Season) -> Names:
    """Every name that a keeper gave which may run from right to left: of the season and of its places."""
    return Names([season.name, *season.place])
