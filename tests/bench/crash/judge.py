"""Whether a season is whole after what was done to it, and whether one can go on with it."""

import re
from dataclasses import dataclass, replace

from cli_world import call
from commands import fresh, leftovers, outputs, state
from steps import run

from planner.planning import make_plan as season_plan
from planner.season import Plan
from planner.season.plan import plan_file
from planner.season.pupae.table import FILE

ID = re.compile(rb"^([a-z]\d+),", re.MULTILINE)


def ids(files):
    return ID.findall(files.get(FILE, b""))


@dataclass(frozen=True)
class Ends:
    """The season before and after the command that nothing stops, its outputs, and what ``check`` says.

    ``between``: the plan without the reason for its clashes, which is added once the plan is safe.
    """

    before: dict[str, bytes]
    after: dict[str, bytes]
    between: dict[str, bytes]
    outputs_before: dict[str, bytes]
    outputs: dict[str, bytes]
    check_before: str
    check_after: str
    code: int
    plan: Plan | None

    def replay(self):
        """Let the search, which writes nothing, find at once what it found: thousands of plans can die so."""
        if self.plan is not None:
            season_plan.make_plan = lambda *_given, **_options: self.plan


def check(folder, command):
    said = call("check", str(folder), "--on", command.on)
    assert "Traceback" not in said.err
    return said


def ends_of(template, folder, command):
    """Run the command undisturbed."""
    fresh(template, folder)
    before, old, check_before = state(folder), outputs(folder), check(folder, command).out
    said = run(folder, command.words(folder), lambda step: None)
    assert said.code in (0, 3), said.err
    after, new = state(folder), outputs(folder)
    first = folder / ".hangplan" / "history" / "000002-plan.yaml"
    between = {**after, "plan.yaml": first.read_bytes()} if command.clashes else after
    found = None
    if command.call[0] == "plan":
        found = replace(plan_file.read(folder), reason=(), ways_out=())
    return Ends(before, after, between, old, new, check_before, check(folder, command).out, said.code, found)


def whole(folder, command, ends):
    """Assert that all is as before or as after, also for ``check``; return whether the change was made."""
    said = check(folder, command)
    found = state(folder)
    assert found in (ends.before, ends.between, ends.after), sorted(found)
    made = found != ends.before
    if found in (ends.before, ends.after) and found:
        assert said.out == (ends.check_after if found == ends.after else ends.check_before)
    for name, data in outputs(folder).items():
        assert data in (ends.outputs_before.get(name), ends.outputs.get(name)), name
    return made


def added_to(end, found):
    """Whether a season is as at that end, with one row more."""
    rows, more = end.get(FILE, b""), found.get(FILE, b"")
    others = {**end, FILE: b""} == {**found, FILE: b""}
    return others and more.startswith(rows) and len(ids({FILE: more})) == len(ids({FILE: rows})) + 1


def usable(folder, command, ends, *, undo=True):
    """Assert that the next commands work, that no id is lost or given again, nothing is left lying."""
    found = state(folder)
    if "season.yaml" not in found:
        assert call("new", str(folder)).code == 0
        found = state(folder)
        assert found == ends.after
    elif undo and found == ends.after != ends.before and command.call[0] != "new":
        _back_and_forth(folder, command, ends)
    _another(folder, found, ids(ends.before))
    assert leftovers(folder) == set()


def _back_and_forth(folder, command, ends):
    """Take the change back and make it again, whichever way it went."""
    way, back = (
        (("--redo",), ()) if command.call[0] == "undo" and "--redo" not in command.call else ((), ("--redo",))
    )
    said = call("undo", str(folder), *way)
    assert said.code == 0, said.err
    assert state(folder) == ends.before
    said = call("undo", str(folder), *back)
    assert said.code == 0, said.err
    assert state(folder) == ends.after


def _another(folder, found, seen):
    lid = re.search(rb"lid: (tub[\w-]+)", found["season.yaml"])
    assert lid
    given = ids(found)
    said = call("add", str(folder), "--lid", lid[1].decode(), "--pupated", "2027-07-05", "--on", "2027-07-06")
    assert said.code == 0, said.err
    now = ids(state(folder))
    assert now[: len(given)] == given
    assert len(set(now)) == len(now) == len(given) + 1
    assert not set(seen) & {now[-1]}
