"""``map``, ``tags`` and the PDF for the wall: drawings of the plan in force, once the verifier passed it.

With ``--json``: ``{"files": [path]}``, for tags also ``"tags": [id, ...]`` in the order they are to be cut.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli.plan_in_force import open_verified, too_late, without_late
from planner.cli.shell.completion import complete_pupa
from planner.cli.shell.options import (
    Json,
    On,
    SeasonFolder,
    check_on,
    moment,
    output_file,
    read_card,
    still_there,
)
from planner.cli.shell.talk import (
    command,
    show,
    show_json,
    show_paragraph,
    shown,
    tell,
    tell_paragraph,
    usage,
)
from planner.draw.paper.formats import FORMATS, PAPERS
from planner.draw.tags.shapes import AUTO, SHAPES
from planner.record.refusal import Refused
from planner.season.plan_record import Plan
from planner.season.season import Season
from planner.season.store import write_output
from planner.words import call

if TYPE_CHECKING:
    from planner.draw.data import Mark
    from planner.follow.day import Day

Output = Annotated[
    Path | None,
    typer.Option("-o", "--output", metavar="FILE", help="Where to write it.", show_default=False),
]
MAP_FORMATS = FORMATS


@command
def map_(
    folder: SeasonFolder = Path(),
    wall: Annotated[
        bool, typer.Option("--wall", help="Day sheet, move list, lids and map as one PDF.")
    ] = False,
    paper: Annotated[
        str | None, typer.Option(metavar="SIZE", help="A4 or Letter, for --wall.", show_default="A4")
    ] = None,
    output: Output = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Draw the rack to scale, with a date tag at every spot.

    Example: hangplan map porch -o porch.pdf

    More: hangplan map; hangplan map --wall --paper Letter.

    The suffix chooses the format: .png, .svg or .pdf; without -o it is out/map.png in the season's folder.
    --wall puts all that belongs on the wall into one PDF, out/wall.pdf without -o. Next: hangplan tags.
    """
    check_on(on)
    size = read_paper("A4" if paper is None else paper)
    if paper is not None and not wall:
        usage(f"--paper {size}: a map has a size of its own: give it with --wall")
    if wall:
        from planner.follow.day import Day

        path, _ = output_file(output, folder / "out" / "wall.pdf", ("pdf",))
        season, plan, old = open_verified(folder)
        now = moment(on, season)
        day = Day(season, now, plan, still_there(on, now))
        plan = on_paper(season, plan, old, on)
        write_output(path, _wall(season, plan, day, size))
        wrote(path, json_form)
        return
    path, fmt = output_file(output, folder / "out" / "map.png", MAP_FORMATS)
    season, plan, old = open_verified(folder)
    plan = on_paper(season, plan, old, on)
    wrote(draw_to(season, plan, path, fmt, asked=output is not None), json_form)


def draw_to(season: Season, plan: Plan, path: Path, fmt: str, *, asked: bool) -> Path:
    """Draw the map into a file and return it; raises Refused or StoreError.

    Where this very file was not ``asked`` for and the map is too tall for one picture, it becomes a PDF of
    several pages beside it, and no picture of an older plan is left in its place.
    """
    try:
        data = draw_map(season, plan, fmt)
    except Refused:
        if asked:
            raise
        path.unlink(missing_ok=True)
        path = path.with_suffix(".pdf")
        data = draw_map(season, plan, "pdf")
    write_output(path, data)
    return path


def draw_map(season: Season, plan: Plan, fmt: str) -> bytes:
    """The map's bytes. Raises Refused when it cannot be drawn in this format."""
    from planner.draw.map.rack_map import rack_map

    try:
        return rack_map(season, plan, _marks(season), fmt)
    except ValueError as e:
        raise Refused([str(e)]) from None


def _marks(season: Season) -> dict[str, list[Mark]]:
    from planner.draw.data import Mark
    from planner.rack.spots import spots

    return {
        name: [Mark(s.tag, s.x, s.y, not s.unusable) for s in found if s.x is not None and s.y is not None]
        for name, found in spots(season).items()
    }


def _wall(season: Season, plan: Plan, day: Day, paper: str) -> bytes:
    """The bytes of the PDF for the wall."""
    from planner.cli.paper import day_words, move_words
    from planner.draw.sheets.wall import wall

    try:
        return wall(season, plan, _marks(season), day_words(day), move_words(season, plan), paper)
    except ValueError as e:
        raise Refused([str(e)]) from None


def read_paper(text: str) -> str:
    """A size of paper as it is spelled here."""
    found = next((p for p in PAPERS if p.lower() == text.lower()), None)
    return found or usage(f"--paper: '{text}': allowed is {' or '.join(PAPERS)}")


@command
def tags(
    folder: SeasonFolder = Path(),
    pupa: Annotated[
        list[str] | None,
        typer.Option(metavar="ID", help="Only this one; may be given again.", autocompletion=complete_pupa),
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
    if shape not in (*SHAPES, AUTO):
        usage(f"--shape: '{shape}': allowed is {', '.join([*SHAPES, AUTO])}")
    if start_at < 1:
        usage(f"--start-at: {start_at}: places are counted from 1")
    if pupa and moved:
        usage("give either --pupa or --moved")
    size = read_card(card)
    path, _ = output_file(output, folder / "out" / "tags.pdf", ("pdf",))
    season, plan, old = open_verified(folder)
    plan = on_paper(season, plan, old, on)
    chosen = list(plan.movers) if moved else pupa or None
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


def on_paper(season: Season, plan: Plan, old: str, on: str | None) -> Plan:
    """What to draw of a plan: no step for which it is too late. Says how it is old, and who that is."""
    from planner.words import ids

    if old:
        tell_paragraph(old)
    now = moment(on, season)
    if late := too_late(plan, now):
        again = f"'{call('plan', season.folder)}'"
        tell_paragraph(f"not to be moved any more, may be darkening: {ids(late)}: {again}")
    return without_late(season, plan, now)


def wrote(path: Path, json_form: bool, **more: list[str]) -> None:
    """Say which file was written."""
    if json_form:
        show_json({"files": [str(path)], **more})
    else:
        show(f"wrote {shown(path)}")
