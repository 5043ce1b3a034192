"""A typed reader over a YAML tree: asks for one field after another and collects what is wrong.

Every reader gives its default where the field is missing or faulty, so that reading goes on and all problems
of a file are found in one go. ``clean`` then says whether what was read may be used.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TypeVar
from unicodedata import category

from planner.season.reading.problems import MOST_PROBLEMS, FaultyFiles, Problem, shorten
from planner.season.reading.scalars import did_you_mean, parse_hour, parse_number, parse_when, parse_yes, tidy
from planner.season.reading.yaml_text import Node

D = TypeVar("D")

LONGEST = 5000.0  # cm
MOST_HINTS = 100  # faults behind which none is worth a hint
_TURNING = re.compile("[\u202a-\u202e\u2066-\u2069]")  # signs that turn the text behind them


@dataclass(frozen=True)
class Range:
    """What a number may be. ``above``: greater than ``low``, not equal to it."""

    low: float
    high: float
    unit: str = ""
    above: bool = False

    def fault(self, number: float, factor: float = 1.0) -> str:
        """Empty, or what is allowed, in the unit written; ``factor`` turns that unit into the range's."""
        value = number * factor
        if value <= self.high and (value > self.low if self.above else value >= self.low):
            return ""
        low, high = tidy(self.low / factor), tidy(self.high / factor)
        unit = f" {self.unit}" if self.unit else ""
        if self.above:
            return f"must be more than {low} and at most {high}{unit}"
        return f"must be {low} to {high}{unit}"


@dataclass
class Report:
    """The problems found in one file so far. ``factor``: cm per keeper's unit, whose name is ``unit``."""

    file: str
    factor: float = 1.0
    unit: str = "cm"
    problems: list[Problem] = field(default_factory=list)
    found: int = 0  # problems noted, whether they are kept or only counted

    def add(self, line: int, column: int, where: str, what: str) -> None:
        """Note one problem; of more than ``MOST_PROBLEMS`` the last only tells how many more there are."""
        self.found += 1
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(Problem(self.file, line, column, where, what))
        else:
            more = f"and {self.found - MOST_PROBLEMS + 1:,} more"
            last = max(line, *(p.line for p in self.problems[-2:]))  # told behind the others
            self.problems[-1] = Problem(self.file, last, column, "", more)


class Fields:
    """One mapping of a file. Keys outside ``known`` are problems at once (None: any key is allowed)."""

    def __init__(self, report: Report, node: Node, where: str = "", known: Sequence[str] | None = None):
        self.report = report
        self.node = node
        self.where = where
        self._before = report.found
        self.map: dict[str, Node] = {}
        if isinstance(node.value, dict):
            self.map = node.value
        elif not node.blank:
            report.add(node.line, node.column, where, f"{node.kind} where 'key: value' pairs are expected")
        for key in self.map if known is not None else ():
            if key not in (known or ()):
                line, column = node.keys[key]
                hint = did_you_mean(key, known or ()) if len(report.problems) < MOST_HINTS else ""
                report.add(line, column, where, f"unknown key '{shorten(key)}'{hint}")

    @property
    def clean(self) -> bool:
        """Whether nothing was found wrong since this mapping was opened."""
        return self.report.found == self._before

    def path(self, key: str) -> str:
        """Where a key stands, as in ``places[1].length``; the mapping itself for an empty key."""
        key = shorten(key)
        return f"{self.where}.{key}" if self.where and key else self.where or key

    def fault(self, key: str, what: str) -> None:
        """Note a problem with a key's value, or with the mapping if it has no such key."""
        node = self.map.get(key, self.node)
        self.report.add(node.line, node.column, self.path(key), what)

    def has(self, key: str) -> bool:
        """Whether anything is written behind the key."""
        return key in self.map and not self.map[key].blank

    def _scalar(self, key: str, need: bool) -> str | None:
        """The text behind a key, or None where there is none (then a problem if there must be)."""
        if not self.has(key):
            if need:
                self.fault(key, "is missing")
            return None
        value = self.map[key].value
        if isinstance(value, str):
            return value
        self.fault(key, f"{self.map[key].kind} where one value is expected")
        return None

    def text(
        self, key: str, default: D, *, need: bool = False, longest: int = 200, free: bool = False
    ) -> str | D:
        """One line of at least one visible character and at most ``longest``; any text when ``free``."""
        text = self._scalar(key, need)
        if text is None or free:
            return default if text is None else text
        if not text.strip():
            self.fault(key, "is empty")
            return default
        if _TURNING.search(text) or any(category(c) in ("Cc", "Cs", "Zl", "Zp") for c in text):
            self.fault(key, f"'{shorten(text)}': write one line of visible characters")
            return default
        if len(text) > longest:
            self.fault(key, f"'{shorten(text)}' has {len(text)} characters: at most {longest} are allowed")
            return default
        return text

    def number(
        self, key: str, default: D, allowed: Range, *, need: bool = False, factor: float = 1.0
    ) -> float | D:
        """A finite number within ``allowed``, times ``factor``."""
        text = self._scalar(key, need)
        if text is None:
            return default
        number = parse_number(text.strip())
        if number is None:
            unit = f" of {allowed.unit}" if allowed.unit else ""
            self.fault(key, f"'{shorten(text)}' is not a number{unit}" + _comma_hint(text))
            return default
        if what := allowed.fault(number, factor):
            self.fault(key, f"{text.strip()}{' ' if allowed.unit else ''}{allowed.unit}: {what}")
            return default
        return number * factor

    def hour(self, key: str, default: D) -> float | D:
        """An hour of the day, 0 to 24."""
        text = self._scalar(key, need=False)
        if text is None:
            return default
        hours = parse_hour(text.strip())
        if hours is None:
            self.fault(key, f"'{shorten(text)}' is not an hour of the day: write 05:30 or 5.5, up to 24:00")
            return default
        return hours

    def length(
        self,
        key: str,
        default: D,
        low: float = 0,
        high: float = LONGEST,
        *,
        above: bool = True,
        need: bool = False,
    ) -> float | D:
        """A length in the keeper's unit, as cm. ``low`` and ``high`` in cm."""
        allowed = Range(low, high, self.report.unit, above)
        return self.number(key, default, allowed, need=need, factor=self.report.factor)

    def integer(self, key: str, default: D, low: int, high: int, *, need: bool = False) -> int | D:
        """A whole number from ``low`` to ``high``."""
        text = self._scalar(key, need)
        if text is None:
            return default
        number = parse_number(text.strip())
        if number is None or number != int(number) or not low <= number <= high:
            self.fault(key, f"'{shorten(text)}' is not a whole number from {low} to {high}")
            return default
        return int(number)

    def form(self, key: str, newest: int, told: str = "written") -> int:
        """The number of a file's form. Raises FaultyFiles where a newer version of the program wrote it."""
        form = self.integer(key, 0, 1, 10**6, need=True)
        if form > newest:
            self.fault(key, f"{form}: {told} by a newer hangplan; this one reads up to {newest}")
            raise FaultyFiles(self.report.problems)
        return form

    def integers(self, key: str, low: int, high: int) -> Iterator[int]:
        """The whole numbers of a list."""
        for where, node in self.items(key):
            own = Fields(self.report, Node({"": node}, node.line, node.column), where)
            yield own.integer("", 0, low, high, need=True)

    def yes(self, key: str, default: D, *, need: bool = False) -> bool | D:
        """Yes or no."""
        text = self._scalar(key, need)
        if text is None:
            return default
        answer = parse_yes(text.strip())
        if answer is None:
            self.fault(key, f"'{shorten(text)}': write yes or no")
            return default
        return answer

    def choice(self, key: str, default: D, allowed: Sequence[str], *, need: bool = False) -> str | D:
        """One of some words."""
        text = self._scalar(key, need)
        if text is None:
            return default
        if text not in allowed:
            self.fault(key, f"'{shorten(text)}': write {' or '.join(allowed)}" + did_you_mean(text, allowed))
            return default
        return text

    def day(self, key: str, default: D, *, need: bool = False) -> date | D:
        """A day, without an hour."""
        text = self._scalar(key, need)
        if text is None:
            return default
        try:
            when = parse_when(text)
        except ValueError as e:
            self.fault(key, str(e))
            return default
        if when.hour is not None:
            self.fault(key, f"'{text}': write the day alone, {when.day}")
            return default
        return when.day

    def mapping(self, key: str, known: Sequence[str] | None, *, need: bool = False) -> Fields:
        """The mapping behind a key; an empty one where there is none."""
        if not self.has(key):
            if need:
                self.fault(key, "is missing")
            return Fields(self.report, Node({}, self.node.line, self.node.column), self.path(key))
        return Fields(self.report, self.map[key], self.path(key), known)

    def items(self, key: str) -> Iterator[tuple[str, Node]]:
        """The items of the list behind a key, each with its path."""
        if not self.has(key):
            return
        node = self.map[key]
        if not isinstance(node.value, list):
            self.fault(key, f"{node.kind} where a list is expected: begin each item with '- '")
            return
        for i, item in enumerate(node.value):
            yield f"{self.path(key)}[{i}]", item


def _comma_hint(text: str) -> str:
    """Suggest the decimal point to who writes decimal commas."""
    pointed = text.strip().replace(",", ".")
    return f": write {pointed}" if pointed != text.strip() and parse_number(pointed) is not None else ""
