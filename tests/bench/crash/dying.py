"""Commands that die at a chosen step of writing: at every open for writing, sync, rename, removal, mkdir.

The steps are seen by Python's audit hooks, so that nothing of the program is replaced: what dies is the real
command. A child is forked for each; ``os._exit`` runs no handler and flushes nothing, as SIGKILL does.
"""

import os
import shutil
import sys
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO

from cli_world import ON, SETTINGS, World, call, good_plan

EVENTS = ("open", "os.rename", "os.remove", "os.chmod", "os.mkdir")
DEAD = 9
OVER = "2027-09-01"
OWN = SETTINGS.replace("monarch:", "easy:") + "species: easy\n"
EIGHT = "id,pupated,place,x,y,outcome,ended\n" + "".join(
    f"e{i},2027-07-{i:02},tub-2,{i},5,emerged,2027-07-{i + 12:02}\n" for i in range(1, 9)
)


def prepare(folder, name):
    """A season in which the command has something to do."""
    if name == "new":
        return
    folder.mkdir(parents=True)
    world = World(folder)
    if name == "learn":
        world.write("season.yaml", OWN)
        world.write("pupae.csv", EIGHT)
    if name in ("done", "mark", "undo", "redo"):
        world.plan()
    if name in ("undo", "redo"):
        assert call("mark", "m1", "failed", str(folder), "--on", ON).code == 0
    if name == "redo":
        assert call("undo", str(folder)).code == 0


def planned(_season, _on, **_options):
    """Stands for the search, which writes nothing: so that thousands of plans can die."""
    return good_plan()


COMMANDS = {
    "new": lambda f: ("new", f),
    "add": lambda f: ("add", f, "--lid", "tub-2", "--pupated", "2027-07-04", "--count", "2", "--on", ON),
    "plan": lambda f: ("plan", f, "--on", ON, "-o", f"{f}/out/map.svg"),
    "done": lambda f: ("done", "m2", f, "--on", ON),
    "mark": lambda f: ("mark", "m1", "failed", f, "--on", ON),
    "undo": lambda f: ("undo", f),
    "redo": lambda f: ("undo", f, "--redo"),
    "learn": lambda f: ("learn", f, "--accept", "--on", OVER),
}


def state(folder):
    """The season's own files, without pictures and the tool's notes."""
    if not folder.is_dir():
        return {}
    return {
        p.name: p.read_bytes() for p in sorted(folder.iterdir()) if p.is_file() and not p.name.startswith(".")
    }


def leftovers(folder):
    """Temporary files, and what belongs to a change under way."""
    own = folder / ".hangplan"
    known = {"lock", "history", "ids"}
    notes = {p.name for p in own.iterdir() if p.name not in known} if own.is_dir() else set()
    return notes | {p.name for p in folder.glob("*hangplan-*")} | {p.name for p in own.rglob("*hangplan-*")}


def run_dying(folder, name, at):
    """Run the command in a child that dies at its ``at``-th step; return its exit code (9: it died)."""
    pid = os.fork()
    if pid:
        return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    try:
        code = _child(folder, name, at)
    except BaseException as e:
        sys.__stderr__.write(f"{name} {at}: {e!r}\n")
        code = 99
    os._exit(code)


def _child(folder, name, at):
    from planner.plan import season_plan

    if name == "plan":
        season_plan.make_plan = planned
    count = 0

    def step():
        nonlocal count
        count += 1
        if count == at:
            os._exit(DEAD)

    def hook(event, args):
        if event in EVENTS and str(folder) in str(args[0]) and not str(args[0]).endswith("lock"):
            reads = event == "open" and (args[1] in ("r", "rb") or (args[1] is None and not args[2] & 3))
            if not reads:
                step()

    sync = os.fsync
    os.fsync = lambda handle: (step(), sync(handle))
    sys.addaudithook(hook)
    with redirect_stdout(StringIO()), redirect_stderr(StringIO()):
        return call(*COMMANDS[name](str(folder))).code


def ends(tmp, name):
    """States of the season before and after the command that does not die; times in it left out."""
    folder = tmp / "whole" / name
    prepare(folder, name)
    before = state(folder)
    assert call_in_child(folder, name) == 0
    after = state(folder)
    shutil.rmtree(folder)
    return before, after


def call_in_child(folder, name):
    return run_dying(folder, name, 10**9)
