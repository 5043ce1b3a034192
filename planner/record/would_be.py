"""``pupae.csv`` as a change would leave it, judged before it is written."""

from __future__ import annotations

from planner.emergence import known_species
from planner.season.pupae.record import Record, read_record
from planner.season.reading.problems import Problem
from planner.season.reading.yaml_text import LARGEST
from planner.season.season import Season
from planner.season.settings import FILE, read_settings
from planner.season.store.disk import read_bytes
from planner.season.validate import validate


def judged(season: Season, data: bytes) -> tuple[Record, list[Problem]]:
    """The record that a new ``pupae.csv`` would be, and all that is wrong with it in this season."""
    known = frozenset(known_species())
    text = read_bytes(season.folder, FILE, LARGEST) or b""
    stated, report = read_settings(text, season.folder, known)
    would_be = read_record(data, season.cm_per_unit, season.species, season.looks)
    return would_be, [*report.problems, *would_be.problems, *validate(stated, would_be, known)]
