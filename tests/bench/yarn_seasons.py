"""Seasons on two yarns: pupae that formed clustered on lids over nine days, clips that slide.

``write_season(folder, seed)`` writes one; the same seed writes the same. For the benches, and for tests that
need a season such as a keeper has.
"""

from __future__ import annotations

import random
from datetime import date, timedelta
from pathlib import Path

FIRST = date(2027, 7, 1)  # the first day on which one pupated
DAYS = 9
EVENING = "2027-07-09T21:00"  # the moment of the plan: the last ones pupated that day, and are soft
LIDS = ("tub-A", "tub-B", "tub-C")  # the last one is to be cleared
APART = 0.9  # inches, the least between two pupae on a lid

SEASON = """\
season: Two yarns, seed {seed}
units: in
timezone: America/Chicago
gap_days: 2
wing_reach: 4
drop: 8
clearance: 4.5
keeper_reach: {{lowest: 20, highest: 76}}
temperature: {{constant: 74 F}}
places:
  - {{line: upper yarn, length: 72, height: 66, clip_width: 0.75, left: 0, front: 4}}
  - {{line: lower yarn, length: 72, height: 54, clip_width: 0.75, left: 0, front: 4}}
  - {{board: cork, width: 24, height: 18, pins_every: 3, bottom: 40, left: 80, front: 1}}
  - {{lid: tub-A, width: 23, length: 16, height: 30, left: 0, front: 30}}
  - {{lid: tub-B, width: 23, length: 16, height: 30, left: 25, front: 30}}
  - {{lid: tub-C, width: 23, length: 16, height: 30, left: 50, front: 30, clear: true}}
"""


def write_season(folder: Path, seed: int) -> None:
    """Write ``season.yaml`` and ``pupae.csv`` of 35 to 45 pupae, several a day, in clusters on their lids."""
    rng = random.Random(seed)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "season.yaml").write_text(SEASON.format(seed=seed), encoding="utf-8")
    count = rng.randint(35, 45)
    days = sorted([*range(DAYS), *(rng.randrange(DAYS) for _ in range(count - DAYS))])
    middles = {lid: [(rng.uniform(3, 20), rng.uniform(3, 13)) for _ in range(3)] for lid in LIDS}
    on_lid: dict[str, list[tuple[float, float]]] = {lid: [] for lid in LIDS}
    rows = ["id,species,pupated,place,spot,x,y"]
    for n, day in enumerate(days, 1):
        lid = rng.choices(LIDS, (4, 4, 2))[0]
        x, y = _beside(rng, middles[lid], on_lid[lid])
        on_lid[lid].append((x, y))
        rows.append(f"m{n},monarch,{FIRST + timedelta(days=day)},{lid},,{x},{y}")
    (folder / "pupae.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")


def _beside(
    rng: random.Random, middles: list[tuple[float, float]], others: list[tuple[float, float]]
) -> tuple[float, float]:
    """A point of a cluster of its lid, apart from those that are there."""
    while True:
        cx, cy = rng.choice(middles)
        x, y = round(rng.gauss(cx, 2.5) * 4) / 4, round(rng.gauss(cy, 2.0) * 4) / 4
        inside = 0.5 <= x <= 22.5 and 0.5 <= y <= 15.5
        if inside and all((x - a) ** 2 + (y - b) ** 2 >= APART**2 for a, b in others):
            return x, y
