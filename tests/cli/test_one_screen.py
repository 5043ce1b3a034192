"""An ordinary evening at the terminal fits its 24 lines of 80 letters, command by command."""

import shutil
from contextlib import chdir
from pathlib import Path

import pytest
from cli_world import call
from slip_world import event, marked, moved, recorded, slip

from planner.report.texts.sheet import SCREEN
from planner.report.texts.text import WIDTH, columns

PORCH = Path(__file__).parents[2] / "examples" / "porch"
EVENING = ("--on", "2027-07-12T21:00")


@pytest.fixture(scope="module")
def evening(tmp_path_factory):
    """What each command of an evening says: 35 pupae, 3 of them new, 14 or so to be moved."""
    desk = tmp_path_factory.mktemp("evening")
    shutil.copytree(PORCH, desk / "porch", ignore=shutil.ignore_patterns("out", "plan.yaml", ".*"))
    commands = {
        "add": ("add", "3", "tub-1", "20,20", "22,24", "36,3", "porch", "--pupated", "2027-07-11"),
        "before": ("today", "porch"),
        "plan": ("plan", "porch", "--seconds", "1"),
        "today": ("today", "porch"),
        "done": ("done", "porch"),
        "mark": ("mark", "m1", "emerged", "porch"),
        "check": ("check", "porch"),
    }
    with chdir(desk):
        said = {name: call(*words, *EVENING) for name, words in commands.items()}
        Path("slip.txt").write_text(phones_evening(), encoding="utf-8")
        return said | {"take": call("take", "slip.txt", "porch", *EVENING)}


def phones_evening():
    """Five newcomers on two lids, six hung elsewhere, two seen darkening, one found sick, two notes."""
    at = "2027-07-12T21:00"
    new = [recorded(f"tub-{1 + i % 2}", at, x=str(4 + 5 * i), y="2", pupated="2027-07-12") for i in range(5)]
    hung = [moved(f"m{i}", "north", str(8 * (i - 20)), at) for i in range(22, 28)]
    seen = [marked(f"m{i}", "darkening", at) for i in (3, 4)]
    notes = [event("noted", at, pupa=f"+{one['id']}", note="small") for one in new[:2]]
    return slip(*new, *hung, *seen, marked("m9", "parasitised", at), *notes, name="Orchard porch 2027")


@pytest.mark.parametrize("name", ["add", "before", "plan", "today", "done", "mark", "check", "take"])
def test_a_command_says_no_more_than_one_screen(evening, name):
    said = evening[name]
    assert said.code == 0
    lines = said.out.splitlines()
    assert len(lines) <= SCREEN, said.out
    assert max(map(columns, lines)) <= WIDTH


def test_a_plan_names_each_pupa_in_one_place(evening):
    rows = [row for row in evening["plan"].out.splitlines() if not row.startswith("Do not put off")]
    words = "\n".join(rows).replace(",", " ").replace(":", " ").split()
    named = [word for word in words if word[0] == "m" and word[1:].isdecimal()]
    assert len(named) == len(set(named))


def test_what_is_left_out_is_counted_and_found(evening):
    said = evening["plan"].out
    assert " more rows: out/moves.txt has them\n" in said
    assert " more rows: --all shows them\n" in evening["before"].out
