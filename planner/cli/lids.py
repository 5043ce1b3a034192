"""``lids``: each lid from above, for the moment of taking down: who goes in which step, who stays.

With ``--json``: ``{"files": [path]}``.
"""

from __future__ import annotations

from pathlib import Path

from planner.cli.shell.options import (
    Json,
    On,
    Output,
    Paper,
    SeasonFolder,
    check_on,
    output_file,
    read_paper,
)
from planner.cli.shell.talk import command
from planner.draw.paper.formats import FORMATS
from planner.record.refusal import Refused
from planner.season.store import write_output


@command
def lids(
    folder: SeasonFolder = Path(),
    paper: Paper = None,
    output: Output = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Draw each lid from above: who goes in which step, who stays.

    Example: hangplan lids porch -o lids.pdf

    More: hangplan lids --paper Letter; hangplan lids -o lids.png (to look at on a screen).

    White numbers on black are the steps of the move list. The suffix chooses the format: .png, .svg or .pdf;
    without -o it is out/lids.pdf in the season's folder. Next: hangplan done, when they are moved.
    """
    check_on(on)
    size = read_paper(paper)
    path, fmt = output_file(output, folder / "out" / "lids.pdf", FORMATS)

    from planner.cli.answers.plan_on_paper import on_paper, open_verified, wrote

    season, plan, old = open_verified(folder)
    plan = on_paper(season, plan, old, on)

    from planner.draw.sheets.lid_sheet import lid_sheet

    try:
        data = lid_sheet(season, plan, fmt, size or season.paper)
    except ValueError as e:
        raise Refused([str(e)]) from None
    write_output(path, data)
    wrote(path, json_form)
