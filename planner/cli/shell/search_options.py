"""Options that say how far a search goes: over how many evenings, and with how much memory."""

from __future__ import annotations

from planner.cli.shell.talk import usage
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import parse_number

LEAST_MEMORY, MOST_MEMORY = 100e6, 1e15  # bytes
_SIZES = {"M": 1e6, "G": 1e9, "T": 1e12}


def read_evenings(asked: str | None, wait: bool, most: int) -> int | None:
    """Over how many evenings, at most ``most``, is planned; None: as many as are needed."""
    if asked is None:
        return 2 if wait else None
    try:
        number = int(asked)
    except ValueError:
        number = 0
    if not asked.strip().isascii() or not 1 <= number <= most:
        usage(f"--evenings: {shorten(asked)}: allowed is a whole number, 1 (today only) to {most}")
    if wait and number == 1:
        usage("--wait leaves some on their lids until tomorrow, --evenings 1 plans today only: choose one")
    return number


def read_memory(text: str | None) -> float | None:
    """Bytes, of text such as ``2G``; None where nothing is said."""
    if text is None:
        return None
    size = text.strip().upper().removesuffix("B")
    number = parse_number(size[:-1]) if size[-1:] in _SIZES else None
    if number is None or not LEAST_MEMORY <= number * _SIZES[size[-1:]] <= MOST_MEMORY:
        usage(f"--memory: '{text}': write megabytes or gigabytes, such as 500M or 2G; at least 100M")
    return number * _SIZES[size[-1:]]
