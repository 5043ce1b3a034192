"""The ``places:`` of ``season.yaml``."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from planner.season.places import KINDS, Place
from planner.season.reading.fields import Fields, Report
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import did_you_mean
from planner.season.reading.temperature import read_temperature
from planner.season.reading.yaml_text import Node

STAND = ("left", "front", "temperature")


@dataclass(frozen=True)
class Stated:
    """A place as stated. ``place`` None: it has faults. ``name`` empty: not even that could be read."""

    name: str
    place: Place | None
    where: str
    line: int
    column: int


def read_place(report: Report, node: Node, where: str, folder: Path) -> Stated:
    """Read one place of a season's folder; what is wrong with it goes to ``report``."""
    kinds = [k for k in KINDS if isinstance(node.value, dict) and k in node.value]
    if len(kinds) != 1:
        what = f"has {' and '.join(kinds)}" if kinds else node.kind
        unknown = _unknown(node) if not kinds else None
        line, column = node.keys[unknown] if unknown else (node.line, node.column)
        what = f"unknown key '{shorten(unknown)}'{did_you_mean(unknown, tuple(KINDS))}" if unknown else what
        what += f": a place is one of {', '.join(f'{kind}: NAME' for kind in KINDS)}"
        report.add(line, column, where, what)
        return Stated("", None, where, node.line, node.column)
    kind = KINDS[kinds[0]]
    fields = Fields(report, node, where, (kind.kind, *kind.keys, *STAND))
    name = fields.text(kind.kind, "", need=True, longest=40).strip()
    place = kind.read(fields, name)
    left, front = (fields.length(key, None, above=False) for key in ("left", "front"))
    temperature = read_temperature(fields, folder)
    place = None if place is None else replace(place, left=left, front=front, temperature=temperature)
    at = fields.map[kind.kind]
    return Stated(name, place if fields.clean else None, fields.path(kind.kind), at.line, at.column)


def _unknown(node: Node) -> str | None:
    """The first key that no kind of place has; most likely it was to say which kind it is."""
    known = {*STAND, *(key for kind in KINDS.values() for key in kind.keys)}
    return (
        next((key for key in node.value if key not in known), None) if isinstance(node.value, dict) else None
    )
