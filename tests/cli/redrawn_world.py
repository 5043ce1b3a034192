"""Random evenings: pupae form on a lid, some leave or end, and the keeper draws the lid again."""

from __future__ import annotations

import random
import shutil
from collections import Counter
from pathlib import Path
from typing import Any

from cli_world import call

GRIDS = ((8, 5), (10, 7), (5, 4), (3, 3), (12, 8))
ROWS = "abcdefghiklmnopqrstuvw"


class Lid:
    """What is true: pupae with their day and piece, and who of them is gone."""

    def __init__(self, folder: Path, rng: random.Random):
        self.folder, self.rng = folder, rng
        self.grid = rng.choice(GRIDS)
        self.true: dict[str, tuple[int, int, int]] = {}  # id → day, column, row, in the first grid
        self.gone = set[str]()
        self.plain = rng.random() < 0.3

    def letter(self, day: int, today: int) -> str:
        return "x" if self.plain and day == today else ROWS[day]

    def draw(self, those: list[tuple[int, int, int]], grid: tuple[int, int], today: int) -> str:
        columns, rows = grid
        cells = [["." for _ in range(columns)] for _ in range(rows)]
        used = set[int]()
        for day, column, row in those:
            c = int((column + 0.5) / self.grid[0] * columns)
            r = int((row + 0.5) / self.grid[1] * rows)
            if cells[r][c] != ".":  # two in one piece of a coarser grid: drawn beside it, or left out
                near = [(r + a, c + b) for a in (-1, 0, 1) for b in (-1, 0, 1)]
                on_it = [(i, j) for i, j in near if 0 <= i < rows and 0 <= j < columns]
                free = [(i, j) for i, j in on_it if cells[i][j] == "."]
                if not free:
                    return ""
                r, c = self.rng.choice(free)
            cells[r][c] = self.letter(day, today)
            used.add(day)
        dates = "".join(
            f"{ROWS[d]} = 2027-07-{d + 1:02}\n" for d in sorted(used) if self.letter(d, today) != "x"
        )
        return f"lid: tub-2\n{dates}" + "\n".join("".join(row) for row in cells) + "\n"


def evenings(folder: Path, seeds: range) -> dict[str, Any]:
    """Try lives of some evenings; ``faults`` are those in which somebody was invented or lost."""
    told: dict[str, Any] = {"faults": [], "added": 0, "asked": 0, "drawn": 0}
    for seed in seeds:
        (folder / "pupae.csv").write_text("id,pupated,place\n")
        shutil.rmtree(folder / ".hangplan", ignore_errors=True)  # the ids begin at m1 again
        _life(folder, seed, told)
    return told


def _recorded(folder: Path) -> list[str]:
    return [line.split(",")[0] for line in (folder / "pupae.csv").read_text().splitlines()[1:]]


def _life(folder: Path, seed: int, told: dict[str, Any]) -> None:
    rng = random.Random(seed)
    lid = Lid(folder, rng)
    day = 1
    for _ in range(5):
        grid = lid.grid if rng.random() < 0.75 else rng.choice(GRIDS)
        keeps = rng.random() < 0.6  # the letters of those hung away
        taken = {at[1:] for name, at in lid.true.items() if keeps or name not in lid.gone}
        free = [(c, r) for c in range(lid.grid[0]) for r in range(lid.grid[1]) if (c, r) not in taken]
        new = [(rng.choice((day, day, day, max(0, day - 1))), c, r)
               for c, r in rng.sample(free, min(len(free), rng.randint(0, 3)))]  # fmt: skip
        old = [at for name, at in lid.true.items() if keeps or name not in lid.gone]
        text = lid.draw([*old, *new], grid, day)
        if not text or not (old or new):
            continue
        (folder / "lid.txt").write_text(text)
        before = _recorded(folder)
        on = f"2027-07-{day + 1:02}T23:00"
        said = call("add", str(folder), "--sketch", str(folder / "lid.txt"), "--on", on)
        after = _recorded(folder)
        told["drawn"] += 1
        if said.code == 1:
            told["asked"] += 1
            if after != before:
                told["faults"].append((seed, day, "asked and recorded", said))
                return
            if not lid.true:
                told["faults"].append((seed, day, "asked about an empty lid", said))
                return
            day += rng.randint(1, 2)
            continue
        names = after[len(before) :]
        days = Counter(f"2027-07-{d + 1:02}" for d, *_ in new)
        rows = (folder / "pupae.csv").read_text().splitlines()[1:]
        got = Counter(row.split(",")[1] for row in rows[len(before) :])
        if said.code != 0 or len(names) != len(new) or got != days:
            told["faults"].append((seed, day, f"{got} for {days}", said, text))
            return
        told["added"] += len(new)
        # Ids go by the order of the drawing, row by row.
        lid.true |= dict(zip(names, sorted(new, key=lambda at: (at[2], at[1])), strict=True))
        day += rng.randint(1, 3)
        _leave(folder, lid, rng, day)


def _leave(folder: Path, lid: Lid, rng: random.Random, day: int) -> None:
    for name, (formed, *_) in lid.true.items():
        if name in lid.gone or formed + 2 > day or rng.random() < 0.5:
            continue
        on = f"2027-07-{day + 1:02}T08:00"
        if rng.random() < 0.6:
            said = call(
                "done", name, str(folder), "--to", "north", str(4 * int(name[1:])), "--anyway", "--on", on
            )
        else:
            said = call("mark", name, rng.choice(("failed", "removed")), str(folder), "--on", on)
        assert said.code == 0, said
        lid.gone.add(name)
