"""``outlook``: the weeks to come.

With ``--json``: ``{"spots": there are on the first day, "runs_out": day or null, "may_run_out": day or null,
"counted": text, "lacking": null or {"day", "mean", "most"}, "days": [{"day", "emerging", "arriving",
"needed", "needed_most", "spots", "free", "free_least"}, ...], "notes": [...], "assumption": text, "files":
[path, ...], "problems": []}``. ``emerging``, ``needed`` and ``free`` are means; ``needed_most`` and
``free_least`` hold with a chance of 0.9 for each day.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.shell.options import (
    Json,
    On,
    Output,
    SeasonFolder,
    check_on,
    moment,
    output_file,
    still_there,
)
from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import command, usage
from planner.draw.paper.formats import FORMATS

MOST_DAYS = 120


@command
def outlook(
    folder: SeasonFolder = Path(),
    days: Annotated[int, typer.Option(metavar="N", help="How many days, today included.")] = 21,
    output: Output = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Show the weeks to come: emergences, and room for the expected.

    Example: hangplan outlook porch --days 28 -o outlook.png

    More: hangplan outlook; hangplan outlook --days 60.

    -o draws it instead: .png, .svg or .pdf. Next: hangplan plan.
    """
    check_on(on)
    if not 1 <= days <= MOST_DAYS:
        usage(f"--days: {days}: allowed is 1 to {MOST_DAYS}")
    path, fmt = (None, "") if output is None else output_file(output, output, FORMATS)
    season = open_season(folder)
    now = moment(on, season)

    from planner.cli.answers.outlook import answer

    answer(season, now, still_there(on, now, season), days, path, fmt, json_form=json_form)
