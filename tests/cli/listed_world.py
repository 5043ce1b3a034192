"""Random lives: a keeper's list grows and is mended, its pupae are hung or end, and it is imported again."""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date, time
from pathlib import Path

from planner.record.newcomers import Newcomer
from planner.record.refusal import Refused
from planner.record.relisted import Listed, sort_listed
from planner.season import Lid, Line, Pupa, Season, When
from planner.season.pupae import Formed

LIDS = ("tub-1", "tub-2")
KINDS = ("monarch", "painted-lady")


@dataclass(frozen=True)
class Animal:
    """As the keeper's list has it; ``number`` is who it is."""

    number: int
    lid: str
    species: str
    day: int
    point: tuple[float, float] | None


@dataclass
class Told:
    """What became of the imports; ``faults``: those that recorded another number than the really new."""

    faults: list[str] = field(default_factory=list)
    read: int = 0
    asked: int = 0
    recorded: int = 0
    plain: int = 0  # of those that only grew by days of their own: how many
    plain_asked: int = 0


class Life:
    """One list and one season. ``of``: id on record → who it is."""

    def __init__(self, seed: int, told: Told):
        self.rng, self.seed, self.told = random.Random(seed), seed, told
        places = (Line(name="north", length=4000, height=150, clips_every=4),)
        lids = tuple(Lid(name=name, width=40, length=28) for name in LIDS)
        self.season = Season(folder=Path(), name="test", places=(*places, *lids))
        self.of: dict[str, int] = {}
        self.rows: list[Animal] = []
        self.closed = set[tuple[str, str, int]]()  # groups of which rows were left out
        self.numbers = iter(range(1, 10**6))
        self.noted: frozenset[str] | None = None  # ids that came from the list
        self.measures = self.rng.random() < 0.3
        self.forgets = self.rng.random() < 0.2  # .hangplan is lost between imports
        self.old = self.rng.random() < 0.15  # an older hangplan kept no lid of origin

    def live(self) -> None:
        day, mended = 1, False
        for turn in range(4):
            pure = not mended and not self.old and turn > 0
            self.grow(day, own_day=(own := self.rng.random() < 0.6))
            fresh = {a.number for a in self.rows} - set(self.of.values())
            asked = self.read(day)
            if pure and own and fresh:
                self.told.plain += 1
                self.told.plain_asked += asked
            if asked is None:
                return
            if asked:
                self.told.asked += 1
                # As told to: the keeper says who is who, so the record is right again, and goes on.
                self.record([a for a in self.rows if a.number in fresh], day)
            day += self.rng.randint(1, 3)
            self.some_leave(day)
            mended = self.mend(day) or mended

    def grow(self, day: int, *, own_day: bool) -> None:
        for _ in range(self.rng.randint(0 if self.rows else 1, 3)):
            lid, species = self.rng.choice(LIDS), self.rng.choice((KINDS[0], *KINDS))
            on = day if own_day else max(1, day - self.rng.randint(0, 3))
            if (lid, species, on) in self.closed:  # as many new as were left out cannot be told from those
                continue
            for _ in range(self.rng.randint(1, 4)):
                self.rows.append(Animal(next(self.numbers), lid, species, on, self.free_point(lid)))

    def free_point(self, lid: str) -> tuple[float, float] | None:
        if not self.measures or self.rng.random() < 0.2:
            return None
        taken = {a.point for a in self.rows if a.lid == lid}
        free = [(x, y) for x in range(2, 39, 3) for y in range(2, 27, 3) if (x, y) not in taken]
        return self.rng.choice(free)

    def mend(self, day: int) -> bool:
        """Sort the rows anew; one row may be mended, or those of the dead left out.

        No date is mended to one after it was hung or ended. A list of one day whose memory is lost is not
        mended: nothing tells it from a new one.
        """
        self.rng.shuffle(self.rows)
        what = self.rng.random()
        i = self.rng.randrange(len(self.rows))
        if self.forgets and len({(a.lid, a.species, a.day) for a in self.rows}) < 3:
            return False
        if what < 0.3:
            later = max(1, self.rows[i].day + self.rng.choice((-1, 1)))
            gone = [w.day for p in self.season.pupae if self.of[p.id] == self.rows[i].number
                    for w in (p.hung, p.ended) if w]  # fmt: skip
            self.rows[i] = replace(self.rows[i], day=min([later, *(d.day for d in gone)]))
            return True
        if what < 0.4:
            self.rows[i] = replace(self.rows[i], lid=self.rng.choice(LIDS))
            return True
        if what < 0.55:
            ended = {self.of[p.id] for p in self.season.pupae if p.outcome}
            kept = [a for a in self.rows if a.number not in ended] or self.rows
            self.closed |= {(a.lid, a.species, a.day) for a in self.rows if a not in kept}
            self.rows = kept
        return False

    def read(self, day: int) -> bool | None:
        """Whether it was asked back; None after a fault."""
        found = [
            Newcomer(
                lid=a.lid, pupated=When(day_of(a.day)), point=a.point, species=a.species, source=f"l:{i}"
            )
            for i, a in enumerate(self.rows)
        ]
        self.told.read += 1
        before = Listed(self.noted, self.noted or frozenset())
        try:
            result = sort_listed(self.season, found, Listed() if self.forgets else before)
        except Refused:
            return True
        fresh = [a for a in self.rows if a.number not in set(self.of.values())]
        wanted = sorted((a.lid, a.species, day_of(a.day)) for a in fresh)
        got = sorted((n.lid, n.species, n.pupated.day) for n in result.new if n.pupated)
        if len(got) != len(wanted):
            self.told.faults.append(f"seed {self.seed}, day {day}: recorded {got}, really new are {wanted}")
            return None
        self.told.recorded += len(got)
        self.record(fresh, day)
        return False

    def record(self, fresh: list[Animal], day: int) -> None:
        new = []
        for a in fresh:
            name = f"m{len(self.of) + 1}"
            self.of[name] = a.number
            x, y = a.point or (None, None)
            pupated = When(day_of(a.day))
            new.append(Pupa(id=name, species=a.species, pupated=pupated, place=a.lid, x=x, y=y))
        # Where rows were mended the keeper mends the record too.
        by_number = {a.number: a for a in self.rows}
        old = []
        for p in self.season.pupae:
            if a := by_number.get(self.of[p.id]):
                p = replace(p, pupated=When(day_of(a.day)))
                if p.formed:
                    p = replace(p, formed=Formed(a.lid, *(a.point or (None, None))))
                elif p.place in LIDS:
                    x, y = a.point or (None, None)
                    p = replace(p, place=a.lid, x=x, y=y)
            old.append(p)
        self.season = replace(self.season, pupae=(*old, *new))
        self.noted = frozenset(self.of)

    def some_leave(self, day: int) -> None:
        left = []
        for p in self.season.pupae:
            if p.present and p.place in LIDS and self.rng.random() < 0.5:
                when = When(day_of(day), time(8))
                if self.rng.random() < 0.4:
                    p = replace(p, outcome="failed", ended=when)
                else:
                    formed = None if self.old else Formed(p.place, p.x, p.y)
                    p = replace(p, place="north", spot="4", x=None, y=None, hung=when, formed=formed)
            left.append(p)
        self.season = replace(self.season, pupae=tuple(left))


def day_of(day: int) -> date:
    return date(2027, 7, day)


def lives(seeds: Iterable[int]) -> Told:
    """Try lives of four imports."""
    told = Told()
    for seed in seeds:
        Life(seed, told).live()
    return told
