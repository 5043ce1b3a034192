"""The text of a table of temperatures, in whichever encoding a logger's program saved it."""

from __future__ import annotations

from planner.season.reading.problems import FaultyFiles
from planner.season.reading.yaml_text import decode

LARGEST = 20_000_000  # bytes; a logger writes one a minute in 13 MB a year
HEAD = 100_000  # bytes in which the heading and the first rows stand


def text_of(data: bytes, file: str) -> str:
    """UTF-8, UTF-16 with a byte order mark, or else Latin-1 as Windows has it. Raises FaultyFiles."""
    if len(data) <= LARGEST and data.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            return data.decode("utf-16")
        except UnicodeDecodeError:
            return decode(data, file, LARGEST)
    try:
        return decode(data, file, LARGEST)
    except FaultyFiles:
        if len(data) > LARGEST or b"\0" in data:
            raise
        return data.decode("cp1252", "replace")


def head_of(data: bytes) -> list[str]:
    """The first lines, as far as they are whole."""
    head = data[:HEAD]
    try:
        lines = text_of(head[: len(head) // 2 * 2], "").splitlines()
    except FaultyFiles:
        return []
    return lines[:-1] if len(data) > HEAD and len(lines) > 1 else lines
