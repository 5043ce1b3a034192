"""A section of a report, told alike in a terminal, on the page and on paper."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True)
class Section:
    """A heading, what to know, and rows under column names; ``boxes``: what is ticked off beside each row.

    ``wide``: the columns that may be wrapped. ``names``: the column that names the pupae. ``warn``: rows that
    deserve a look. ``more``: how many rows are left out.
    """

    title: str
    note: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    boxes: tuple[str, ...] = ()
    wide: tuple[int, ...] = (1,)
    names: int = 0
    warn: tuple[int, ...] = ()
    more: int = 0

    def cut(self, most: int | None) -> Section:
        """The first ``most`` rows (None: all), the others counted."""
        rows = self.rows[:most]
        warn = tuple(k for k in self.warn if k < len(rows))
        return replace(self, rows=rows, warn=warn, more=self.more + len(self.rows) - len(rows))
