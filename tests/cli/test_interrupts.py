"""Ctrl-C and a lack of memory at any moment: a plain line, and what was found is kept."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from cli_world import ON, good_plan

from planner.cli import plan as planning
from planner.cli.answers import plan as outputs
from planner.cli.answers import plan_store
from planner.cli.shell.interrupts import GivenUp, interruptible
from planner.planning import make_plan as season_plan
from planner.planning.infeasible import ways_out
from planner.season.plan import plan_file


@pytest.fixture(autouse=True)
def _ctrl_c_is_heard():
    """What a shell runs in its background ignores Ctrl-C: here it means what it means at a terminal."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


def presses(times=1, then=None):
    """Stands for a step during which Ctrl-C is pressed."""

    def step(*_given, **_options):
        for _ in range(times):
            signal.raise_signal(signal.SIGINT)
        return then

    return step


def test_ctrl_c_while_a_plan_is_verified_keeps_it(world, monkeypatch):
    monkeypatch.setattr(season_plan, "make_plan", presses(0, good_plan()))
    monkeypatch.setattr(plan_store, "verify", presses(1))
    said = world.call("plan")
    assert (said.code, said.err) == (0, "stopping: the best plan so far is kept; Ctrl-C again gives up\n")
    assert plan_file.read(world.folder).moves


def test_two_while_it_is_verified_give_up(world, monkeypatch):
    monkeypatch.setattr(season_plan, "make_plan", presses(0, good_plan()))
    monkeypatch.setattr(plan_store, "verify", presses(2))
    said = world.call("plan")
    assert said.code == 130
    assert said.err.endswith("given up: nothing was written\n")
    assert not (world.folder / "plan.yaml").exists()


def test_while_a_plan_is_written_ctrl_c_waits(world, monkeypatch):
    real = plan_store.store
    monkeypatch.setattr(season_plan, "make_plan", presses(0, good_plan()))
    monkeypatch.setattr(plan_store, "store", lambda *given: (presses(3)(), real(*given)))
    said = world.call("plan")
    assert (said.code, said.err) == (0, "")
    assert plan_file.read(world.folder).moves


def test_ctrl_c_while_the_map_is_drawn_tells_that_the_plan_is_written(world, monkeypatch):
    monkeypatch.setattr(season_plan, "make_plan", presses(0, good_plan()))
    monkeypatch.setattr(outputs, "draw_to", presses(1))
    said = world.call("plan")
    assert (said.code, said.out, said.err) == (
        130,
        "",
        "stopped: plan.yaml is written, but perhaps not the map and the move list\n",
    )
    assert plan_file.read(world.folder).moves


def test_who_stopped_the_search_does_not_wait_for_the_reasons_of_clashes(world, monkeypatch):
    def stopped(_season, _on, *, stop, **_options):
        presses(1)()
        assert stop()
        return good_plan()

    monkeypatch.setattr(season_plan, "make_plan", stopped)
    monkeypatch.setattr(planning, "exit_code", lambda _plan: 4)
    monkeypatch.setattr(ways_out, "explain_plan", presses(2))  # would not be survived
    said = world.call("plan")
    assert said.code == 4
    assert said.err == (
        "stopping: the best plan so far is kept; Ctrl-C again gives up\n"
        "why there are clashes was not looked for: 'hangplan plan porch' without Ctrl-C looks for it\n"
    )


STOPPED = "stopped: a change is written wholly or not at all; 'hangplan check' tells what stands\n"
NO_MEMORY = "there is not enough memory: close other programs and try again\n"


@pytest.mark.parametrize(
    ("error", "code", "message"), [(KeyboardInterrupt, 130, STOPPED), (MemoryError, 1, NO_MEMORY)]
)
@pytest.mark.parametrize("command", ["check", "today", "outlook", "page"])
def test_any_command_ends_in_a_plain_line(world, monkeypatch, command, error, code, message):
    def fails(*_given):
        raise error

    monkeypatch.setattr("planner.cli.shell.season_files.load", fails)
    said = world.call(command)
    assert (said.code, said.out, said.err) == (code, "", message)


def test_afterwards_ctrl_c_means_what_it_meant_before():
    before = signal.getsignal(signal.SIGINT)
    with pytest.raises(GivenUp), interruptible(print):
        presses(2)()
    assert signal.getsignal(signal.SIGINT) == before


ENDED = """
import os, signal
from dataclasses import replace
from pathlib import Path
from cli_world import good_plan
from planner.cli import main
from planner.cli.answers import plan as outputs
from planner.planning import make_plan as season_plan
def end():
    os.kill(os.getpid(), signal.SIGKILL)
def make_plan(*given, on_incumbent, **options):
    {while_searching}
    return good_plan()
season_plan.make_plan = make_plan
outputs.draw_to = lambda *given, **options: os.abort()
main()
"""
CAUSE = (
    "\nplan was ended from outside, most likely for lack of memory: close other programs, or plan with "
    "--seconds 0.1, which hardly searches.\n"
)
BEFORE = "Nothing is half written: 'hangplan check' tells what stands.\n"
UNREADABLE = "The old plan.yaml cannot be read, so tags printed by it may not hold any more.\n"
KEPT = "The best plan so far keeps every rule and is written to plan.yaml. 'hangplan map' draws it.\n"
AFTER = "plan.yaml is written and holds, but perhaps not the map, the move list and why there are clashes.\n"
EARLIER = "the plan before\n"


@pytest.mark.skipif(os.name != "posix", reason="needs fork")
@pytest.mark.parametrize(
    ("while_searching", "stands", "new"),
    [
        ("end()", BEFORE, False),
        ("on_incumbent(good_plan()); end()", KEPT, True),
        ("on_incumbent(good_plan()); on_incumbent(replace(good_plan(), moves=())); end()", BEFORE, False),
        ("on_incumbent(good_plan()); Path('porch/pupae.csv').write_text('id\\nm1\\n'); end()", BEFORE, False),
        ("on_incumbent(good_plan()); Path('porch/plan.yaml').write_text(''); end()", BEFORE, False),
        ("on_incumbent(good_plan())", AFTER, True),
    ],
    ids=["nothing yet", "a plan", "a wrong plan", "other pupae", "another plan", "while the map is drawn"],
)
def test_where_the_system_ends_the_program_the_best_plan_so_far_is_written_if_it_holds(
    world, while_searching, stands, new
):
    (world.folder / "plan.yaml").write_text(EARLIER)
    path = os.pathsep.join([str(Path(__file__).parent), os.environ.get("PYTHONPATH", "")])
    script = ENDED.format(while_searching=while_searching)
    done = subprocess.run(
        [sys.executable, "-c", script, "plan", "porch", "--on", ON],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": path},
        check=False,
    )
    assert done.returncode == (-signal.SIGABRT if stands == AFTER else -signal.SIGKILL)
    assert done.stderr == UNREADABLE + CAUSE + stands
    if new:
        assert plan_file.read(world.folder) == good_plan()
    else:
        assert (world.folder / "plan.yaml").read_text() in (EARLIER, "")


LOADING = """
import signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)  # what runs in the background of a shell ignores it
import planner.cli
planner.cli._run = lambda: signal.raise_signal(signal.SIGINT)
planner.cli.main()
"""


@pytest.mark.skipif(os.name != "posix", reason="Ctrl-C is sent otherwise there")
@pytest.mark.parametrize("command", ["check", "plan"])
def test_ctrl_c_while_all_is_being_loaded_is_answered_in_a_plain_line(command):
    done = subprocess.run(
        [sys.executable, "-c", LOADING, command], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "stopped: nothing was done\n")
