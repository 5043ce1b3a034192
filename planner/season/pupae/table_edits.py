"""Changes to ``pupae.csv``: rows added and taken out, cells set; everything else stays byte for byte.

Numbers are given with a decimal point and written as the table writes them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace

from planner.season.pupae import COLUMNS
from planner.season.pupae.table import FILE, KNOWN, NUMBERS, Cell, Row, Table, read_table
from planner.season.reading.scalars import parse_number


def append(data: bytes, rows: Sequence[Mapping[str, str]]) -> bytes:
    """Add rows given as column → text, and to the header the known columns that they need and it lacks.

    Empty ``data`` makes a new table with all known columns.
    """
    if not rows:
        return data
    if data:
        table = _widen(read_table(data), {c for row in rows for c, text in row.items() if text})
    else:
        header = _new_row(COLUMNS, ",", "\n")
        table = Table(False, ",", header, (), {c: i for i, c in enumerate(COLUMNS)})
    end, commas = table.header.end or "\n", table.writes_commas
    new = []
    for row in rows:
        values = [""] * len(table.header.cells)
        for column, text in row.items():
            if text:
                values[table.at[column]] = _number(column, text) if commas else text
        new.append(_new_row(values, table.delimiter, end))
    old = list(table.rows)
    behind = len(old)  # new rows go before the empty ones that spreadsheets leave behind
    while behind and old[behind - 1].blank:
        behind -= 1
    if behind and not old[behind - 1].end:
        old[behind - 1] = replace(old[behind - 1], end=end)
    header = replace(table.header, end=end)
    return replace(table, header=header, rows=(*old[:behind], *new, *old[behind:])).to_bytes()


def change(data: bytes, changes: Mapping[str, Mapping[str, str]]) -> bytes:
    """Set cells: id → column → text; no column is added for empty ones. Unknown ids raise KeyError."""
    table = _widen(read_table(data), {c for row in changes.values() for c, text in row.items() if text})
    found, commas = set(), table.writes_commas
    rows = []
    for row in table.rows:
        name = "" if row.blank else table.text(row, "id")
        values = changes.get(name)
        if values is not None:
            found.add(name)
            cells = list(row.cells) + [Cell("", "", 0, 0)] * (len(table.header.cells) - len(row.cells))
            for column, text in values.items():
                if text or column in table.at:
                    cells[table.at[column]] = _new_cell(
                        _number(column, text) if commas else text, table.delimiter
                    )
            row = replace(row, cells=tuple(cells))
        rows.append(row)
    if missing := changes.keys() - found:
        raise KeyError(f"no such pupa in {FILE}: {', '.join(sorted(missing))}")
    return replace(table, rows=tuple(rows)).to_bytes()


def remove(data: bytes, ids: Collection[str]) -> bytes:
    """Take out the rows of these ids."""
    table = read_table(data)
    rows = tuple(row for row in table.rows if row.blank or table.text(row, "id") not in ids)
    return replace(table, rows=rows).to_bytes()


def _widen(table: Table, columns: Iterable[str]) -> Table:
    """Add known columns that the header lacks, and pad the rows to its width."""
    wanted = set(columns)
    missing = [c for c in KNOWN if c in wanted and c not in table.at]
    if unknown := wanted - set(KNOWN):
        raise KeyError(f"no such column: {', '.join(sorted(unknown))}")
    if not missing:
        return table
    old = len(table.header.cells)
    more = tuple(_new_cell(c, table.delimiter) for c in missing)
    header = replace(table.header, cells=table.header.cells + more)
    rows = tuple(_pad(r, old, len(missing)) for r in table.rows)
    at = {**table.at, **{c: old + i for i, c in enumerate(missing)}}
    return replace(table, header=header, rows=rows, at=at)


def _pad(row: Row, old: int, more: int) -> Row:
    """Bring a row of a table ``old`` columns wide to ``more`` columns; a blank line stays as it is."""
    if len(row.cells) == 1 and row.blank:
        return row
    # Beyond the header's width there are only blank cells, or the table would have been refused.
    kept = row.cells[:old]
    return replace(row, cells=kept + tuple(Cell("", "", 0, 0) for _ in range(old + more - len(kept))))


def _new_row(values: Sequence[str], delimiter: str, end: str) -> Row:
    return Row(tuple(_new_cell(v, delimiter) for v in values), end, 0)


def _number(column: str, text: str) -> str:
    """A cell's text with a decimal comma, where it is a number."""
    return text.replace(".", ",") if column in NUMBERS and parse_number(text) is not None else text


def _new_cell(text: str, delimiter: str) -> Cell:
    risky = any(c in text for c in (delimiter, '"', "\r", "\n")) or text != text.strip()
    raw = '"' + text.replace('"', '""') + '"' if risky else text
    return Cell(raw, text, 0, 0)
