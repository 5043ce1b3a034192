"""Problems are data with a place: collected, sorted, printed, and only then is anything refused."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby

MOST_PROBLEMS = 1000  # told of one file, for a damaged one must not fill a screen; the rest is counted


def shorten(text: str, most: int = 60) -> str:
    """Fit a keeper's text into a message of one line."""
    text = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text)
    return text if len(text) <= most else text[: most - 3] + "..."


@dataclass(frozen=True, order=True)
class Problem:
    """One fault in one file.

    ``line`` and ``column`` count from 1 (0: the file as a whole); ``where`` is a path such as
    ``places[1].length`` or a pupa's id (may be empty); ``what`` names the value, its unit and what is
    allowed.
    """

    file: str
    line: int
    column: int
    where: str
    what: str

    def __post_init__(self) -> None:
        """Cut what is told to a length that can be read, whatever a damaged file holds."""
        for name, most in (("where", 300), ("what", 2000)):
            text = getattr(self, name)
            if len(text) > most:
                object.__setattr__(self, name, f"{text[: most - 3]}...")

    def __str__(self) -> str:
        where = f" {self.where}:" if self.where else ""
        return f"{self.file}:{self.line}:{self.column}:{where} {self.what}"


class FaultyFiles(Exception):  # noqa: N818  (it carries problems; it is not itself an error of ours)
    """Raised once all faults are known; nothing has been written."""

    def __init__(self, problems: Iterable[Problem]):
        self.problems = tuple(_bounded(problems))
        super().__init__("\n".join(map(str, self.problems)))


def _bounded(problems: Iterable[Problem]) -> Iterator[Problem]:
    """Each once and in order; of a file with very many the last tells how many more there are."""
    for file, those in groupby(sorted(set(problems)), key=lambda problem: problem.file):
        found = list(those)
        more = found[MOST_PROBLEMS:]
        yield from found[:MOST_PROBLEMS]
        if len(more) == 1:  # as short to tell as to count
            yield from more
        elif more:
            yield Problem(file, more[0].line, more[0].column, "", f"and {len(more):,} more")
