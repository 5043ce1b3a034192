"""Random evenings: pupae form on a lid, some leave or end, and the keeper draws the lid again."""

from __future__ import annotations

import random
import shutil
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, time
from pathlib import Path

from cli_world import call

from planner.record.redrawn import sort_drawn
from planner.record.refusal import Refused
from planner.record.sketched import from_sketch
from planner.season import Lid, Line, Pupa, Season, When
from planner.season.pupae import Formed
from planner.season.reading.scalars import parse_when

GRIDS = ((8, 5), (10, 7), (5, 4), (3, 3), (12, 8))
LETTERS = "abcdefghiklmnopqrstuvwyz"
Formation = tuple[int, int, int]  # day, column, row


def day_of(day: int) -> date:
    return date(2027, 7, day + 1)


class ByCommand:
    """The season as the commands record it."""

    def __init__(self, folder: Path):
        self.folder = folder
        (folder / "pupae.csv").write_text("id,pupated,place\n")
        shutil.rmtree(folder / ".hangplan", ignore_errors=True)  # the ids begin at m1 again

    def rows(self) -> list[list[str]]:
        return [line.split(",") for line in (self.folder / "pupae.csv").read_text().splitlines()[1:]]

    def add(self, text: str, day: int) -> list[tuple[str, str]] | None:
        """Ids and days of those recorded; None where it was asked back."""
        (self.folder / "lid.txt").write_text(text)
        before = self.rows()
        sketch = ("--sketch", str(self.folder / "lid.txt"))
        said = call("add", str(self.folder), *sketch, "--on", f"{day_of(day)}T23:00")
        if said.code == 1 and self.rows() == before:
            return None
        assert said.code == 0, said
        return [(row[0], row[1]) for row in self.rows()[len(before) :]]

    def leave(self, name: str, day: int, outcome: str) -> None:
        to = ("--to", "north", str(4 * int(name[1:])), "--anyway")
        what = ("mark", name, outcome, str(self.folder)) if outcome else ("done", name, str(self.folder), *to)
        said = call(*what, "--on", f"{day_of(day)}T08:00")
        assert said.code == 0, said


class InMemory:
    """The same without files, for many tries."""

    def __init__(self, folder: Path):
        line = Line(name="north", length=4000, height=150, clips_every=4)
        lid = Lid(name="tub-2", width=40, length=28)
        self.season = Season(folder=folder, name="test", places=(line, lid))

    def add(self, text: str, day: int) -> list[tuple[str, str]] | None:
        file = self.season.folder / "lid.txt"
        file.write_text(text)
        found = from_sketch(
            self.season, file.read_bytes(), str(file), "", When(day_of(day), None), "", "", parse_when
        )
        try:
            new = sort_drawn(self.season, found).new
        except Refused:
            return None
        first = len(self.season.pupae) + 1
        more = []
        for i, one in enumerate(new, first):
            x, y = one.point or (None, None)
            more.append(Pupa(id=f"m{i}", species="monarch", pupated=one.pupated, place="tub-2", x=x, y=y))
        self.season = replace(self.season, pupae=(*self.season.pupae, *more))
        return [(p.id, str(p.pupated)) for p in more]

    def leave(self, name: str, day: int, outcome: str) -> None:
        pupa, when = self.season.pupa[name], When(day_of(day), time(8))
        if outcome:
            gone = replace(pupa, outcome=outcome, ended=when)
        else:
            formed = pupa.formed or Formed("tub-2", pupa.x, pupa.y)
            gone = replace(pupa, place="north", spot="4", x=None, y=None, hung=when, formed=formed)
        self.season = replace(
            self.season, pupae=tuple(gone if p.id == name else p for p in self.season.pupae)
        )


@dataclass
class Told:
    """What became of the drawings; ``faults``: those by which somebody was invented or lost."""

    faults: list[tuple[int, int, str, str]]
    drawn: int = 0
    asked: int = 0
    added: int = 0


def evenings(folder: Path, seeds: Iterable[int], kind: type[ByCommand | InMemory]) -> Told:
    """Try lives of five evenings."""
    told = Told([])
    for seed in seeds:
        _Life(kind(folder), seed).live(told)
    return told


class _Life:
    def __init__(self, season: ByCommand | InMemory, seed: int):
        self.season, self.seed, self.rng = season, seed, random.Random(seed)
        self.grid = self.rng.choice(GRIDS)  # in which they are thought to hang
        self.plain = self.rng.random() < 0.3  # whether those of today are drawn as x
        self.true: dict[str, Formation] = {}
        self.gone = set[str]()

    def live(self, told: Told) -> None:
        rng, day = self.rng, 1
        for _ in range(5):
            keeps = rng.random() < 0.6  # the letters of those who left
            old = [at for name, at in self.true.items() if keeps or name not in self.gone]
            taken = {at[1:] for at in old}
            free = [(c, r) for c in range(self.grid[0]) for r in range(self.grid[1]) if (c, r) not in taken]
            places = rng.sample(free, min(len(free), rng.randint(0, 3)))
            new = [(rng.choice((day, day, day, day - 1)), c, r) for c, r in places]
            text = self.draw([*old, *new], self.grid if rng.random() < 0.75 else rng.choice(GRIDS), day)
            if not text:
                continue
            told.drawn += 1
            recorded = self.season.add(text, day)
            if recorded is None:
                told.asked += 1
                if not self.true:
                    told.faults.append((self.seed, day, "asked about an empty lid", text))
                    return
            else:
                wanted = Counter(str(day_of(d)) for d, *_ in new)
                if Counter(when for _, when in recorded) != wanted:
                    told.faults.append((self.seed, day, f"{recorded} for {wanted}", text))
                    return
                told.added += len(new)
                # Ids go by the order of the drawing, row by row.
                by_row = sorted(new, key=lambda at: (at[2], at[1]))
                self.true |= {name: at for (name, _), at in zip(recorded, by_row, strict=True)}
            day += rng.randint(1, 3)
            self.some_leave(day)

    def draw(self, those: list[Formation], grid: tuple[int, int], today: int) -> str:
        """The lid in letters; empty where there is nobody, or no room for all in a coarser grid."""
        columns, rows = grid
        cells = [["." for _ in range(columns)] for _ in range(rows)]
        for day, column, row in those:
            c = int((column + 0.5) / self.grid[0] * columns)
            r = int((row + 0.5) / self.grid[1] * rows)
            if cells[r][c] != ".":  # two in one piece of a coarser grid: one is drawn beside it
                near = [(r + a, c + b) for a in (-1, 0, 1) for b in (-1, 0, 1)]
                on_it = [(i, j) for i, j in near if 0 <= i < rows and 0 <= j < columns]
                free = [(i, j) for i, j in on_it if cells[i][j] == "."]
                if not free:
                    return ""
                r, c = self.rng.choice(free)
            cells[r][c] = "x" if self.plain and day == today else LETTERS[day]
        days = sorted({day for day, *_ in those if not (self.plain and day == today)})
        dates = "".join(f"{LETTERS[day]} = {day_of(day)}\n" for day in days)
        drawn = "\n".join("".join(row) for row in cells)
        return f"lid: tub-2\n{dates}{drawn}\n" if those else ""

    def some_leave(self, day: int) -> None:
        for name, (formed, *_) in self.true.items():
            if name not in self.gone and formed + 2 <= day and self.rng.random() < 0.5:
                outcome = "" if self.rng.random() < 0.6 else self.rng.choice(("failed", "removed"))
                self.season.leave(name, day, outcome)
                self.gone.add(name)
