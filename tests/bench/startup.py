"""How long commands take to start, as ratios to a Python that does nothing: run by hand, a minute.

Processor time of the process, the least of some runs, each in turn so that other work falls on all alike. The
season is a fresh copy each time. Our modules are compiled once before, as after any first call.
"""

from __future__ import annotations

import argparse
import os
import resource
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ON = ("--on", "2027-07-05")
PUPAE = "id,pupated,place,x,y\n" + "".join(
    f"m{n},2027-07-0{1 + n % 3},tub-1,{n},{n % 7}\n" for n in range(1, 21)
)
EXPECTED = "expected:\n  - {pupating: 2027-07-05, count: 3}\n"  # the plan keeps spots for them
TYPER = """
import typer
app = typer.Typer(rich_markup_mode=None)
@app.command()
def one(n: int = 1): pass
@app.command()
def two(n: int = 1): pass
app(["one"])
"""
COMMANDS = {
    "--help": ("--help",),
    "add --help": ("add", "--help"),
    "new": ("new", "{folder}/another"),
    "add": ("add", "3", "tub-2", "{season}", *ON),
    "mark": ("mark", "m1", "darkening", "{season}", *ON),
    "done": ("done", "m1", "{season}", *ON),
    "check": ("check", "{season}", *ON),
    "today": ("today", "{season}", *ON),
    "outlook": ("outlook", "{season}", *ON),
    "undo --list": ("undo", "{season}", "--list"),
}


def seconds(call: list[str], folder: Path) -> float:
    """Processor time of one process."""
    shutil.rmtree(folder / "another", ignore_errors=True)
    shutil.rmtree(folder / "season", ignore_errors=True)
    shutil.copytree(folder / "planned", folder / "season")
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(call, capture_output=True, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=10)
    runs = parser.parse_args().runs
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["PYTHONPYCACHEPREFIX"] = str(folder / "compiled")
        season, planned = folder / "season", folder / "planned"
        hangplan = [sys.executable, "-m", "planner"]
        subprocess.run([*hangplan, "new", str(planned)], capture_output=True, check=True)
        with (planned / "season.yaml").open("a") as settings:
            settings.write(EXPECTED)
        (planned / "pupae.csv").write_text(PUPAE)
        subprocess.run([*hangplan, "plan", str(planned), *ON], capture_output=True, check=True)
        assert "\nkept:\n" in (planned / "plan.yaml").read_text()
        calls = {
            "python, nothing": [sys.executable, "-c", "pass"],
            "import typer, yaml": [sys.executable, "-c", "import typer, yaml"],
            "typer, two empty commands": [sys.executable, "-c", TYPER],
            "import numpy": [sys.executable, "-c", "import numpy"],
        }
        for label, words in COMMANDS.items():
            args = [w.format(folder=folder, season=season) for w in words]
            calls[f"hangplan {label}"] = [*hangplan, *args]
        least = dict.fromkeys(calls, float("inf"))
        for _ in range(runs):
            for label, call in calls.items():
                least[label] = min(least[label], seconds(call, folder))
    nothing, typer = least["python, nothing"], least["import typer, yaml"]
    print("| call | of python, nothing | of import typer, yaml |\n|---|---|---|")
    for label, found in least.items():
        print(f"| {label} | {found / nothing:.1f} | {found / typer:.2f} |")


if __name__ == "__main__":
    main()
