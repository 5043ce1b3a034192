"""What cannot be done, and the exit code that says so."""

from __future__ import annotations

from collections.abc import Iterable

from planner.season.reading.problems import Problem

DONE, FAULTY, USAGE, IMPOSSIBLE, UNPROVED = range(5)
STOPPED = 130  # what a shell expects of a command ended by Ctrl-C


class Refused(Exception):  # noqa: N818  (it carries what is said to the keeper; it is no error of ours)
    """A command that cannot go on: problems to print, and the exit code."""

    def __init__(self, problems: Iterable[Problem | str], code: int = FAULTY):
        self.problems = tuple(problems)
        self.code = code
        super().__init__("\n".join(map(str, self.problems)))
