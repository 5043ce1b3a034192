"""``plan`` on an evening that is planned already: moves not made yet keep their spots."""

import shutil
from contextlib import chdir
from pathlib import Path

import pytest
from cli_world import call

from planner.season.plan import plan_file

PORCH = Path(__file__).parents[2] / "examples" / "porch"


@pytest.fixture(scope="module")
def halfway(tmp_path_factory):
    """The porch of 35 pupae, planned, and the first six of its moves made."""
    desk = tmp_path_factory.mktemp("again")
    shutil.copytree(PORCH, desk / "porch", ignore=shutil.ignore_patterns("out", "plan.yaml", ".*"))
    with chdir(desk):
        assert call("plan", "porch", "--on", "2027-07-12T21:00").code == 0
        before = Path("porch/plan.yaml").read_bytes()
        assert call("done", "step", "1-6", "porch", "--on", "2027-07-12T22:00").code == 0
    return desk, before


def destinations():
    plan = plan_file.read(Path("porch"))
    assert plan is not None
    return {move.pupa: (move.to_place, move.to_spot) for move in plan.moves}


@pytest.mark.parametrize("option", [(), ("--rehang",), ("--wait",), ("--evenings", "3")])
def test_moves_not_made_yet_keep_their_spots(halfway, option):
    desk, before = halfway
    with chdir(desk):
        Path("porch/plan.yaml").write_bytes(before)
        planned = destinations()
        said = call("plan", "porch", "--on", "2027-07-12T22:30", *option)
        assert said.code == 0
        found = destinations()
        assert len(found) == 8
        assert found.items() <= planned.items()
        assert "go elsewhere" not in said.out


def test_with_nothing_new_it_is_the_same_plan_byte_for_byte(halfway):
    desk, _ = halfway
    with chdir(desk):
        assert call("plan", "porch", "--on", "2027-07-12T22:30").code == 0
        first = Path("porch/plan.yaml").read_bytes()
        assert call("plan", "porch", "--on", "2027-07-12T22:30").code == 0
        assert Path("porch/plan.yaml").read_bytes() == first


def test_a_plan_that_cannot_be_read_is_told_and_stops_no_new_one(halfway):
    desk, _ = halfway
    with chdir(desk):
        Path("porch/plan.yaml").write_text("hangs: [\n", encoding="utf-8")
        said = call("plan", "porch", "--on", "2027-07-12T22:30")
        assert said.code == 0
        assert "The old plan.yaml cannot be read, so tags printed by it may not hold any more.\n" in said.err
        assert call("check", "porch", "--on", "2027-07-12T22:30").code == 0
