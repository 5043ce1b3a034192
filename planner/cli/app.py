"""All commands in one application; only the one that is called is loaded."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Annotated, Any

import typer
from typer.core import TyperCommand, TyperGroup

from planner import __version__
from planner.cli.shell.streams import end
from planner.cli.shell.talk import problem_json, show, show_json
from planner.cli.shell.typed_words import taken_as_typed
from planner.record.refusal import USAGE

_UsageError: Any = typer.BadParameter.__base__  # what every fault of a call is; typer has no name of its own

# In the order of a season, each with the first line of its help: --help and completion load no command.
COMMANDS = {
    "new": "Write a season to start from, with a comment on each setting.",
    "use": "Choose the season that commands take wherever you stand in none.",
    "add": "Record pupae that have formed on a lid.",
    "plan": "Plan where each pupa hangs, and in which order to move them.",
    "done": "Record which moves of the plan were carried out.",
    "mark": "Record what pupae have done.",
    "take": "Record what a phone wrote down at the rack.",
    "today": "Show the day sheet: due, overdue, to be moved, not to touch.",
    "outlook": "Show the weeks to come: emergences, and room for the expected.",
    "calendar": "Write the days to come as iCalendar: who is due, who darkens.",
    "learn": "Compare forecasts with records; show how long it takes here.",
    "check": "Check all files of a season, and the plan in force against them.",
    "map": "Draw the rack to scale, with a date tag at every spot.",
    "lids": "Draw each lid from above: who goes in which step, who stays.",
    "tags": "Make tags to print and cut out, true to the millimetre.",
    "watch": "Draw cards to colour day by day for a class, and its tally.",
    "undo": "Take back the last change to the season's files.",
    "page": "Write one page for a phone: the rack, day by day.",
    "serve": "Open a season in the browser; with --lan on phones too.",
}


def load(name: str) -> Any:
    """The command of that name: the function of the same name in the file of the same name.

    An underscore behind it keeps a function from hiding one of Python's own.
    """
    module = import_module(f"planner.cli.{name}")
    alone = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)
    alone.command(name, cls=_Command)(getattr(module, name, None) or getattr(module, f"{name}_"))
    return typer.main.get_command(alone)


class _Command(TyperCommand):
    """A command with no more validators than its call needs."""

    def get_params(self, ctx: Any) -> list[Any]:
        """Its arguments and options, that for help among them."""
        return taken_as_typed(super().get_params(ctx))


class LazyGroup(TyperGroup):
    """Commands that are loaded when called; with ``--json`` even a wrong call is answered as JSON."""

    def __init__(self, **settings: Any):
        super().__init__(**settings)
        self.commands = {name: TyperCommand(name, help=first) for name, first in COMMANDS.items()}

    def get_params(self, ctx: Any) -> list[Any]:
        """Its options, that for help among them."""
        return taken_as_typed(super().get_params(ctx))

    def resolve_command(self, ctx: Any, args: list[str]) -> tuple[str | None, Any, list[str]]:
        """The command that is called, loaded, and the words that are left to it."""
        name, found, rest = super().resolve_command(ctx, args)
        return name, None if name is None or found is None else load(name), rest

    def main(self, args: Sequence[str] | None = None, *more: Any, **extra: Any) -> Any:
        """Run the command line."""
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
    cls=LazyGroup,
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
    you stand in unless one is named; where that is no season, the one chosen with hangplan use. They end with
    0 done, 1 faulty data or plan, 2 wrong call, 3 proved impossible without clashes, 4 clashes left and not
    proved in time that they must be.
    """


def run() -> None:
    """Run the command line; an answer that cannot be shown never stops it."""
    try:
        app(prog_name="hangplan")
        code = 0
    except SystemExit as e:
        code = e.code if isinstance(e.code, int) else int(e.code is not None)
    sys.exit(end(code))
