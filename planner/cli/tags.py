"""``tags``: cards to print and cut out, of the plan in force, once the verifier passed it.

With ``--json``: ``{"files": [path], "tags": [id, ...], "notes": [text, ...]}``, the tags in the order they
are to be cut, the notes on what there was no room for; with ``--groups`` also ``"groups": [{"place", "spot",
"pupated", "pupae": [id, ...], "due": [first, last]}, ...]``, with ``--changed`` ``"new"`` and ``"changed"``,
lists of ids.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.shell.completion import complete_tags
from planner.cli.shell.date_words import is_date, with_dates_joined
from planner.cli.shell.options import (
    Json,
    On,
    Output,
    Paper,
    check_on,
    check_when,
    output_file,
    read_card,
    read_paper,
    this_year,
)
from planner.cli.shell.season_files import require_season
from planner.cli.shell.season_word import season_apart
from planner.cli.shell.talk import command, usage
from planner.record.named_pupae import joined
from planner.season.paper import SHAPES


@command
def tags(
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="WORDS",
            help="Pupae or places, and the season if not the one you stand in.",
            autocompletion=complete_tags,
        ),
    ] = None,
    date: Annotated[
        list[str] | None,
        typer.Option(metavar="DATE", help="Only those that pupated then; may be given again."),
    ] = None,
    moved: Annotated[bool, typer.Option("--moved", help="Only those that the plan moves.")] = False,
    changed: Annotated[
        bool, typer.Option("--changed", help="Only those that are new or no longer hold.")
    ] = False,
    groups: Annotated[
        bool, typer.Option("--groups", help="One card for each day of a lid, or stretch of a line.")
    ] = False,
    pupa: Annotated[
        list[str] | None,
        typer.Option(metavar="ID", help="As WORDS.", autocompletion=complete_tags),
    ] = None,
    card: Annotated[
        str | None,
        typer.Option(
            metavar="SIZE",
            help="Width x height of a tag: 40x25 (mm), 3x5in.",
            show_default="as season.yaml says, or 40x25",
        ),
    ] = None,
    shape: Annotated[
        str | None,
        typer.Option(
            metavar="SHAPE",
            help="card, fold, wedge, hole (clips), flag (pins) or auto.",
            show_default="as season.yaml says, or card",
        ),
    ] = None,
    qr: Annotated[bool, typer.Option("--qr", help="With a QR code of the id.")] = False,
    paper: Paper = None,
    start_at: Annotated[
        int, typer.Option("--start-at", metavar="N", help="First place used of the first sheet.")
    ] = 1,
    season_option: Annotated[
        Path | None,
        typer.Option("--season", metavar="FOLDER", help="The season's folder, if it is not the last word."),
    ] = None,
    output: Output = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Make tags to print and cut out, true to the millimetre.

    Example: hangplan tags --moved porch

    More: hangplan tags m2-m9 tub-1 --start-at 5 (some again, on a sheet begun); hangplan tags --date '3 Jul';
    hangplan tags --changed; hangplan tags --groups --card 3x5in; hangplan tags --shape auto --qr.

    WORDS are ids, ranges, steps of the plan ('step 3') and places: tub-1 stands for all that hang there by
    the plan. --date, --moved and --changed each narrow that. --changed: one to be hung has no tag yet, or
    spot, date or species is another than on the one made last (out/tags.json knows it; a day due that moved
    does not count).

    --groups: cards for the tub, each with its day in large figures, how many and who; of those the plan does
    not have yet, where they hang now.

    Print at 100 % and measure the bar at the foot of the page. --card is what one sees of a tag; fold and
    flag are twice that, wedge and hole a little higher. --shape auto: who goes to a line has one to fold over
    its clip, to a board a flag for its pin, and who stays on a lid a card. Places on a sheet are counted row
    by row: its foot names the next free one, for --start-at. Without -o it is out/tags.pdf in the season's
    folder. Next: hangplan lids.
    """
    check_on(on)
    for text in date or ():
        check_when("--date", text)
    sheet_size = read_paper(paper)
    if shape is not None and shape not in SHAPES:
        usage(f"--shape: '{shape}': allowed is {', '.join(SHAPES)}")
    if start_at < 1:
        usage(f"--start-at: {start_at}: places are counted from 1")
    if groups and qr:
        usage("--qr goes with the tag of one pupa, not with --groups")
    size = None if card is None else read_card(card)
    names, folder = season_apart("tags", words or [], season_option)
    for word in with_dates_joined(names):
        if is_date(word):
            usage(f"'{word}': write --date '{word}' for those that pupated then")
    path, _ = output_file(output, folder / "out" / "tags.pdf", ("pdf",))
    require_season(folder, this_year(on))

    from planner.cli.answers.tags import Asked, Form, make

    asked = Asked(tuple(joined([*names, *(pupa or ())])), tuple(date or ()), moved, changed, groups)
    form = Form(sheet_size, size, shape, qr, start_at)
    make(folder, asked, form, path, on, json_form=json_form)
