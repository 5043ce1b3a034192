"""What the pages show is true: every command of a ``console`` block is run, its output compared.

In such a block ``$`` begins a command, ``...`` stands for lines left out. A block behind
``<!-- file: NAME -->`` is written to that file first. Commands run one after another, page by page, in a
folder that holds the examples.
"""

import doctest
import importlib.util
import os
import re
import shlex
import shutil
import tomllib
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

import matplotlib.image
import numpy as np
import pytest
from typer.testing import CliRunner

from planner.cli.app import COMMANDS, app
from planner.emergence.profiles import STATUSES, VALUES

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted(DOCS.glob("*.md"))]
README = PAGES[0].read_text(encoding="utf-8")
_BLOCK = re.compile(r"^(?:<!-- (?P<mark>[^\n]+) -->\n)?```(?P<kind>\w+)\n(?P<text>.*?)^```$", re.M | re.S)
# A spot in a row of moves, or where it was hung: which of several equally good ones is the solver's choice.
_TIE = re.compile(r"(?<=\s)\w+ (\d+(\.\d+)? (cm|in)|r\d+p\d+)\b")
_MOVE = re.compile(r" *\d+ +[a-z]\d+ |recorded: hung on ")


@dataclass(frozen=True)
class Block:
    """A fenced block of a page and the mark above it."""

    mark: str
    kind: str
    text: str


def blocks(page):
    return [Block(m["mark"] or "", m["kind"], m["text"]) for m in _BLOCK.finditer(page)]


def plain(line):
    """A line without what may differ from solver to solver."""
    return " ".join((_TIE.sub("SPOT", line) if _MOVE.match(line) else line).split())


def transcript(text):
    """Command and the chunks of output it is shown with; ``...`` parts the chunks."""
    for number, lines in groupby(numbered(text), key=lambda pair: pair[0]):
        first, *shown = (line for _, line in lines)
        assert number, f"output before the first command: {first}"
        chunks = [[]]
        for line in shown:
            if line == "...":
                chunks.append([])
            else:
                chunks[-1].append(plain(line))
        yield first.removeprefix("$ "), chunks


def numbered(text):
    number = 0
    for line in text.splitlines():
        number += line.startswith("$ ")
        yield number, line


def assert_shown(chunks, outputs, command):
    """Each chunk stands in one piece in an output, one after the other, the first at its beginning."""
    at = [0] * len(outputs)
    for k, chunk in enumerate(chunks):
        for n, output in enumerate(outputs):
            starts = range(at[n], len(output) - len(chunk) + 1)
            found = next((i for i in starts if output[i : i + len(chunk)] == chunk), None)
            if found is not None and (k or not chunk or found == 0):
                at[n] = found + len(chunk)
                break
        else:
            said = "\n".join(line for output in outputs for line in output)
            pytest.fail(f"'{command}' does not print\n" + "\n".join(chunk) + f"\nbut\n{said}", pytrace=False)


def run(command, chunks, last):
    """Run one command of a page and return its exit code."""
    words = shlex.split(command)
    if words == ["echo", "$?"]:
        assert chunks == [[str(last)]]
        return 0
    assert last == 0, f"exit code {last}, and the page does not say so, before '{command}'"
    if words[0] == "cd":
        os.chdir(words[1])
        return 0
    assert words[0] == "hangplan", f"the pages may call hangplan, cd and echo $? only, not '{command}'"
    result = CliRunner().invoke(app, words[1:], prog_name="hangplan")
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    outputs = [[plain(line) for line in text.splitlines()] for text in (result.stdout, result.stderr)]
    assert_shown(chunks, outputs, command)
    return result.exit_code


@pytest.fixture
def desk(tmp_path, monkeypatch):
    """Where a reader of the pages stands."""
    shutil.copytree(
        ROOT / "examples", tmp_path / "examples", ignore=shutil.ignore_patterns("out", "plan.yaml", ".*")
    )
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.name)
def test_every_command_of_a_page_prints_what_the_page_shows(page, desk):
    last = 0
    for block in blocks(page.read_text(encoding="utf-8")):
        if block.mark.startswith("file: "):
            path = desk / block.mark.removeprefix("file: ")
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(block.text, encoding="utf-8")
        elif block.kind == "console":
            for command, chunks in transcript(block.text):
                last = run(command, chunks, last)
    assert last == 0


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.name)
def test_every_python_example_of_a_page_answers_what_the_page_shows(page):
    parser, runner = doctest.DocTestParser(), doctest.DocTestRunner(verbose=False)
    for block in blocks(page.read_text(encoding="utf-8")):
        if block.kind == "python" and ">>>" in block.text:
            runner.run(parser.get_doctest(block.text, {}, page.name, str(page), 0))
    assert runner.summarize(verbose=False).failed == 0


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.name)
def test_every_link_and_picture_of_a_page_is_there(page):
    text = page.read_text(encoding="utf-8")
    local = [a for a in re.findall(r"\]\(([^)#\s]+)[^)]*\)", text) if "://" not in a]
    assert [a for a in local if not (page.parent / a).exists()] == []


def test_the_season_of_the_readme_has_ten_lines():
    yaml = next(b for b in blocks(README) if b.kind == "yaml")
    assert (yaml.mark, len(yaml.text.splitlines())) == ("file: window/season.yaml", 10)


def test_the_picture_was_made_from_the_season_that_the_readme_shows(desk):
    spec = importlib.util.spec_from_file_location("make_images", DOCS / "make_images.py")
    maker = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(maker)
    stored = maker.PICTURE.read_bytes()
    again = "run: python docs/make_images.py"
    assert f"Source\0{maker.digest(README)}".encode() in stored, again
    files, command = maker.sources(README)
    for name, text in files.items():
        (desk / name).parent.mkdir(exist_ok=True)
        (desk / name).write_text(text, encoding="utf-8")
    run(f"{command} -o map.png", [[]], 0)
    old, new = (coarse(path) for path in (maker.PICTURE, desk / "map.png"))
    assert old.shape == new.shape, again
    assert np.mean(np.abs(old - new) > 0.15) < 0.02, again


def coarse(path):
    """Grey squares of 16 pixels: the same whatever the library makes of a letter's edges."""
    grey = matplotlib.image.imread(path)[..., :3].mean(axis=2)
    high, wide = (size // 16 for size in grey.shape)
    return grey[: high * 16, : wide * 16].reshape(high, 16, wide, 16).mean(axis=(1, 3))


def test_the_two_commands_of_the_set_up_are_one_line_each_and_the_example_is_planned(desk):
    marked = {b.mark: b.text for b in blocks(README) if b.kind == "sh"}
    assert sorted(marked) == ["example", "tests"]
    *before, call = (part.strip() for part in marked["example"].split("&&"))
    assert before == ["python3 -m venv .venv", ".venv/bin/pip install ."]
    assert marked["tests"] == ".venv/bin/pip install '.[test]' && .venv/bin/pytest\n"
    assert run(call.removeprefix(".venv/bin/"), [[]], 0) == 0
    assert {p.name for p in (desk / "examples/porch/out").iterdir()} == {"map.png", "moves.txt"}


def test_every_command_stands_in_the_readme_or_the_pages_for_keepers():
    text = "".join(p.read_text(encoding="utf-8") for p in PAGES)
    missing = [name for name in COMMANDS if not re.search(rf"hangplan {name}\b", text)]
    assert missing == [], "show them in README.md or docs/"


# DEVELOPERS.md


def test_the_guide_says_of_each_dependency_why_it_is_there():
    guide = PAGES[1].read_text(encoding="utf-8")
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    needed = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    names = [re.split(r"[^\w-]", text)[0] for text in needed]
    assert [name for name in names if f"| {name} |" not in guide] == []


def test_the_guide_explains_every_status_of_a_value():
    guide = PAGES[1].read_text(encoding="utf-8")
    assert [s for s in STATUSES if f"| {s} |" not in guide] == []


def test_the_species_that_the_guide_adds_is_complete():
    import yaml

    from planner.emergence.profiles import _from_data

    guide = blocks(PAGES[1].read_text(encoding="utf-8"))
    block = next(b for b in guide if b.mark.startswith("new: planner/emergence/profiles/"))
    profile = _from_data("protenor", yaml.safe_load(block.text))
    assert set(profile.basis) == set(VALUES)
    assert {basis.status for basis in profile.basis.values()} <= set(STATUSES)
