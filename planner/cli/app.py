"""All commands in one application."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from planner import __version__
from planner.cli.add import add
from planner.cli.calendar import calendar
from planner.cli.check import check
from planner.cli.done import done
from planner.cli.drawings import map_, tags
from planner.cli.learn import learn
from planner.cli.lids import lids
from planner.cli.mark import mark
from planner.cli.new import new
from planner.cli.outlook import outlook
from planner.cli.page import page
from planner.cli.plan import plan
from planner.cli.shell.streams import end
from planner.cli.shell.talk import problem_json, show, show_json
from planner.cli.today import today
from planner.cli.undo import undo
from planner.record.refusal import USAGE

_UsageError: Any = typer.BadParameter.__base__  # what every fault of a call is; typer has no name of its own


class _Group(TyperGroup):
    """Commands in the order of a season, and with ``--json`` even a wrong call answered as JSON."""

    def main(self, args: Sequence[str] | None = None, *more: Any, **extra: Any) -> Any:
        words = sys.argv[1:] if args is None else list(args)
        if "--json" not in words:
            return super().main(args, *more, **extra)
        try:
            code = super().main(args, *more, **{**extra, "standalone_mode": False})
        except _UsageError as e:
            show_json({"problems": [problem_json(e.format_message())]})
            code = USAGE
        sys.exit(code)


# No rich: it would take brackets in a keeper's names for markup, and time to start.
app = typer.Typer(
    name="hangplan",
    cls=_Group,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    no_args_is_help=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
)


def _version(wanted: bool) -> None:
    if wanted:
        show(f"hangplan {__version__}")
        raise typer.Exit


@app.callback()
def hangplan(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Plan where butterfly pupae hang, so that neighbours emerge on different days.

    A season is a folder: hangplan new porch makes one, hangplan plan porch plans it. Commands take the folder
    you stand in unless one is named. They end with 0 done, 1 faulty data or plan, 2 wrong call, 3 proved
    impossible without clashes, 4 clashes left and not proved in time that they must be.
    """


COMMANDS: dict[str, Callable[..., None]] = {
    "new": new,
    "add": add,
    "plan": plan,
    "done": done,
    "mark": mark,
    "today": today,
    "outlook": outlook,
    "calendar": calendar,
    "learn": learn,
    "check": check,
    "map": map_,
    "lids": lids,
    "tags": tags,
    "undo": undo,
    "page": page,
}
for name, function in COMMANDS.items():
    app.command(name)(function)


def run() -> None:
    """Run the command line; an answer that cannot be shown never stops it."""
    try:
        app(prog_name="hangplan")
        code = 0
    except SystemExit as e:
        code = e.code if isinstance(e.code, int) else int(e.code is not None)
    sys.exit(end(code))
