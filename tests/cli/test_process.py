"""The command as a process of its own: what it imports, pipes, letters, exit codes, two at once, Ctrl-C."""

import os
import signal
import subprocess
import sys
from datetime import date, datetime

import pytest
from cli_world import ON, PUPAE, good_plan

import planner
from planner.season import Kept

HANGPLAN = [sys.executable, "-m", "planner"]
LISTING = """
import ast, os, sys
from planner.cli import main

for line in sys.stdin:  # each in a process of its own, which has loaded no more than the command line
    if not os.fork():
        where, sys.argv[1:] = ast.literal_eval(line)
        os.chdir(where)
        try:
            main()
        except SystemExit as e:
            code = e.code or 0
        except BaseException as e:
            code = repr(e).replace(" ", "-")
        slow = {"ortools", "matplotlib", "networkx", "numpy", "pydantic", "rich"}
        print("loaded:", code, *sorted({m.split(".")[0] for m in sys.modules} & slow), flush=True)
        os._exit(0)
    os.wait()
"""


def run(*args, **env):
    return subprocess.run(
        [*HANGPLAN, *args], capture_output=True, timeout=60, env={**os.environ, **env}, check=False
    )


@pytest.fixture(scope="module")
def listing():
    with subprocess.Popen(
        [sys.executable, "-c", LISTING], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        yield process
        process.stdin.close()


def loaded(listing, *args):
    """Which slow libraries a command loads, and its exit code."""
    print(repr((os.getcwd(), args)), file=listing.stdin, flush=True)  # noqa: PTH109
    last = next(line for line in listing.stdout if line.startswith("loaded: ")).split()
    return set(last[2:]), int(last[1])


@pytest.mark.parametrize(
    ("args", "may"),
    [
        (("new", "yard"), set()),
        (("add", "porch", "--pupated", "2027-07-04", "--lid", "tub-2"), set()),
        (("check", "porch"), {"numpy"}),
        (("mark", "m1", "failed", "porch"), set()),
        (("done", "m2", "porch"), set()),
        (("today", "porch"), set()),
        (("today", "porch", "-o", "t.pdf"), {"matplotlib", "numpy"}),
        (("outlook", "porch"), {"numpy"}),
        (("outlook", "porch", "-o", "o.svg"), {"matplotlib", "numpy"}),
        (("calendar", "porch"), set()),
        (("map", "porch"), {"matplotlib", "numpy"}),
        (("tags", "porch"), {"matplotlib", "numpy"}),
        (("plan", "porch"), {"matplotlib", "networkx", "numpy", "ortools"}),
    ],
)
def test_a_command_loads_only_the_slow_libraries_it_needs(world, listing, args, may):
    world.plan()
    assert loaded(listing, *args, *(() if args[0] == "new" else ("--on", ON))) == (may, 0)


def test_today_loads_none_where_a_spot_is_kept(world, listing):
    pupae = f"{PUPAE}m4,2027-07-05,tub-2,30,20\n"  # soft until the end of 6 July, due 15 July 12:00
    world.write("pupae.csv", pupae)
    kept = Kept(who="m4", place="north", spot="40", since=datetime(2027, 7, 7, 8), due=date(2027, 7, 15))
    plan = good_plan(pupae=pupae)
    world.plan(kept=(kept,), inputs=plan.inputs)
    assert loaded(listing, "today", "porch", "--on", ON) == (set(), 0)


def test_undo_loads_none_of_the_slow_libraries(world, listing):
    world.plan()
    assert loaded(listing, "mark", "m1", "failed", "porch", "--on", ON)[1] == 0
    assert loaded(listing, "undo", "porch") == (set(), 0)


def test_the_installed_command_and_the_module_are_one():
    assert run("--version").stdout.decode() == f"hangplan {planner.__version__}\n"
    script = f"{os.path.dirname(sys.executable)}/hangplan"  # noqa: PTH120  (it may be a link, not to be resolved)
    assert subprocess.check_output([script, "--version"]).decode() == f"hangplan {planner.__version__}\n"


@pytest.mark.parametrize(
    ("args", "code"),
    [(("check", "porch", "--on", ON), 0), (("check", "nowhere"), 1), (("check", "--gap"), 2), (("fly",), 2)],
)
@pytest.mark.usefixtures("world")
def test_the_exit_code_says_how_it_ended(args, code):
    assert run(*args).returncode == code


@pytest.mark.usefixtures("world")
def test_results_go_to_stdout_and_faults_to_stderr():
    done = run("check", "porch", "--on", ON)
    assert (done.stdout != b"", done.stderr) == (True, b"")
    done = run("check", "nowhere")
    assert (done.stdout, done.stderr != b"") == (b"", True)


def test_an_ascii_terminal_gets_plain_letters(world):
    settings = world.read("season.yaml").replace("season: Porch", "season: Säntis → 蝶")
    world.write("season.yaml", settings)
    world.write("pupae.csv", PUPAE.replace("tub-3", "tüb-3"))
    done = run("check", "porch", "--on", ON, PYTHONIOENCODING="ascii")
    assert done.returncode == 1
    assert (
        done.stderr == b"pupae.csv:4:15: m3: place: there is no place 't\\xfcb-3' (did you mean 'tub-3'?)\n"
    )
    world.write("pupae.csv", PUPAE)
    done = run("check", "porch", "--on", ON, PYTHONIOENCODING="ascii")
    assert done.stdout.startswith(b"S\\xe4ntis -> \\u8776: the files are in order;")


def test_no_terminal_stops_a_command(world):
    encoding = "ascii"
    world.write("season.yaml", world.read("season.yaml").replace("season: Porch", "season: Säntis → 蝶"))
    for args in (("plan", "porch"), ("check", "porch→")):
        done = run(*args, "--on", ON, PYTHONIOENCODING=encoding)
        assert b"Traceback" not in done.stderr
        assert done.returncode == (1 if args[1].endswith("→") else 0)
    assert b"Error: No such command '" in run("fl→y", PYTHONIOENCODING=encoding).stderr


@pytest.mark.usefixtures("world")
def test_a_reader_that_closes_the_pipe_is_no_fault():
    command = f"{sys.executable} -m planner check porch --on {ON}"
    # The reader is gone before anything is written: the command needs longer than that to start.
    done = subprocess.run(["sh", "-c", f"{command} | true"], capture_output=True, check=False)
    assert done.stderr == b""


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no such device here")  # noqa: PTH110
@pytest.mark.usefixtures("world")
def test_a_result_that_cannot_be_written_is_told():
    with open("/dev/full", "wb") as full:  # noqa: PTH123
        done = subprocess.run(
            [*HANGPLAN, "check", "porch", "--on", ON], stdout=full, stderr=subprocess.PIPE, check=False
        )
    assert (done.returncode, done.stderr) == (1, b"output: No space left on device\n")


def test_two_that_add_at_once_lose_nothing(world):
    args = [
        *HANGPLAN,
        "add",
        "porch",
        "--lid",
        "tub-2",
        "--pupated",
        "2027-07-04",
        "--count",
        "20",
        "--on",
        ON,
    ]
    both = [subprocess.Popen(args, stdout=subprocess.PIPE, stderr=subprocess.PIPE) for _ in range(2)]
    said = sorted(p.communicate(timeout=60)[0].decode().splitlines()[0] for p in both)
    assert [p.returncode for p in both] == [0, 0]
    assert said == [f"recorded 20 pupae on lid tub-2: {run}" for run in ("m24 to m43", "m4 to m23")]
    ids = [line.split(",")[0] for line in world.read("pupae.csv").splitlines()[1:]]
    assert ids == [f"m{n}" for n in range(1, 44)]


SLOW_PLAN = """
import sys, time
from planner.planning import make_plan as season_plan
from cli_world import good_plan
def make_plan(season, on, *, progress, stop, **options):
    progress("started")
    end = time.monotonic() + 30
    while time.monotonic() < end and not (stop() and {obeys}):
        time.sleep(0.02)
    return good_plan()
season_plan.make_plan = make_plan
from planner.cli import main
main()
"""


def interrupted(*, obeys, times):
    code = SLOW_PLAN.format(obeys=obeys)
    path = os.pathsep.join([os.path.dirname(__file__), os.environ.get("PYTHONPATH", "")])  # noqa: PTH120
    child = subprocess.Popen(
        [sys.executable, "-u", "-c", code, "plan", "porch", "--on", ON],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, env={**os.environ, "PYTHONPATH": path},
    )  # fmt: skip
    assert child.stderr.readline() == b"... started\n"
    child.send_signal(signal.SIGINT)
    heard = child.stderr.readline()  # two at once would be one
    if times == 2:
        child.send_signal(signal.SIGINT)
    out, err = child.communicate(timeout=30)
    return child.returncode, out, (heard + err).decode()


@pytest.mark.skipif(os.name != "posix", reason="Ctrl-C is sent otherwise there")
def test_ctrl_c_keeps_the_best_plan_so_far(world):
    code, out, err = interrupted(obeys=True, times=1)
    assert (code, err) == (0, "stopping: the best plan so far is kept; Ctrl-C again gives up\n")
    assert b"Move 2 of 3 pupae now; 1 stays on its lid." in out
    assert (world.folder / "plan.yaml").exists()


@pytest.mark.skipif(os.name != "posix", reason="Ctrl-C is sent otherwise there")
def test_a_second_ctrl_c_gives_up_and_writes_nothing(world):
    code, out, err = interrupted(obeys=False, times=2)
    assert (code, out) == (130, b"")
    assert err == (
        "stopping: the best plan so far is kept; Ctrl-C again gives up\ngiven up: nothing was written\n"
    )
    assert not (world.folder / "plan.yaml").exists()


@pytest.mark.usefixtures("world")
def test_a_wrong_call_is_told_to_programs_as_json():
    done = run("plan", "porch", "--gap", "wide", "--json")
    assert (done.returncode, done.stderr) == (2, b"")
    assert b'"problems"' in done.stdout
    assert b"--gap" in done.stdout
