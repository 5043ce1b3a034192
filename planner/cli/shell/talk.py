"""What a command says: results on stdout, talk on stderr, in whatever letters the terminal has."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterable, Sequence
from contextvars import copy_context
from functools import wraps
from pathlib import Path
from typing import Any, NoReturn, ParamSpec, TextIO

import typer

from planner.cli.shell.interrupts import Stopped, answered, stoppable
from planner.cli.shell.terminal import is_terminal
from planner.record.refusal import DONE, FAULTY, STOPPED, USAGE, Refused
from planner.report.texts.sheet import Block, Sheet, Words
from planner.season.plan import plan_file
from planner.season.reading.problems import FaultyFiles, Problem, equal_lines_once
from planner.season.reading.told_dates import tell_dates_as
from planner.season.reading.told_words import in_keepers_words, tell_pupae_as
from planner.season.reading.typed_dates import style_of
from planner.season.store import StoreError, written
from planner.words import Advised

P = ParamSpec("P")
_PLAIN = str.maketrans({"×": "x", "–": "-", "—": "-", "−": "-", "→": "->", "…": "...", "°": "", "·": "-"})


def usage(what: str) -> NoReturn:
    """Refuse how the command was called."""
    raise Refused([what], USAGE)


def command(function: Callable[P, int | None]) -> Callable[P, None]:
    """Make a command out of a function that returns its exit code and refuses by raising.

    Every refusal comes out as lines on stderr or, with ``--json``, as ``{"problems": [...]}`` on stdout, each
    with ``file`` (null: the command line), ``line``, ``column`` (0: not in one line), ``where``, ``what``.
    """

    @wraps(function)
    def run(*args: P.args, **kwargs: P.kwargs) -> None:
        with answered():
            code = copy_context().run(lambda: _run(function, *args, **kwargs))
        raise typer.Exit(code)

    return run


def _run(function: Callable[P, int | None], *args: P.args, **kwargs: P.kwargs) -> int:
    """The exit code of a command, once all that stopped it is told."""
    json_form = bool(kwargs.get("json_form"))
    written.forget()
    tell_dates_as(style_of(os.environ))  # till a season is read that says otherwise
    tell_pupae_as(None)
    try:
        with stoppable():
            return function(*args, **kwargs) or DONE
    except FaultyFiles as e:
        code = _refuse(e.problems if json_form else e.told(), FAULTY, json_form)
        # What cannot be read at all cannot be replaced either.
        if not json_form and all(p.file == plan_file.FILE and not _unread(p) for p in e.problems):
            tell(f"'hangplan plan' makes {plan_file.FILE} anew")
    except StoreError as e:
        code = _refuse([str(e).removeprefix(".: ")], FAULTY, json_form)  # the folder one stands in
    except Refused as e:
        code = _refuse(e.problems, e.code, json_form)
    except Stopped:
        what = "stopped: a change is written wholly or not at all; 'hangplan check' tells what stands"
        code = _refuse([what], STOPPED, json_form)
    except MemoryError:
        what = "there is not enough memory: close other programs and try again"
        code = _refuse([what], FAULTY, json_form)
    except OSError as e:
        code = _refuse([f"{e.filename or 'output'}: {e.strerror or e}"], FAULTY, json_form)
    except ImportError as e:
        what = "close other programs, or install hangplan again"
        code = _refuse([f"a part of hangplan cannot be loaded ({e}): {what}"], FAULTY, json_form)
    return _after_all(code)


def _unread(problem: Problem) -> bool:
    return problem.what.startswith("cannot be read")


def _after_all(code: int) -> int:
    """The exit code of a command that failed after it had recorded something, which is told.

    It is that of success, or whoever repeats it records it twice. A plan may be repeated, and its exit code
    says whether it is good.
    """
    changes = written.changes()
    if not changes:
        return code
    tell(stands(changes))
    return DONE if code == FAULTY and changes != ["plan"] else code


def stands(changes: Sequence[str]) -> str:
    """``'add m4 to m6' is done: do not repeat it``."""
    done = " and ".join(f"'{what}'" for what in changes)
    return f"{done} {'is' if len(changes) == 1 else 'are'} done: do not repeat it"


def _refuse(problems: Iterable[Problem | Advised | str], code: int, json_form: bool) -> int:
    if json_form:
        show_json({"problems": [problem_json(p) for p in problems]})
    else:
        for text in equal_lines_once(map(str, problems)):
            tell(text)
    return code


def problem_json(problem: Problem | Advised | str) -> dict[str, Any]:
    """One problem for programs; ``matter``: what is the matter, without what is typed against it."""
    if isinstance(problem, Advised):
        return problem_json(str(problem)) | {"matter": problem.what}
    if isinstance(problem, str):
        return {"file": None, "line": 0, "column": 0, "where": "", "what": problem}
    names = ("file", "line", "column", "where", "what")
    return {name: getattr(problem, name) for name in names}


def show(what: str | Block | Sheet) -> None:
    """Print a result."""
    _print(what, sys.stdout)


def show_paragraph(text: str, hang: str = "  ") -> None:
    """Print a result that may need several rows, all but the first after ``hang``."""
    _print(_paragraph(text, hang), sys.stdout)


def show_notes(notes: Iterable[str]) -> None:
    """Print what is allowed but should be known."""
    for note in notes:
        show_paragraph(f"note: {note}")


def show_json(data: dict[str, Any]) -> None:
    """Print a result for programs: ASCII only, so that no terminal or pipe can spoil it."""
    sys.stdout.write(json.dumps(data, indent=1) + "\n")


def tell(what: str | Block) -> None:
    """Say something beside the result."""
    _print(what, sys.stderr)


def tell_paragraph(text: str, hang: str = "  ") -> None:
    """The same in several rows, all but the first after ``hang``."""
    _print(_paragraph(text, hang), sys.stderr)


def _paragraph(text: str, hang: str) -> Block:
    return Words(text, hang=hang)


def _print(what: str | Block | Sheet, stream: TextIO) -> None:
    def clean(text: str) -> str:
        return fitting(_printable(text), stream.encoding or "ascii")

    if is_terminal(stream):
        from planner.cli.shell.terminal_sheet import lay_out  # rich: only where a person watches

        lay_out(what, stream, clean)
    else:
        text = in_keepers_words(what) if isinstance(what, str) else str(what)
        stream.write(clean(text.rstrip("\n")) + "\n")


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() or c in "\n\t" else "\N{REPLACEMENT CHARACTER}" for c in text)


def fitting(text: str, encoding: str) -> str:
    """Replace letters that an encoding lacks: our own signs by plain ones, a keeper's by their codes.

    Not by letters that look alike, for two names must stay two.
    """
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return "".join(_fitting_letter(c, encoding) for c in text)
    return text


def _fitting_letter(letter: str, encoding: str) -> str:
    try:
        letter.encode(encoding)
    except UnicodeEncodeError:
        return letter.translate(_PLAIN).encode("ascii", "backslashreplace").decode()
    return letter


def shown(path: Path) -> str:
    """A path as short as it can be said from here."""
    try:
        return str(path.resolve().relative_to(Path.cwd()))
    except (ValueError, OSError):
        return str(path)
