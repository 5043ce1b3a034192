"""Whether a plan can be written is found out before it is looked for."""

import errno
import os

import pytest
from cli_world import call

import planner.season.store.store
from planner.planning import make_plan as season_plan
from planner.season.store import Store, StoreError

ON = "2027-07-05T08:00"


@pytest.fixture
def searched(monkeypatch):
    """Whether a plan was looked for."""
    calls = []

    def make_plan(*args, **options):
        calls.append(args)
        raise StoreError("the search is not tested here")

    monkeypatch.setattr(season_plan, "make_plan", make_plan)
    return calls


def fails(code, only=lambda path: True):
    """Stands for `disk.try_out` on a bad disk."""

    def try_out(path, *_args):
        if only(path):
            raise OSError(code, os.strerror(code))

    return try_out


@pytest.mark.parametrize("code", [errno.EROFS, errno.ENOSPC, errno.EACCES, errno.EDQUOT])
def test_a_disk_that_takes_no_plan_is_told_before_one_is_looked_for(world, monkeypatch, searched, code):
    monkeypatch.setattr(planner.season.store.store, "try_out", fails(code))
    before = world.files()
    said = world.call("plan")
    why = os.strerror(code)
    assert (said.code, said.out) == (1, "")
    assert said.err == f"{world.folder}/plan.yaml: cannot be written: {why}. Nothing was changed\n"
    assert (searched, world.files()) == ([], before)


def test_a_season_that_another_program_changes_is_told_before_a_plan_is_looked_for(
    world, monkeypatch, searched
):
    monkeypatch.setattr(planner.season.store.store, "PATIENCE", 0.1)
    monkeypatch.setattr(Store.__init__, "__defaults__", (0.1,))
    with Store(world.folder).locked():
        said = world.call("plan")
    assert said.err == (
        f"{world.folder}: another program is changing this season (waited 0.1 s): try again when it is done\n"
    )
    assert (said.code, searched) == (1, [])


def test_a_link_in_the_place_of_the_plan_is_told_before_one_is_looked_for(world, searched):
    (world.folder / "plan.yaml").symlink_to("elsewhere.yaml")
    said = world.call("plan")
    assert said.err == f"{world.folder}/plan.yaml: is a link to another place, which is not followed\n"
    assert (said.code, searched) == (1, [])


def test_a_map_that_cannot_be_written_is_told_before_a_plan_is_looked_for(world, searched):
    (world.folder / "out").write_text("no folder")
    said = world.call("plan")
    assert said.err.startswith(
        f"{world.folder}/out/map.png: cannot be written: {world.folder}/out is a file, not a folder: "
        "the plan will be written, but not the map\n"
    )
    assert len(searched) == 1


@pytest.mark.usefixtures("searched")
def test_finding_that_out_leaves_nothing_behind(world):
    before = world.files()
    world.call("plan")
    assert world.files() == before
    left = [p.name for p in world.folder.rglob("*") if p.is_file() and p.name not in before]
    assert [name for name in left if name != "lock"] == []
    assert call("undo", "porch", "--list").out == "no change is recorded yet\n"
