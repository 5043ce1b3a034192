"""What cannot be done, and the exit code that says so."""

from __future__ import annotations

from collections.abc import Iterable

from planner.season.reading.problems import Problem
from planner.words import Advised

DONE, FAULTY, USAGE, IMPOSSIBLE, UNPROVED = range(5)
STOPPED = 130  # what a shell expects of a command ended by Ctrl-C


class Refused(Exception):  # noqa: N818  (it carries what is said to the keeper; it is no error of ours)
    """A command that cannot go on: problems to print, and the exit code.

    ``told``: what speaks against it. ``typed``: what may be typed against that, which no page says.
    """

    def __init__(
        self, told: Iterable[Problem | Advised | str], code: int = FAULTY, *, typed: Iterable[str] = ()
    ):
        self.told, self.typed = tuple(told), tuple(typed)
        self.problems = (*self.told, *self.typed)
        self.code = code
        super().__init__("\n".join(map(str, self.problems)))
