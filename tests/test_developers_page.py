"""What DEVELOPERS.md and docs/model.md name is there."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PAGES = ["DEVELOPERS.md", "docs/model.md"]


def defined(path):
    """Names of all functions and classes of a file, methods as ``Class.method`` too."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ClassDef):
            found |= {f"{node.name}.{one.name}" for one in node.body if isinstance(one, ast.FunctionDef)}
        if isinstance(node, ast.ClassDef | ast.FunctionDef):
            found.add(node.name)
    return found


@pytest.mark.parametrize("page", PAGES)
def test_each_file_and_function_that_is_named_is_there(page):
    text = (ROOT / page).read_text(encoding="utf-8")
    named = re.findall(r"`((?:\w+/)+\w+\.py)(?::([\w.]+))?`", text)
    assert named
    for file, function in named:
        path = next((p for p in (ROOT / file, ROOT / "planner" / file) if p.is_file()), None)
        assert path, file
        assert not function or function in defined(path), (file, function)


def test_each_folder_of_the_house_is_listed():
    house = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("## The house")[1].split("## ")[0]
    folders = {p.parent.name for p in (ROOT / "planner").glob("*/**/__init__.py")}
    assert {name for name in folders if f"{name}/" not in house} == set()
