"""Data flows one way through the house; read from the imports that stand in the source."""

from __future__ import annotations

import ast
import sys
from functools import cache
from pathlib import Path

from planner.cli.app import COMMANDS

ROOT = Path(__file__).parent.parent / "planner"
ENGINE = {"engine.model", "engine.antibandwidth", "engine.search", "engine.secondary", "engine.explain"}
ENGINE |= {"engine"}
SEASON = {
    "season",
    "season.reading",
    "season.pupae",
    "season.places",
    "season.lists",
    "season.logger",
    "season.store",
    "season.plan",
}
DATA = {*SEASON, "emergence", "rack"}
PLANNING = {"planning.problem", "planning.moves", "planning.objectives", "planning"}
DRAW = {"draw.paper", "draw.tags", "draw.map", "draw.sheets", "draw"}
REPORT = {"report.texts", "report.page", "report"}
# What each package may import of the others, each sub-package for itself; itself always. Read from top to
# bottom: nothing imports what stands below it.
MAY_IMPORT: dict[str, set[str]] = {
    # what the keeper wrote
    "season.reading": set(),
    "season.pupae": {"season.reading"},
    "season.places": {"season.reading", "season.pupae"},
    "season.lists": {"season.reading", "season.pupae", "season.places"},
    "season.logger": {"season.reading"},
    "season.store": {"season.reading"},
    "season.plan": {"season.reading", "season.places", "season.store"},
    "season": SEASON - {"season"},
    "emergence": {*SEASON},
    "rack": {*SEASON, "emergence"},
    "words": {*SEASON},  # how numbers, days and names are told, on every kind of output
    "section": set(),  # a titled table of a report, on every kind of output
    "style": set(),  # colours and type sizes, for whatever is drawn or printed
    # the engine: nothing of seasons, emergence or racks
    "engine.model": set(),
    "engine.antibandwidth": {"engine.model"},
    "engine.search": {"engine.model", "engine.antibandwidth"},
    "engine.secondary": {"engine.model", "engine.search"},
    "engine.explain": {"engine.model", "engine.search"},
    "engine": ENGINE,
    "planner": {"engine"},  # planner/__init__.py offers arrange
    # a season's plan
    "planning.problem": {*DATA, "engine.model"},
    "planning.moves": {*DATA, "engine.model", "engine.search", "planning.problem"},
    "planning.objectives": {*DATA, "engine.model", "engine.search", "engine.secondary", "planning.problem"},
    "planning": {*DATA, *ENGINE, *PLANNING},
    "planning.infeasible": {*DATA, *ENGINE, *PLANNING},
    "verify": {*SEASON, "emergence"},  # nothing of those who make what it judges
    # from records and plans to what a keeper sees
    "follow": {*DATA, "verify", "words"},
    "record": {*DATA, "words", "follow", "verify"},
    "report.texts": {*DATA, "follow", "words", "section"},
    "report.page": {*DATA, "follow", "report.texts", "words", "style", "planner"},
    "report": {*DATA, "follow", "report.texts", "words"},
    "draw": {*SEASON, "rack", "words"},
    "draw.paper": {*SEASON, "words", "style", "draw"},
    "draw.tags": {*SEASON, "words", "style", "draw", "draw.paper"},
    "draw.map": {*SEASON, "rack", "words", "style", "draw", "draw.paper"},
    "draw.sheets": {*SEASON, "words", "section", "style", "draw", "draw.paper", "draw.tags", "draw.map"},
    "cli.shell": {
        *SEASON,
        "emergence",
        "verify",
        "words",
        "follow",
        "record",
        "report.texts",
        "planner",
        "draw.paper",
    },
    "cli.answers": {*DATA, "follow", "verify", "record", *REPORT, *DRAW, "words", "section", "cli.shell"},
    # a second skin beside the command line: it opens seasons as that does, and calls it for what takes long
    "serve": {*SEASON, "emergence", "words", "record", "report.page", "planner", "cli.shell", "cli.answers"},
    "cli": {*DATA, *ENGINE, *PLANNING, "planning.infeasible", "verify", "record", "follow", *REPORT, *DRAW}
    | {"words", "section", "style", "planner", "cli.shell", "cli.answers", "serve"},
    "__main__": {"cli"},
}
# The only parts that may import a library that is slow to load or belongs to one job.
ONLY_IN = {
    "ortools": {"engine"},
    "pandas": {"engine"},  # once, to put it off: OR-Tools brings it
    "networkx": {"rack", "engine", "planning"},
    "matplotlib": {"draw"},
    "PIL": {"draw"},
    "segno": {"draw", "serve"},
    "typer": {"cli"},
    "rich": {"cli", "report"},
    "filelock": {"season"},
    "icalendar": {"report"},
    "jinja2": {"report", "serve"},
    "starlette": {"serve"},
    "uvicorn": {"serve"},
    "yaml": {"season"},
}
# What the package may import at all, beside the standard library: its dependencies.
ALLOWED = {*ONLY_IN, "numpy"}
# What the command line imports within functions, beside its commands: most calls do without it.
LATE = {
    "cli": {"planner.cli.app", "planner.cli.answers.plan_store"},  # once streams and Ctrl-C are looked after
    "cli.shell.streams": {"planner.cli.shell.talk", "planner.season.store.written"},  # loaded before all else
    "cli.shell.talk": {"planner.cli.shell.terminal_sheet"},  # rich
    "cli.answers.learn": {"planner.cli.answers.learned_plot"},  # matplotlib, with -o
    "cli.answers.mark": {"planner.record.beside_sick"},  # networkx, where one was sick
    "cli.answers.outlook": {"planner.draw.sheets.outlook"},  # matplotlib, with -o
    "cli.answers.today": {
        "planner.cli.answers.paper",
        "planner.draw.sheets.day_sheet",
    },  # matplotlib, with -o
}
FILES = sorted(ROOT.rglob("*.py"))


def module_of(path: Path) -> str:
    """Full name: ``planner.engine.model.solver``."""
    return ".".join(("planner", *path.relative_to(ROOT).with_suffix("").parts)).removesuffix(".__init__")


MODULES = {module_of(path): path for path in FILES}


def package_of(module: str) -> str:
    """The package of ``MAY_IMPORT`` that a full name belongs to: the innermost one that is listed."""
    name = module.removeprefix("planner").lstrip(".")
    while name and name not in MAY_IMPORT:
        name = name.rpartition(".")[0]
    return name or "planner"


@cache  # several tests ask for each file
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def imported(path: Path, part: ast.AST | None = None) -> list[str]:
    """Full names of all modules imported anywhere in a file or in a part of it.

    Functions and type checks are included.
    """
    found = []
    for node in ast.walk(part or parsed(path)):
        if isinstance(node, ast.Import):
            found += [name.name for name in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: a relative import"
            found += [f"{node.module}.{name.name}" for name in node.names]
    return found


def own(path: Path) -> set[str]:
    """Which of our modules a file imports."""
    found = set()
    for name in imported(path):
        if name.split(".")[0] == "planner":
            found.add(name if name in MODULES else name.rpartition(".")[0])
    if path == ROOT / "cli" / "app.py":
        found |= {f"planner.cli.{name}" for name in COMMANDS}  # loaded by name when they are called
    return found


def within_functions(path: Path) -> dict[str, set[str]]:
    """What each function at the top of a file imports of ours within."""
    found = {}
    for top in parsed(path).body:
        if isinstance(top, ast.FunctionDef | ast.ClassDef):
            names = {name for name in imported(path, top) if name.startswith("planner.")}
            if names:
                found[top.name] = {n if n in MODULES else n.rpartition(".")[0] for n in names}
    return found


def circles(uses: dict[str, set[str]]) -> set[str]:
    """What is left when all that need nothing but what was taken away before are taken away."""
    left = {name: set(needed) - {name} for name, needed in uses.items()}
    while free := {name for name, needed in left.items() if not needed & set(left)}:
        left = {name: needed for name, needed in left.items() if name not in free}
    return set(left)


def test_every_package_has_its_place_in_the_order():
    assert {package_of(module) for module in MODULES} == set(MAY_IMPORT)
    folders = {module_of(path.parent / "__init__.py").removeprefix("planner.") for path in FILES}
    assert folders - {"planner"} <= set(MAY_IMPORT)


def test_a_file_imports_only_what_stands_before_it():
    wrong = {
        (module, other)
        for module, path in MODULES.items()
        for other in own(path)
        if package_of(other) not in MAY_IMPORT[package_of(module)] | {package_of(module)}
    }
    assert wrong == set()


def test_the_order_has_no_circle():
    assert circles(MAY_IMPORT) == set()


def test_no_modules_import_one_another():
    assert circles({module: own(path) & set(MODULES) for module, path in MODULES.items()}) == set()


def test_a_circle_of_imports_is_seen():
    assert circles({"a": {"b"}, "b": {"c"}, "c": {"b"}, "d": {"a", "d"}, "e": set()}) == {"a", "b", "c", "d"}


def test_a_library_is_imported_only_where_it_belongs():
    wrong = set()
    for module, path in MODULES.items():
        part = package_of(module).split(".")[0]
        for full in imported(path):
            name = full.split(".")[0]
            if name in sys.stdlib_module_names or name == "planner":
                continue
            if name not in ALLOWED or part not in ONLY_IN.get(name, {part}):
                wrong.add((module, full))
    assert wrong == set()


def test_a_command_imports_what_it_works_with_once_its_call_is_understood():
    # plan besides: solver, reasons and map are loaded where a Ctrl-C or a lack of memory can be answered
    more = {"plan": {"_search", "_explain", "_load_drawing"}}
    for name in COMMANDS:
        late = within_functions(ROOT / "cli" / f"{name}.py").keys()
        assert late - {name, f"{name}_"} == more.get(name, set()), name


def test_elsewhere_in_the_command_line_and_its_rules_imports_stand_at_the_top():
    commands = {f"planner.cli.{name}" for name in COMMANDS}
    late = {
        module.removeprefix("planner."): set().union(*within_functions(path).values())
        for module, path in MODULES.items()
        if package_of(module).split(".")[0] in ("cli", "record", "follow") and module not in commands
    }
    assert {module: found for module, found in late.items() if found} == LATE


def test_no_module_is_imported_behind_the_back_of_these_tests():
    wrong = set()
    for module, path in MODULES.items():
        tree = parsed(path)
        names = {n.id for n in ast.walk(tree) if isinstance(n, ast.Name)}
        names |= {n.attr for n in ast.walk(tree) if isinstance(n, ast.Attribute)}
        if names & {"__import__", "import_module", "resolve_name"}:
            wrong.add(module)
    assert wrong == {"planner.cli.app"}  # it loads the commands, and those only: see own


def test_each_command_is_a_file_of_its_name():
    files = {path.stem for path in (ROOT / "cli").glob("*.py")} - {"__init__", "app"}
    assert set(COMMANDS) == files


def test_the_commands_count_as_imports_of_the_application():
    assert {f"planner.cli.{name}" for name in COMMANDS} <= own(ROOT / "cli" / "app.py")


def test_these_tests_see_an_import_within_a_function(tmp_path):
    file = tmp_path / "some.py"
    file.write_text("def f():\n    from planner.engine.arrange import arrange\n    import ortools.sat\n")
    assert imported(file) == ["planner.engine.arrange.arrange", "ortools.sat"]
    assert own(file) == {"planner.engine.arrange"}
    assert package_of("planner.engine.arrange") == "engine"
    assert package_of("planner.engine.model.solver") == "engine.model"
    assert package_of("planner.words") == "words"
    assert package_of("planner") == "planner"


def test_the_verifier_asks_of_a_place_nothing_but_what_was_written_down():
    said = {"marks", "point", "tidy", "recorded", "taken", "no_card", "longer", "stand", "outline", "extent"}
    said |= {"stacked", "pitch", "slides", "meant", "clip_room", "offers_spots"}
    asked = {
        (path.name, node.attr)
        for path in (ROOT / "verify").glob("*.py")
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Attribute) and node.attr in said
    }
    assert asked == set()
