"""What is printed, as PDF, made when it is asked for by the commands of the same names."""

from __future__ import annotations

import threading
from collections import defaultdict
from pathlib import Path

from planner.record.refusal import DONE, Refused
from planner.season.store.disk import LARGEST, read_bytes
from planner.serve import child

SECONDS = 180.0
# Name of the file: what it is called, and the words that make it.
PAPERS = {
    "wall": ("All for the wall", ("map", "--wall")),
    "map": ("Map of the rack", ("map",)),
    "lids": ("Lids from above", ("lids",)),
    "tags": ("Tags, all", ("tags",)),
    "tags-moved": ("Tags of those to be moved", ("tags", "--moved")),
}
_one_at_a_time: dict[Path, threading.Lock] = defaultdict(threading.Lock)


def paper(folder: Path, name: str, on: str | None) -> bytes:
    """A PDF of the plan in force. Raises Refused with what speaks against it."""
    file = f"{name}.pdf"
    words = [*PAPERS[name][1], "-o", f"out/{file}", "--json", *(["--on", on] if on else [])]
    with _one_at_a_time[folder]:
        try:
            code, out, err = child.run(folder, words, SECONDS)
        except TimeoutError:
            why = f"{file} took more than {SECONDS:g} seconds: try again when the computer is less busy"
            raise Refused([why]) from None
        if code != DONE:
            told = child.problems(child.answer(out)) or err.splitlines()[-1:]
            raise Refused(told or [f"{file} could not be made"])
        data = read_bytes(folder / "out", file, LARGEST)
    if not data:
        raise Refused(["there is nobody to make it for"])
    return data
