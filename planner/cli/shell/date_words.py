"""Dates among the words of a call: ``add 3 tub-2 5 Jul``, ``mark m1 emerged yesterday 7:30``."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path

from planner.cli.shell.talk import usage
from planner.season.reading.told_dates import MONTHS
from planner.season.reading.typed_dates import is_typed_date

LONGEST = 5  # words of a date: last Fri at 9:30 pm
_DAY = re.compile("[0-9]{1,2}")
_MONTH = re.compile("(" + "|".join(MONTHS) + r")[a-z]*\.?", re.IGNORECASE)


def is_date(word: str) -> bool:
    """Whether a word is a date, and no file or folder has that name."""
    return is_typed_date(word, datetime.now()) and not Path(word).exists()


def with_dates_joined(words: Sequence[str]) -> Iterator[str]:
    """The words, those of one date such as ``5 Jul`` or ``yesterday 21:30`` put together."""
    i = 0
    while i < len(words):
        match words[i : i + 3]:
            case [day, month, other] if (
                _MONTH.fullmatch(month) and _DAY.fullmatch(day) and _DAY.fullmatch(other)
            ):
                either = f"'{day} {month}' or '{month} {other}'"
                usage(f"'{day} {month} {other}' could be {either}: put the date in quotes")
        lengths = range(min(LONGEST, len(words) - i), 1, -1)
        many = next((n for n in lengths if is_date(" ".join(words[i : i + n]))), 1)
        yield " ".join(words[i : i + many])
        i += many


def date_apart(words: Sequence[str], on: str | None) -> tuple[list[str], str | None]:
    """The words without the date among them, and that date or ``--on``; not both."""
    joined = list(with_dates_joined(words))
    dates = [word for word in joined if is_date(word)]
    if len({*dates, *([on] if on is not None else [])}) > 1:
        usage(f"{' and '.join([*dates, *([f'--on {on}'] if on is not None else [])])}: give one date")
    return [word for word in joined if word not in dates], dates[0] if dates else on
