"""Any sequence of commands, as a season brings them: no pupa is lost, none forbidden is touched.

The season's dates are reckoned here on their own: at 23 °C a pupa takes 130 / (23 - 10) = 10 days from the
middle of its day, or from its minute. It is firm a day after the end of that day, or after the minute, and
may be darkening a day before it is due.
"""

from __future__ import annotations

import csv
import io
import shutil
import tempfile
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path

import pytest
from cli_world import Said
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule
from tries import tries
from typer.main import get_command

from planner.cli import plan as planning
from planner.cli.app import app
from planner.emergence import known_species
from planner.planning import make_plan as season_plan
from planner.season import Plan
from planner.season.load import load
from planner.season.plan import plan_file
from planner.season.plan.reason_record import Explained
from planner.verify import verify

SETTINGS = """\
season: Porch
timezone: Europe/Lisbon
temperature: {constant: 23}
profiles: {monarch: {lower: 10, requirement: 130}}
places:
  - {line: north, length: 40, height: 150, clips_every: 4}
  - {board: cork, width: 16, height: 16, pins_every: 8, bottom: 90}
  - {lid: tub-2, width: 40, length: 28}
  - {lid: tub-3, width: 40, length: 28, clear: yes}
expected:
  - {pupating: 2027-07-07, count: 1}
"""
PUPAE = """\
id,pupated,place,spot,x,y,stay
m1,2027-07-01,tub-2,,5,5,
m2,2027-07-01,tub-2,,8,5,
m3,2027-07-02,tub-3,,5,5,
m4,2027-07-03T10:00,north,12,,,
m5,2027-07-03,tub-2,,20,20,yes
"""
COMMAND = get_command(app)  # built once, which takes longer than most commands
BEGIN = datetime(2027, 7, 5, 8)
DAY = timedelta(days=1)
SPOTS = [("north", str(x)) for x in range(4, 40, 8)] + [("cork", "r1p1"), ("tub-2", "?"), ("tub-2", "30,20")]
WHAT = ("darkening", "emerged", "emerged", "failed", "released", "removed")
HOURS = st.sampled_from([0, 0, 1, 12, 24, 48])
FEW = st.sets(st.integers(0, 11), min_size=1, max_size=3)


@dataclass(frozen=True)
class State:
    """The files, and whether somebody was hung since the plan where the keeper chose: then two may clash."""

    files: dict[str, bytes]
    elsewhere: bool = False


@dataclass
class Row:
    """A pupa as the file has it, and its own dates."""

    cells: dict[str, str]
    firm: datetime | None = field(init=False)
    dark: datetime | None = field(init=False)

    def __post_init__(self) -> None:
        text = self.cells["pupated"]
        start = datetime.fromisoformat(text) if text else None
        exact = "T" in text
        self.firm = start and start + (1 if exact else 2) * DAY
        self.dark = start and start + (9 if exact else 9.5) * DAY

    def touchable(self, on: datetime) -> bool:
        seen = self.cells.get("darkening") or "9999-12-31"
        begun = datetime.fromisoformat(seen)
        return bool(self.firm and self.dark and self.firm <= on < min(self.dark, begun) and self.present)

    @property
    def present(self) -> bool:
        return not self.cells.get("outcome")

    @property
    def spot(self) -> tuple[str, ...]:
        return tuple(self.cells.get(key) or "" for key in ("place", "spot", "x", "y"))


def call(*words: str) -> Said:
    """Run ``hangplan`` with these words; an exception is a failure of the test."""
    with redirect_stdout(io.StringIO()) as out, redirect_stderr(io.StringIO()) as err:
        try:
            COMMAND.main(list(words), prog_name="hangplan")
        except SystemExit as e:
            return Said(int(e.code or 0), out.getvalue(), err.getvalue())
    raise AssertionError(f"{words} did not end")


class SeasonLife(RuleBasedStateMachine):
    """A keeper who does anything at any time."""

    def __init__(self) -> None:
        super().__init__()
        self.top = Path(tempfile.mkdtemp())
        self.folder = self.top / "porch"
        self.folder.mkdir()
        (self.folder / "season.yaml").write_text(SETTINGS)
        (self.folder / "pupae.csv").write_text(PUPAE)
        self.now = BEGIN
        self.given = set(self.rows())
        self.state = State(self.files())
        self.before: list[State] = []
        self.after: list[State] = []

    def teardown(self) -> None:
        shutil.rmtree(self.top)

    def files(self) -> dict[str, bytes]:
        return {p.name: p.read_bytes() for p in self.folder.iterdir() if p.is_file()}

    def rows(self) -> dict[str, Row]:
        text = (self.folder / "pupae.csv").read_text(encoding="utf-8")
        return {row["id"]: Row(row) for row in csv.DictReader(io.StringIO(text))}

    @property
    def present(self) -> list[str]:
        return [name for name, row in self.rows().items() if row.present]

    def some(self, numbers: set[int]) -> list[str]:
        there = self.present
        return list(dict.fromkeys(there[n % len(there)] for n in sorted(numbers)))

    def call(self, *words: str) -> Said:
        return call(*words, "--on", self.now.isoformat(timespec="minutes"))

    def do(self, *words: str, codes: tuple[int, ...] = (0, 1)) -> Said:
        """A command that may change the files: refused, it has changed nothing."""
        said = self.call(*words)
        assert said.code in codes, said
        files = self.files()
        if said.code == 1:
            assert said.err
            assert files == self.state.files
        elif files != self.state.files:
            self.before.append(self.state)
            self.after.clear()
            self.state = State(files, self.state.elsewhere)
        return said

    @rule(hours=st.sampled_from([1, 5, 12, 24, 48, 72]))
    def time_passes(self, hours: int) -> None:
        self.now += timedelta(hours=hours)

    @precondition(lambda self: len(self.present) < 10)
    @rule(
        number=st.integers(1, 3),
        lid=st.sampled_from(["tub-2", "tub-3"]),
        hours=st.sampled_from([0, 3, 20, 26, 50, 75]),
        exact=st.booleans(),
        point=st.none() | st.tuples(st.integers(0, 40), st.integers(0, 28)),
    )
    def add(self, number: int, lid: str, hours: int, exact: bool, point: tuple[int, int] | None) -> None:
        before = self.rows()
        when = self.now - timedelta(hours=hours)
        date = f"{when:%Y-%m-%dT%H:%M}" if exact else f"{when:%Y-%m-%d}"
        words = [f"{point[0]},{point[1]}"] if point else [str(number)]
        said = self.do("add", str(self.folder), *words, lid, date)
        new = self.rows().keys() - before.keys()
        assert len(new) == (0 if said.code else 1 if point else number)
        assert not new & self.given, "an id is given once for ever"
        self.given |= new

    @precondition(lambda self: len(self.present) < 10)
    @rule()
    def add_prepupa(self) -> None:
        before = self.rows()
        self.do("add", str(self.folder), "1", "tub-2", "--prepupa", codes=(0,))
        new = self.rows().keys() - before.keys()
        assert len(new) == 1
        assert not new & self.given
        self.given |= new

    @rule(more=st.sampled_from([[], [], ["--rehang"], ["--wait"], ["--widest"], ["--gap", "1"]]), hours=HOURS)
    def plan(self, more: list[str], hours: int) -> None:
        self.now += timedelta(hours=hours)
        there = self.present
        said = self.do("plan", str(self.folder), "--seconds", "2", *more, codes=(0, 1, 3, 4))
        assert (said.code == 1) == (not there), said
        if not there:
            return
        self.state = State(self.state.files)
        found, rows = self.in_force(), self.rows()
        assert found is not None
        assert sorted(h.pupa for h in found.hangs) == sorted(there)
        assert verify(load(self.folder, known_species()), found) == []
        for move in found.moves:
            row = rows[move.pupa]
            assert row.touchable(self.now), move
            assert not row.cells.get("stay"), move
            assert move.not_before <= self.now <= move.not_after, move
            assert row.firm <= move.not_before, move
        for one in found.waits:
            assert "--wait" in more
            assert rows[one.pupa].place.startswith("tub"), one
            assert one.pupa not in found.movers
            assert rows[one.pupa].touchable(one.until), one
            assert move.not_after <= row.dark, move
            assert row.cells["place"].startswith("tub") or "--rehang" in more, move
        assert self.call("check", str(self.folder)).code == 0

    def in_force(self) -> Plan | None:
        return plan_file.read(self.folder)

    @precondition(lambda self: self.in_force())
    @rule()
    def done_all(self) -> None:
        self.done()

    @precondition(lambda self: self.present)
    @rule(hours=HOURS)
    def plan_and_do(self, hours: int) -> None:
        self.plan([], hours)
        found = self.in_force()
        if found and found.moves:
            said = self.done()
            assert said.code == 0, said
            spots = {name: row.spot for name, row in self.rows().items()}
            for hang in found.hangs:
                if hang.from_place:
                    assert spots[hang.pupa] == (hang.place, hang.spot, "", ""), hang

    @precondition(lambda self: self.present)
    @rule(numbers=FEW, hours=HOURS)
    def done_some(self, numbers: set[int], hours: int) -> None:
        self.now += timedelta(hours=hours)
        self.done(*self.some(numbers))

    @precondition(lambda self: self.present)
    @rule(number=st.integers(0, 11), where=st.sampled_from(SPOTS))
    def done_elsewhere(self, number: int, where: tuple[str, str]) -> None:
        [name] = self.some({number})
        if self.done(name, to=where).code == 0:
            self.state = State(self.state.files, elsewhere=True)

    def done(self, *names: str, to: tuple[str, str] | None = None) -> Said:
        before = self.rows()
        options = ["--to", *to] if to else []
        said = self.do("done", *names, str(self.folder), *options)
        for name, row in self.rows().items():
            if row.spot != before[name].spot:
                assert before[name].touchable(self.now), (name, before[name], said)
                assert not names or name in names
                assert to or not row.cells.get("stay")
        return said

    @precondition(lambda self: self.present)
    @rule(numbers=FEW, what=st.sampled_from(WHAT), hours=HOURS)
    def mark(self, numbers: set[int], what: str, hours: int) -> None:
        self.now += timedelta(hours=hours)
        names = self.some(numbers)
        before = self.rows()
        said = self.do("mark", *names, what, str(self.folder))
        if said.code == 0:
            for name in names:
                assert before[name].present
                cells = self.rows()[name].cells
                assert cells["darkening" if what == "darkening" else "ended"].startswith(
                    f"{self.now:%Y-%m-%d}"
                )

    @precondition(lambda self: self.before)
    @rule()
    def undo(self) -> None:
        said = call("undo", str(self.folder))
        assert said.code == 0, said
        self.after.append(self.state)
        self.state = self.before.pop()

    @precondition(lambda self: self.after)
    @rule()
    def redo(self) -> None:
        said = call("undo", str(self.folder), "--redo")
        assert said.code == 0, said
        self.before.append(self.state)
        self.state = self.after.pop()

    @invariant()
    def the_files_are_as_the_last_command_left_them(self) -> None:
        assert self.files() == self.state.files

    @invariant()
    def no_two_hang_on_one_spot(self) -> None:
        hung = [r.spot[:2] for r in self.rows().values() if r.present and r.cells.get("spot")]
        assert len(hung) == len(set(hung))

    @invariant()
    def check_finds_no_fault_but_with_what_the_keeper_hung_elsewhere(self) -> None:
        said = self.call("check", str(self.folder), "--json")
        assert said.code in (0, 1)
        assert not said.data["problems"], said
        rules = {b["where"] for b in said.data["breaches"]}
        # Hung too near to another, or on the spot that the plan has for one still to be moved.
        allowed = {"clash", "shared", "order"} if self.state.elsewhere else set()
        assert rules <= allowed, said
        assert said.code == bool(rules)

    @invariant()
    def the_day_sheet_sends_nobody_to_one_that_is_not_to_be_touched(self) -> None:
        said = self.call("today", str(self.folder), "--json")
        assert said.code == 0
        rows = self.rows()
        sheet = said.data
        assert all(rows[p["id"]].touchable(self.now) for p in sheet["movable"]), sheet
        named = {p["id"] for key in ("movable", "untouched", "overdue") for p in sheet[key]}
        assert named | {n for n in self.present if rows[n].cells.get("stay")} == set(self.present)


SeasonLife.TestCase.settings = tries(7, stateful_step_count=12)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """No pictures, no reasons (tests/planning has them), one worker: the same every time, and quickly."""
    monkeypatch.setattr("planner.cli.answers.plan.write_outputs", lambda *_args, **_more: ([], []))
    monkeypatch.setattr(planning, "_load_drawing", lambda: None)
    monkeypatch.setattr(planning, "_explain", lambda *_args: Explained())
    monkeypatch.setattr(season_plan, "make_plan", partial(season_plan.make_plan, workers=1))


@pytest.mark.usefixtures("quick")
def test_any_sequence_of_commands_keeps_every_rule_and_loses_nobody() -> None:
    SeasonLife.TestCase().runTest()
