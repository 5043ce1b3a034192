"""The rows of ``pupae.csv`` as pupae, read cell by cell."""

from __future__ import annotations

import re
from dataclasses import dataclass

from planner.season.pupae import AFTER, CLEANED, FORMED, OUTCOMES, SICK, Formed, Pupa
from planner.season.pupae.table import FILE, Row, Table, read_table
from planner.season.reading.looks import Looks
from planner.season.reading.problems import Problem, shorten
from planner.season.reading.scalars import NO, YES, did_you_mean, parse_number, parse_when
from planner.season.reading.when import When, between

ID = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,11}")
_YES = (*YES, "y", "x", "1")
_NO = (*NO, "n", "", "0")


@dataclass(frozen=True)
class Record:
    """Pupae with the row each stands in. Faulty cells read as None; then ``problems`` is not empty."""

    table: Table | None
    pupae: tuple[Pupa, ...]
    rows: tuple[Row, ...]
    problems: tuple[Problem, ...]


def read_record(data: bytes, cm_per_unit: float, default_species: str, looks: Looks | None = None) -> Record:
    """Read all rows; ``looks``: when the keeper looks. Raises FaultyFiles when it is no table at all."""
    table = read_table(data)
    reader = _Reader(table, cm_per_unit, default_species, looks)
    rows = tuple(table.records())
    pupae = tuple(map(reader.pupa, rows))
    return Record(table, pupae, rows, tuple(reader.problems))


def cell_problem(table: Table, row: Row, column: str, what: str) -> Problem:
    """A problem with one cell, named by the pupa's id and the column."""
    cell = table.cell(row, column)
    name = shorten(table.text(row, "id"), 20)
    return Problem(FILE, cell.line, cell.column, name, f"{column}: {what}")


def formed_text(pupa: Pupa, cm_per_unit: float) -> str:
    """What `Record` reads back as where it formed, of a pupa that is still on that lid."""
    if pupa.x is None or pupa.y is None:
        return f"{pupa.place} ?"
    return f"{pupa.place} {_number(pupa.x / cm_per_unit)} {_number(pupa.y / cm_per_unit)}"


def _number(value: float) -> str:
    return f"{round(value, 6):.12g}"


class _Reader:
    def __init__(self, table: Table, cm_per_unit: float, default_species: str, looks: Looks | None):
        self.table = table
        self.factor = cm_per_unit
        self.species = default_species
        self.looks = looks
        self.problems: list[Problem] = []

    def fault(self, row: Row, column: str, what: str) -> None:
        self.problems.append(cell_problem(self.table, row, column, what))

    def pupa(self, row: Row) -> Pupa:
        text = self.table.text
        name, place, outcome = text(row, "id"), text(row, "place"), text(row, "outcome").lower() or None
        if not name:
            self.fault(row, "id", "is missing")
        elif not ID.fullmatch(name):
            self.fault(
                row, "id", f"'{shorten(name)}': allowed is a letter and up to 11 letters, digits, - or _"
            )
        if not place:
            self.fault(row, "place", "is missing: write the name of the line, board or lid where it is")
        if outcome is not None and outcome not in OUTCOMES:
            what = f"'{shorten(outcome)}' is not known: write one of {', '.join(OUTCOMES)}"
            self.fault(row, "outcome", what + did_you_mean(outcome, OUTCOMES))
        before = len(self.problems)
        x, y = self.number(row, "x"), self.number(row, "y")
        if len(self.problems) > before:  # else the other one would be called a lone one
            x = y = None
        pupated = self.found(row, "pupated")
        return Pupa(
            id=name,
            species=text(row, "species").lower() or self.species,
            pupated=pupated,
            place=place,
            spot=self.spot(row),
            x=x,
            y=y,
            hung=self.when(row, "hung"),
            stay=self.yes(row, "stay"),
            darkening=self.when(row, "darkening"),
            outcome=outcome,
            ended=self.ended(row, pupated),
            note=text(row, "note"),
            formed=self.formed(text(row, FORMED)),
            cleaned=self.when(row, CLEANED) if outcome in SICK else None,
            line=row.line,
        )

    def when(self, row: Row, column: str) -> When | None:
        text = self.table.text(row, column)
        if not text:
            return None
        try:
            return parse_when(text)
        except ValueError as e:
            self.fault(row, column, str(e))
            return None

    def found(self, row: Row, column: str) -> When | None:
        """A date with the looks between which it was, by its row or else by the season's own."""
        when, after = self.when(row, column), self.when(row, AFTER[column])
        if when is None:
            if after is not None and not self.table.text(row, column):
                self.fault(row, AFTER[column], f"{after}, but {column} is missing: write when it was found")
            return None
        if after is None:
            return self.looks.read(when) if self.looks else when
        try:
            return between(after, when)
        except ValueError as e:
            self.fault(row, AFTER[column], str(e))
            return None

    def ended(self, row: Row, pupated: When | None) -> When | None:
        """When it was gone. A row that names a look before its pupation is faulty; the season's may be."""
        ended, look = self.found(row, "ended"), self.table.text(row, AFTER["ended"])
        if look and pupated and ended and ended.earliest < pupated.earliest:
            self.fault(row, AFTER["ended"], f"{look} is before it pupated, {pupated}")
        return ended

    def number(self, row: Row, column: str) -> float | None:
        text = self.table.text(row, column)
        if not text:
            return None
        number = parse_number(self.table.pointed(text))
        if number is None:
            self.fault(row, column, f"'{shorten(text)}' is not a number")
            return None
        return number * self.factor

    def yes(self, row: Row, column: str) -> bool:
        word = self.table.text(row, column).lower()
        if word not in _YES and word not in _NO:
            self.fault(row, column, f"'{shorten(word)}': write yes or no")
        return word in _YES

    def spot(self, row: Row) -> str | None:
        """The spot as written, but for a decimal comma; ``?`` says that it is not known."""
        text = self.table.text(row, "spot")
        pointed = self.table.pointed(text)
        return (pointed if parse_number(pointed) is not None else text) if text not in ("", "?") else None

    def formed(self, text: str) -> Formed | None:
        """``tub-2 12 5``, or ``tub-2 ?``; a keeper's own column of that name says something else."""
        if text.endswith(" ?"):
            return Formed(text[:-2].strip())
        lid, *point = text.rsplit(" ", 2)
        x, y = (parse_number(part) for part in point) if len(point) == 2 else (None, None)
        if x is None or y is None:
            return None
        return Formed(lid.strip(), x * self.factor, y * self.factor)
