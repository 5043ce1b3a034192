"""Data flows one way through the house; read from the imports that stand in the source."""

from __future__ import annotations

import ast
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent / "planner"
# What each part may import of the others; itself always.
MAY_IMPORT = {
    "season": set(),
    "emergence": {"season"},
    "rack": {"season", "emergence"},
    "plan": {"season", "emergence", "rack"},
    "verify": {"season", "emergence"},  # nothing of those who make what it judges
    "style": set(),  # colours and type sizes, for whatever is drawn or printed
    "draw": {"season", "emergence", "rack", "style"},
    "report": {"season", "emergence", "rack", "style"},
    "cli": {"season", "emergence", "rack", "plan", "verify", "draw", "report", "style", "planner"},
    "planner": {"plan"},  # planner/__init__.py offers arrange
    "__main__": {"cli"},
}
# The only parts that may import a library that is slow to load or belongs to one job.
ONLY_IN = {
    "ortools": {"plan"},
    "networkx": {"rack", "plan"},
    "matplotlib": {"draw"},
    "segno": {"draw"},
    "typer": {"cli"},
    "rich": {"cli"},
    "filelock": {"season"},
    "icalendar": {"report"},
    "jinja2": {"report"},
    "yaml": {"season", "emergence"},
}
# What the package may import at all, beside the standard library: its dependencies.
ALLOWED = {*ONLY_IN, "numpy"}
FILES = sorted(ROOT.rglob("*.py"))


def part_of(path: Path) -> str:
    """``season``, ``plan`` …; ``verify.py`` and the files named after it are one part."""
    first = path.relative_to(ROOT).parts[0].removesuffix(".py")
    if first == "__init__":
        return "planner"
    return "verify" if first.startswith("verify") else first


def imported(path: Path) -> list[str]:
    """Full names of all modules imported anywhere in a file, functions and type checks included."""
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [name.name for name in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: a relative import"
            found += [f"{node.module}.{name.name}" for name in node.names]
    return found


def own_part(module: str) -> str:
    """The part of the package a full name belongs to: ``planner.season.places.Lid`` → ``season``."""
    name = module.split(".")[1] if "." in module else "planner"
    if name.startswith("verify"):
        return "verify"
    return name if name in MAY_IMPORT else "planner"


def test_every_part_of_the_package_has_its_place_in_the_order():
    assert {part_of(f) for f in FILES} <= set(MAY_IMPORT)
    assert {part_of(f) for f in FILES} >= {
        "season",
        "emergence",
        "rack",
        "plan",
        "verify",
        "draw",
        "report",
        "cli",
    }


def name_of(path: Path) -> str:
    return str(path.relative_to(ROOT))


def test_a_file_imports_only_what_stands_before_it():
    wrong = {
        (name_of(path), module)
        for path in FILES
        for module in imported(path)
        if module.split(".")[0] == "planner"
        and own_part(module) not in MAY_IMPORT[part_of(path)] | {part_of(path)}
    }
    assert wrong == set()


def test_a_library_is_imported_only_where_it_belongs():
    wrong = set()
    for path in FILES:
        for module in imported(path):
            name = module.split(".")[0]
            if name in sys.stdlib_module_names or name == "planner":
                continue
            if name not in ALLOWED or part_of(path) not in ONLY_IN.get(name, {part_of(path)}):
                wrong.add((name_of(path), module))
    assert wrong == set()


def test_no_module_is_imported_behind_the_back_of_these_tests():
    wrong = set()
    for path in FILES:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        names = {n.id for n in ast.walk(tree) if isinstance(n, ast.Name)}
        names |= {n.attr for n in ast.walk(tree) if isinstance(n, ast.Attribute)}
        if names & {"__import__", "import_module"}:
            wrong.add(name_of(path))
    assert wrong == set()


def test_the_order_has_no_circle():
    order = {part: set(uses) for part, uses in MAY_IMPORT.items()}
    while order:
        free = {part for part, uses in order.items() if not uses & set(order) - {part}}
        assert free, f"these need one another: {sorted(order)}"
        order = {part: uses for part, uses in order.items() if part not in free}


def test_these_tests_see_an_import_within_a_function(tmp_path):
    file = tmp_path / "some.py"
    file.write_text("def f():\n    from planner.plan.arrange import arrange\n    import ortools.sat\n")
    assert imported(file) == ["planner.plan.arrange.arrange", "ortools.sat"]
    assert own_part("planner.plan.arrange.arrange") == "plan"
    assert own_part("planner.verify_case.Case") == "verify"
    assert own_part("planner.arrange") == "planner"
