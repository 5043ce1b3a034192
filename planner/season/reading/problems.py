"""Problems are data with a place: collected, sorted, printed, and only then is anything refused."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import groupby

MOST_PROBLEMS = 1000  # told of one file, for a damaged one must not fill a screen; the rest is counted
FEW = 3  # equal faults told one by one, each with its line; of more the first stands for all
MOST_RUNS = 5  # runs of lines named behind the first of many equal faults
_AT = re.compile(r"(?P<file>[^:\n]+):(?P<line>\d{1,9}):(?P<column>\d{1,9}): (?P<what>.+)")
_INDEX = re.compile(r"\[\d+\]")


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
        at = f":{self.line}:{self.column}" if self.line else ""
        where = f" {self.where}:" if self.where else ""
        return f"{self.file}{at}:{where} {self.what}"


class FaultyFiles(Exception):  # noqa: N818  (it carries problems; it is not itself an error of ours)
    """Raised once all faults are known; nothing has been written.

    ``found``: all of them, each once and sorted; ``problems``: of each file at most ``MOST_PROBLEMS``, for
    programs.
    """

    def __init__(self, problems: Iterable[Problem]):
        self.found = tuple(sorted(set(problems)))
        self.problems = tuple(_bounded(self.found))
        super().__init__("\n".join(map(str, self.problems)))

    def told(self) -> Iterator[Problem]:
        """The problems for a person: many equal ones as one, with their number and their lines."""
        return _bounded(_equal_told_once(self.found))


def _bounded(problems: Iterable[Problem]) -> Iterator[Problem]:
    """The problems, sorted as they come; of a file with very many the last tells how many more there are."""
    for file, those in groupby(problems, key=lambda problem: problem.file):
        found = list(those)
        more = found[MOST_PROBLEMS:]
        yield from found[:MOST_PROBLEMS]
        if len(more) == 1:  # as short to tell as to count
            yield from more
        elif more:
            yield Problem(file, more[0].line, more[0].column, "", f"and {len(more):,} more")


def _equal_told_once(problems: Iterable[Problem]) -> list[Problem]:
    """The problems, sorted; of equal ones in more than ``FEW`` lines of a file the first, for all."""
    groups: dict[tuple[str, str, str], list[Problem]] = {}
    for one in problems:
        groups.setdefault(_kind(one), []).append(one)
    return sorted(one for alike in groups.values() for one in _one_for_all(alike))


def equal_lines_once(texts: Iterable[str]) -> Iterator[str]:
    """The same for refusals that are text already, in their order: ``mine.csv:12:0: there is no lid 'x'``."""
    groups: dict[tuple[str, str, str], list[Problem]] = {}
    plain: dict[tuple[str, str, str], str] = {}
    for number, text in enumerate(texts):
        if at := _AT.fullmatch(text):
            one = Problem(at["file"], int(at["line"]), int(at["column"]), "", at["what"])
            groups.setdefault(_kind(one), []).append(one)
            plain.setdefault(_kind(one), "")
        else:
            plain["", str(number), ""] = text
    for kind, text in plain.items():
        yield from map(str, _one_for_all(groups[kind])) if kind in groups else [text]


def _kind(problem: Problem) -> tuple[str, str, str]:
    """Equal for equal faults: in a table whatever the row's id, in a list whatever the number in it."""
    table = problem.file.lower().endswith(".csv")
    return problem.file, "" if table else _INDEX.sub("[]", problem.where), problem.what


def _one_for_all(alike: list[Problem]) -> list[Problem]:
    lines = sorted({one.line for one in alike})
    if len(lines) <= FEW:
        return alike
    unit = "rows" if alike[0].file.lower().endswith(".csv") else "lines"
    what = f"{alike[0].what} (and {len(lines) - 1:,} more {unit}: {_runs(lines[1:])})"
    return [replace(alike[0], what=what)]


def _runs(lines: list[int]) -> str:
    """``13-40, 52, 60-70``; of many the first ``MOST_RUNS``."""
    ends: list[list[int]] = []
    for line in lines:
        if ends and line == ends[-1][1] + 1:
            ends[-1][1] = line
        else:
            ends.append([line, line])
    texts = [str(first) if first == last else f"{first}-{last}" for first, last in ends]
    return ", ".join([*texts[:MOST_RUNS], *(["..."] if len(texts) > MOST_RUNS else [])])
