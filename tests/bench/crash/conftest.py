"""Finds the season of the command line's tests, and counts at the end what was tried."""

import json
import os
import sys
from collections import Counter
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "cli"))


@pytest.fixture
def tally(request):
    """Counts what a test tries, by name; the counts of all are told at the end."""
    counts = Counter()
    yield counts
    request.node.user_properties.append(("tally", json.dumps(counts)))
    if path := os.environ.get("TALLY"):  # for runs that may not live to their end
        with Path(path).open("a") as file:
            file.write(f"{request.node.name}: {json.dumps(counts)}\n")


def pytest_terminal_summary(terminalreporter):
    """Tell how often each was tried, test by test and in all."""
    total = Counter()
    for report in terminalreporter.getreports(""):  # of taking down: what a passed test has counted by then
        for name, counts in report.user_properties:
            if name == "tally":
                found = Counter(json.loads(counts))
                total += found
                words = ", ".join(f"{n} {what}" for what, n in sorted(found.items()))
                terminalreporter.write_line(f"{report.nodeid.rpartition(os.sep)[2]}: {words}")
    for what, n in sorted(total.items()):
        terminalreporter.write_line(f"in all: {n:,} {what}")
