"""Newcomers out of a keeper's own table: what its columns mean is found, asked once, and remembered."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from planner.record.newcomers import Newcomer
from planner.record.refusal import USAGE, Refused
from planner.record.relisted import Listed
from planner.season.lists import foreign_columns, foreign_table
from planner.season.lists.foreign_columns import overlooked
from planner.season.lists.foreign_table import ForeignTable
from planner.season.places import Lid
from planner.season.reading.problems import FaultyFiles, shorten
from planner.season.reading.scalars import parse_when
from planner.season.season import Season
from planner.season.store import OWN, Store, StoreError, write_output
from planner.season.store.disk import read_bytes
from planner.words import natural

REMEMBERED = "columns.json"  # in the season's own folder: header → columns and form of dates
LARGEST = 1_000_000  # bytes of what is remembered
MOST = 10_000  # rows in one go


@dataclass(frozen=True)
class Said:
    """What the call says of a table: what its ``columns`` are and how its ``dates`` look; empty: nothing."""

    columns: str = ""
    dates: str = ""


@dataclass(frozen=True)
class Talk:
    """How what a table means is talked over. ``confirm``: whether a guess is right; None: nobody to ask."""

    tell: Callable[[str], None]
    confirm: Callable[[Mapping[str, str]], bool] | None = None


class OwnTable:
    """A keeper's own table and what its columns were found to be."""

    def __init__(
        self,
        season: Season,
        data: bytes,
        file: str,
        said: Said,
        lid: str,
        talk: Talk,
        read_day: foreign_table.ReadDay = parse_when,
    ):
        self.file, self._talk, self._read_day = file, talk, read_day
        self.table = foreign_table.read_foreign(data, self.file)
        self.folder, self.species = season.folder, season.species
        remembered = remembered_in(season.folder).get(_key(self.table), {})
        self.stated = bool(said.columns) or remembered.get("stated") is True
        ids = remembered.get("ids")
        by_file = {k: str(v).split() for k, v in ids.items()} if isinstance(ids, dict) else None
        self._by_file: dict[str, list[str]] = by_file or {}
        every = None if by_file is None else frozenset(name for those in by_file.values() for name in those)
        self.before = Listed(every, frozenset(self._by_file.get(Path(self.file).name, ())))
        try:
            self.pattern = (
                foreign_table.check_pattern(said.dates) if said.dates else str(remembered.get("dates", ""))
            )
        except ValueError as e:
            raise Refused([f"--dates: {e}"], USAGE) from None
        self.columns = self._columns(season, said.columns, remembered.get("columns"), lid)

    def _columns(self, season: Season, said: str, remembered: object, lid: str) -> dict[str, str]:
        if said:
            try:
                columns = foreign_columns.stated(said, self.table)
            except ValueError as e:
                raise Refused([f"--columns: {e}"], USAGE) from None
            return self._complete(columns, lid)
        if isinstance(remembered, dict) and remembered.keys() <= set(self.table.header):
            columns = {str(k): str(v) for k, v in remembered.items()}
            if not self.stated:  # the table of that time may not have shown that one is the quantity
                self._refuse_overlooked(columns)
            return columns
        lids = [p.name for p in season.places if isinstance(p, Lid)]
        columns = self._complete(foreign_columns.guess(self.table, lids, self.pattern, self._read_day), lid)
        self._refuse_overlooked(columns)
        if all(name.lower() == target for name, target in columns.items()):
            return columns
        guessed = ",".join(f"{name}={target}" for name, target in columns.items())
        if self._talk.confirm is None:
            raise Refused(
                [f'{self.file}: is this what its columns mean? Then say so once: --columns "{guessed}"']
            )
        if not self._talk.confirm(columns):
            raise Refused([f'say what they mean: --columns "{guessed}"'], USAGE)
        return columns

    def _complete(self, columns: dict[str, str], lid: str) -> dict[str, str]:
        header = ", ".join(filter(None, self.table.header))
        missing = {t for t in foreign_columns.NEEDED if t not in columns.values()} - (
            {"place"} if lid else set()
        )
        what = {"pupated": "when they pupated", "place": "the lid on which they formed"}
        faults = [
            f'{self.file}: which column is {what[t]}? Say --columns "NAME={t}"; columns are {header}'
            for t in foreign_columns.NEEDED
            if t in missing
        ]
        if "pupated" in missing and not self.pattern:
            faults.append(f"{self.file}: where dates are not like 2027-07-03, add --dates DD/MM/YYYY")
        if faults:
            raise Refused(faults)
        return columns

    def newcomers(self, lid: str, species: str, note: str) -> list[Newcomer]:
        """A newcomer for each pupa of each row."""
        found = foreign_table.understand(self.table, self.columns, self.pattern, lid, self._read_day)
        if (total := sum(row.count for row in found)) > MOST:
            raise Refused([f"{self.file}: {total} pupae: allowed are {MOST} in one go"])
        if unused := [n for n in self.table.header if n and n not in self.columns]:
            self._talk.tell(f"{self.file}: not used, nor kept: {shorten(', '.join(unused), 400)}")
        self._tell_blanks("count", "counted as 1")
        self._tell_blanks("species", f"taken as {species or self.species}")
        return [
            Newcomer(
                lid=row.place,
                pupated=row.pupated,
                point=row.point,
                species=row.species or species,
                note=row.note or note,
                source=f"{self.file}:{row.line}:0",
            )
            for row in found
            for _ in range(row.count)
        ]

    def _refuse_overlooked(self, columns: dict[str, str]) -> None:
        """Ask back where a column that is not used may be the quantity."""
        if name := overlooked(self.table, columns):
            said = ",".join(f"{name}={target}" for name, target in columns.items())
            how = f'then say --columns "{said},{name}=count"; if not, --columns "{said}"'
            raise Refused([f"{self.file}: is '{name}' how many? If so, {how}"])

    def _tell_blanks(self, target: str, taken: str) -> None:
        """Name the rows in which a column that was understood is blank, and what is put there."""
        for name in (n for n, t in self.columns.items() if t == target):
            i = self.table.header.index(name)
            blank = [str(line) for line, row in self.table.rows if i >= len(row) or not row[i].strip()]
            if blank:
                self._talk.tell(
                    f"{self.file}: '{name}' is blank, {taken}, in line {shorten(', '.join(blank), 200)}"
                )

    def remember(self, ids: Iterable[str]) -> None:
        """Keep what the columns mean, and who came from tables with these columns, for the next of them.

        The pupae are on record by then: where it cannot be kept that is told, and it is asked again.
        """
        try:
            with Store(self.folder).locked():
                known = remembered_in(self.folder)
                meaning: dict[str, object] = {"columns": self.columns, "dates": self.pattern}
                if self.stated:
                    meaning["stated"] = True
                by_file = {name: " ".join(those) for name, those in self._by_file.items()}
                by_file[Path(self.file).name] = " ".join(sorted({*self.before.same_file, *ids}, key=natural))
                text = _json({**known, _key(self.table): {**meaning, "ids": by_file}})
                if len(text) > LARGEST:  # what the columns mean matters more
                    text = _json({**known, _key(self.table): meaning})
                write_output(self.folder / OWN / REMEMBERED, text)
        except StoreError as e:
            self._talk.tell(
                f"recorded, but what the columns mean could not be kept for the next table: {e.fault}"
            )


def _json(known: dict[str, dict[str, object]]) -> bytes:
    return (json.dumps(known, indent=1, ensure_ascii=False) + "\n").encode()


def _key(table: ForeignTable) -> str:
    return "|".join(table.header)


def remembered_in(folder: Path) -> dict[str, dict[str, object]]:
    """What is remembered; nothing where that cannot be read, for then it is asked again."""
    try:
        found = json.loads(read_bytes(folder / OWN, REMEMBERED, LARGEST) or b"{}")
    except (OSError, ValueError, RecursionError, FaultyFiles):
        return {}
    return {k: v for k, v in found.items() if _sound(v)} if isinstance(found, dict) else {}


def _sound(meaning: object) -> bool:
    """Whether it says what each column is and how dates look, as `OwnTable.remember` writes it."""
    if not isinstance(meaning, dict) or not isinstance(columns := meaning.get("columns"), dict):
        return False
    said = [what for what in columns.values() if what in foreign_columns.TARGETS]
    if len(said) != len(columns) or len(set(said)) != len(said) or "pupated" not in said:
        return False
    try:
        return not meaning.get("dates") or bool(foreign_table.check_pattern(str(meaning["dates"])))
    except ValueError:
        return False
