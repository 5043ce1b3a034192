"""The season among the words of a call: ``tags m2 tub-1 porch``."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from planner.cli.shell.chosen_season import taken_season
from planner.cli.shell.talk import usage
from planner.season import settings


def season_apart(command: str, words: Sequence[str], option: Path | None) -> tuple[list[str], Path]:
    """The words without the season, and its folder: the last word if that is one, else ``--season``.

    Where neither names one it is the season one stands in, or the one chosen with ``use``.
    """
    names = list(words)
    if names and ("/" in names[-1] or (Path(names[-1]) / settings.FILE).exists()):
        folder = Path(names.pop())
        if option is not None:
            usage(f"--season: the season is named twice: {folder} and {option}")
    else:
        folder = option or taken_season()
    for i, name in enumerate(names):
        if (Path(name) / settings.FILE).exists():
            rest = " ".join([*names[:i], *names[i + 1 :], name])
            usage(f"{name} is a season: here it is named last, hangplan {command} {rest}")
    return names, folder
