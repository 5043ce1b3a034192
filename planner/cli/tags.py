"""``tags``: cards to print and cut out, of the plan in force, once the verifier passed it.

With ``--json``: ``{"files": [path], "tags": [id, ...]}``, the tags in the order they are to be cut.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.shell.completion import complete_pupa
from planner.cli.shell.options import (
    Json,
    On,
    Output,
    SeasonFolder,
    check_on,
    moment,
    output_file,
    read_card,
    read_paper,
)
from planner.cli.shell.talk import command, show_paragraph, tell, usage
from planner.record.refusal import Refused
from planner.season.store import write_output
from planner.words import call

SHAPES = ("card", "fold", "wedge", "hole", "flag", "auto")


@command
def tags(
    folder: SeasonFolder = Path(),
    pupa: Annotated[
        list[str] | None,
        typer.Option(
            metavar="ID",
            help="Only these: m2, m2-m9, 'step 3', tub-2; may be given again.",
            autocompletion=complete_pupa,
        ),
    ] = None,
    moved: Annotated[bool, typer.Option("--moved", help="Only those that the plan moves.")] = False,
    paper: Annotated[str, typer.Option(metavar="SIZE", help="A4 or Letter.")] = "A4",
    card: Annotated[str, typer.Option(metavar="SIZE", help="Width x height of a tag, mm.")] = "40x25",
    shape: Annotated[
        str, typer.Option(metavar="SHAPE", help="card, fold, wedge, hole (clips), flag (pins) or auto.")
    ] = "card",
    qr: Annotated[bool, typer.Option("--qr", help="With a QR code of the id.")] = False,
    start_at: Annotated[
        int, typer.Option("--start-at", metavar="N", help="First place used of the first sheet.")
    ] = 1,
    output: Output = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Make tags to print and cut out, true to the millimetre.

    Example: hangplan tags porch --moved --card 40x25 -o tags.pdf

    More: hangplan tags --pupa m2 --start-at 5 (one again, on a sheet begun); hangplan tags --shape auto --qr.

    Print at 100 % and measure the bar at the foot of the page. --card is what one sees of a tag; fold and
    flag are twice that, wedge and hole a little higher. --shape auto: who goes to a line has one to fold over
    its clip, to a board a flag for its pin, and who stays on a lid a card. Places on a sheet are counted row
    by row: its foot names the next free one, for --start-at. Without -o it is out/tags.pdf in the season's
    folder. Next: hangplan lids.
    """
    check_on(on)
    sheet_size = read_paper(paper)
    if shape not in SHAPES:
        usage(f"--shape: '{shape}': allowed is {', '.join(SHAPES)}")
    if start_at < 1:
        usage(f"--start-at: {start_at}: places are counted from 1")
    if pupa and moved:
        usage("give either --pupa or --moved")
    size = read_card(card)
    path, _ = output_file(output, folder / "out" / "tags.pdf", ("pdf",))

    from planner.cli.answers.plan_on_paper import on_paper, open_verified, wrote
    from planner.record.named_pupae import joined, named_in_plan

    season, plan, old = open_verified(folder)
    plan = on_paper(season, plan, old, on)
    chosen = list(plan.movers) if moved else None
    if pupa:
        chosen = [p.id for p in named_in_plan(season, plan, joined(pupa), moment(on, season).year)]
    if chosen == []:
        raise Refused(["the plan moves nobody: without --moved there are tags for all"])

    from planner.draw.tags.tag_sheet import in_order, tag_sheet, tags_for

    try:
        sheet = in_order(tags_for(season, plan, chosen), shape)
        data = tag_sheet(sheet, sheet_size, size, shape=shape, code=qr, start=start_at)
    except ValueError as e:
        raise Refused([str(e)]) from None
    write_output(path, data)
    wrote(path, json_form, tags=[t.id for t in sheet])
    if not json_form:
        then = f"; move them by the list, then '{call('done', folder)}' records it" if plan.moves else ""
        show_paragraph(f"Next: print it at 100 %{then}")
        tell("Pins, scissors and tweezers are sharp.")
