"""Evenings of a season, lived at random: what happens after a plan was made never voids it.

The dates are reckoned here on their own: at 23 °C a pupa takes 130 / (23 - 10) = 10 days from noon of its
day. It is firm a day after the end of that day, and may be darkening a day before it is due.
"""

from __future__ import annotations

import csv
import io
import random
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import test_season_life
from cli_world import Said
from test_season_life import call

from planner.season.plan import plan_file

quick = test_season_life.quick  # no pictures, no reasons, one worker
DAY = timedelta(days=1)
SETTINGS = """\
season: Porch
timezone: Europe/Lisbon
temperature: {constant: 23}
profiles: {monarch: {lower: 10, requirement: 130}}
places:
  - {line: north, length: 40, height: 150, clips_every: 4}
  - {line: south, length: 30, height: 120, clips_every: 5}
  - {lid: tub-2, width: 40, length: 28}
  - {lid: tub-3, width: 40, length: 28, clear: yes}
"""
MARKS = ("darkening", "emerged", "failed", "parasitised", "escaped", "released")
RULES = {"touch", "closed", "clash", "shared", "time", "order", "after", "park", "late", "clearance"}


@dataclass
class Life:
    """A season and its keeper."""

    folder: Path
    chance: random.Random
    now: datetime = datetime(2027, 7, 5, 20)

    def rows(self) -> dict[str, dict[str, str]]:
        text = (self.folder / "pupae.csv").read_text(encoding="utf-8")
        return {row["id"]: row for row in csv.DictReader(io.StringIO(text))}

    def present(self) -> dict[str, dict[str, str]]:
        return {name: row for name, row in self.rows().items() if not row.get("outcome")}

    def call(self, *words: str) -> Said:
        """A command at this hour; a traceback is a failure of the test."""
        said = call(*words, "--on", f"{self.now:%Y-%m-%dT%H:%M}")
        assert "Traceback" not in said.err + said.out, said
        return said

    def data(self, *words: str) -> Any:
        said = self.call(*words, str(self.folder), "--json")
        assert said.code in (0, 1), said
        return said.data

    def forbidden(self, name: str) -> bool:
        """Whether it is soft, a prepupa, may be darkening, was seen so, or is gone."""
        row = self.rows().get(name)
        if row is None or row.get("outcome") or not row["pupated"]:
            return True
        day = datetime.fromisoformat(row["pupated"][:10])
        dark = day + 9.5 * DAY
        if row.get("darkening"):
            dark = min(dark, datetime.fromisoformat(row["darkening"]))
        return not day + 2 * DAY <= self.now < dark

    # What the keeper does

    def evening(self) -> None:
        acts = [self.add, self.plan, self.do_some, self.hang, self.mark, self.date, self.correct, self.undo]
        for act in self.chance.choices(acts, weights=[3, 2, 4, 1, 3, 2, 1, 1], k=self.chance.randint(1, 4)):
            act()
            self.look()
        self.now += DAY

    def add(self) -> None:
        if len(self.present()) > 12:
            return
        lid = self.chance.choice(["tub-2", "tub-3"])
        where = self.chance.choice(
            [str(self.chance.randint(1, 3)), f"{self.chance.randint(1, 39)},{self.chance.randint(1, 27)}"]
        )
        if self.chance.random() < 0.3:
            self.call("add", str(self.folder), where, lid, "--prepupa")
        else:
            ago = self.chance.choice([0, 0, 1, 1, 3, 5])
            self.call("add", str(self.folder), where, lid, f"{self.now - ago * DAY:%Y-%m-%d}")

    def plan(self) -> None:
        if self.present():
            said = self.call("plan", str(self.folder), "--seconds", "0.5")
            assert said.code in (0, 3, 4), said

    def some(self) -> list[str]:
        there = list(self.present())
        return self.chance.sample(there, min(len(there), self.chance.randint(1, 3)))

    def do_some(self) -> None:
        if (self.folder / "plan.yaml").exists():
            state = self.data("check")["plan"]
            before = self.rows()
            left = {m.pupa for m in plan_file.read(self.folder).moves if m.step in state["to_do"]}
            named = self.chance.choice([[], [n for n in self.some() if n in left]])
            self.call("done", *named, str(self.folder))
            after = self.rows()
            spot = lambda row: (row["place"], row.get("spot") or "")  # noqa: E731
            moved = [n for n in after if spot(before[n]) != spot(after[n])]
            forbidden = [n for n in moved if self.forbidden(n)]
            assert not forbidden, (forbidden, before)

    def hang(self) -> None:
        line, step, n = self.chance.choice([("north", 4, 9), ("south", 5, 5)])
        for name in self.some()[:1]:
            spot = str(step * self.chance.randint(1, n))
            self.call("done", name, str(self.folder), "--to", line, spot)

    def mark(self) -> None:
        for name in self.some()[:1]:
            self.call("mark", name, self.chance.choice(MARKS), str(self.folder))
        sick = [n for n, row in self.rows().items() if row.get("outcome") == "parasitised"]
        if sick and self.chance.random() < 0.3:
            self.call("mark", self.chance.choice(sick), "cleaned", str(self.folder))

    def date(self) -> None:
        """A J that has pupated: as of today or yesterday, as it is told to be dated."""
        for name, row in self.present().items():
            if not row["pupated"] and self.chance.random() < 0.6:
                day = (self.now - self.chance.choice([0, 1]) * DAY).date()
                self.change(name, day)

    def correct(self) -> None:
        dated = [n for n, row in self.present().items() if row["pupated"]]
        if dated:
            name = self.chance.choice(dated)
            day = date.fromisoformat(self.rows()[name]["pupated"][:10])
            new = day + timedelta(days=self.chance.choice([-3, -1, 1, 2]))
            if new <= self.now.date():
                self.change(name, new)

    def change(self, name: str, day: date) -> None:
        path = self.folder / "pupae.csv"
        rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8"))))
        at = rows[0].index("pupated")
        for row in rows[1:]:
            if row[0] == name:
                row[at] = day.isoformat()
        text = io.StringIO()
        csv.writer(text, lineterminator="\n").writerows(rows)
        path.write_text(text.getvalue(), encoding="utf-8")

    def undo(self) -> None:
        call("undo", str(self.folder))

    # What has to hold

    def look(self) -> None:
        """What every command says now, held against the record."""
        said = self.call("check", str(self.folder), "--json")
        assert said.code in (0, 1), said
        checked = said.data
        assert not checked["problems"], checked
        today = self.data("today")
        free = {p["id"] for p in today["movable"]}
        named = [p["id"] for p in today["untouched"]]
        assert not free & set(named), today
        assert not [n for n in free if self.forbidden(n)], today
        plan = plan_file.read(self.folder)
        if plan is None or not self.present():
            return
        planned = {m.pupa for m in plan.moves}
        for one in checked["breaches"]:
            assert one["where"] in RULES, checked
            if one["where"] == "clash" and "hang" in one["what"]:
                continue  # a pair that clashes by what was recorded
            assert any(name in one["what"] for name in planned), checked
        tags = self.call("tags", "--moved", str(self.folder), "--json")
        if tags.code == 0:
            sent = set(tags.data["tags"])
        else:
            assert "the plan moves nobody" in tags.err + tags.out, (tags, checked)
            sent = set()
        dark = [n for n in sent if self.forbidden(n) and not self.soft(n)]
        assert not dark, (dark, tags, checked)
        assert sent.isdisjoint(n for n, row in self.rows().items() if row.get("outcome")), tags

    def soft(self, name: str) -> bool:
        """Whether its step is for a later day, which its tag may be printed for."""
        row = self.rows()[name]
        return bool(row["pupated"]) and datetime.fromisoformat(row["pupated"][:10]) + 2 * DAY > self.now


def live(folder: Path, seed: int, evenings: int = 15) -> None:
    """One season; raises AssertionError where something said is not so."""
    folder.mkdir(parents=True)
    (folder / "season.yaml").write_text(SETTINGS)
    (folder / "pupae.csv").write_text(
        "id,pupated,place,x,y\nm1,2027-07-01,tub-2,5,5\nm2,2027-07-01,tub-2,8,5\nm3,2027-07-03,tub-3,5,5\n"
        "m4,2027-07-02,tub-3,9,9\nm5,2027-07-05,tub-2,20,20\n"
    )
    life = Life(folder, random.Random(seed))
    life.plan()
    for _ in range(evenings):
        life.evening()


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize("seed", range(1))
def test_what_happens_in_fifteen_evenings_makes_no_command_say_what_is_not_so(
    tmp_path: Path, seed: int
) -> None:
    live(tmp_path / "porch", seed)
