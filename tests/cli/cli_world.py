"""A season with a plan that keeps every rule, and ways to call the command line.

At 23 °C a pupa of this season takes 130 / (23 - 10) = 10 days from noon of its day. So m1 and m2, pupated
1 July, are firm from 3 July 00:00, may be darkening from 10 July 12:00 and are due 11 July 12:00; m3,
pupated 3 July, two days later each. On the lid m1 and m2 hang 3 cm apart: one of the two must go.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

from typer.testing import CliRunner

from planner.cli.app import app
from planner.season import Hang, Level, Move, Plan, Store, StoreError
from planner.season.load import digest
from planner.season.plan import plan_file

ON = "2027-07-05T08:00"
SETTINGS = """\
season: Porch
timezone: Europe/Lisbon
temperature: {constant: 23}
profiles: {monarch: {lower: 10, requirement: 130}}
places:
  - {line: north, length: 60, height: 150, clips_every: 4}
  - {lid: tub-2, width: 40, length: 28}
  - {lid: tub-3, width: 40, length: 28, clear: yes}
"""
PUPAE = """\
id,pupated,place,x,y
m1,2027-07-01,tub-2,5,5
m2,2027-07-01,tub-2,8,5
m3,2027-07-03,tub-3,5,5
"""


def good_plan(settings: str = SETTINGS, pupae: str = PUPAE) -> Plan:
    """m2 goes to north 4, m3 to north 8: neighbours, due two days apart, as is allowed."""
    return Plan(
        on=datetime.fromisoformat(ON),
        gap_days=2,
        hangs=(
            Hang(pupa="m1", place="tub-2", spot="5,5", x=5, y=5, due=date(2027, 7, 11)),
            Hang(pupa="m2", place="north", spot="4", x=4, y=0, due=date(2027, 7, 11), from_place="tub-2"),
            Hang(pupa="m3", place="north", spot="8", x=8, y=0, due=date(2027, 7, 13), from_place="tub-3"),
        ),
        moves=(
            _move(1, "m2", "tub-2", "8,5", "4", datetime(2027, 7, 3), datetime(2027, 7, 10, 12)),
            _move(2, "m3", "tub-3", "5,5", "8", datetime(2027, 7, 5), datetime(2027, 7, 12, 12)),
        ),
        proof=(
            Level(name="clashes", value=0, bound=0, proved=True),
            Level(name="touched", value=2, bound=2, proved=True),
        ),
        inputs={"season.yaml": digest(settings.encode()), "pupae.csv": digest(pupae.encode())},
    )


def _move(step: int, pupa: str, source: str, spot: str, to: str, start: datetime, end: datetime) -> Move:
    return Move(step=step, pupa=pupa, from_place=source, from_spot=spot, to_place="north", to_spot=to,
                not_before=start, not_after=end)  # fmt: skip


@dataclass(frozen=True)
class Said:
    """What a command said."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        return json.loads(self.out)


class World:
    """A season's folder, and the command line called for it."""

    def __init__(self, folder: Path):
        self.folder = folder
        self.write("season.yaml", SETTINGS)
        self.write("pupae.csv", PUPAE)

    def write(self, name: str, content: str | bytes) -> None:
        data = content if isinstance(content, bytes) else content.encode()
        (self.folder / name).write_bytes(data)

    def read(self, name: str) -> str:
        return (self.folder / name).read_bytes().decode()

    def row(self, pupa: str) -> dict[str, str]:
        """A pupa's row of pupae.csv, column → text."""
        head, *lines = self.read("pupae.csv").splitlines()
        cells = next(line.split(",") for line in lines if line.startswith(pupa))
        return dict(zip(head.split(","), cells, strict=False))

    def plan(self, **changes: Any) -> Plan:
        """Put a plan in force."""
        plan = replace(good_plan(), **changes)
        self.write("plan.yaml", plan_file.dump(plan))
        return plan

    def files(self) -> dict[str, bytes]:
        """Every file that is the keeper's or the plan, not the tool's own notes."""
        return {p.name: p.read_bytes() for p in self.folder.iterdir() if p.is_file()}

    def call(self, command: str, *more: str, on: str | None = ON) -> Said:
        """Run a command on this season."""
        when = ["--on", on] if on else []
        return call(command, str(self.folder), *more, *when)


def full_disk(store: Store, name: str, *_args: Any, **_options: Any) -> None:
    """Stands for `Store.write` on a disk without room."""
    raise StoreError(
        f"{store.folder / name}: cannot be written: No space left on device. Nothing was changed"
    )


def call(*args: str) -> Said:
    """Run ``hangplan`` with these arguments."""
    result = CliRunner().invoke(app, list(args), prog_name="hangplan")
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return Said(result.exit_code, result.stdout, result.stderr)
