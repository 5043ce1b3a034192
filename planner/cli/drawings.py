"""``map`` and ``tags``: drawings of the plan in force, once it has passed the verifier.

With ``--json``: ``{"files": [path]}``, for tags also ``"tags": [id, ...]`` in the order they are to be cut.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli.options import Json, On, SeasonFolder, check_on, moment, output_file, read_card
from planner.cli.plan_in_force import open_verified
from planner.cli.talk import Refused, call, command, show, show_json, shown, tell, usage
from planner.season.plan_record import Plan
from planner.season.season import Season
from planner.season.store import write_output

Output = Annotated[
    Path | None,
    typer.Option("-o", "--output", metavar="FILE", help="Where to write it.", show_default=False),
]
MAP_FORMATS = ("png", "svg", "pdf")
PAPERS = ("A4", "Letter")


@command
def map_(
    folder: SeasonFolder = Path(), output: Output = None, on: On = None, json_form: Json = False
) -> None:
    """Draw the rack as the plan has it: to scale, with a date tag at every spot.

    Example: hangplan map porch -o porch.pdf

    The suffix chooses the format: .png, .svg or .pdf; without -o it is out/map.png in the season's folder.
    """
    check_on(on)
    path, fmt = output_file(output, folder / "out" / "map.png", MAP_FORMATS)
    season, plan, old = open_verified(folder)
    _tell_age(season, plan, old, on)
    _wrote(draw_to(season, plan, path, fmt, asked=output is not None), json_form)


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
    from planner.draw.data import Mark
    from planner.draw.rack_map import rack_map
    from planner.rack.spots import spots

    marks = {
        name: [Mark(s.tag, s.x, s.y, not s.unusable) for s in found if s.x is not None and s.y is not None]
        for name, found in spots(season).items()
    }
    try:
        return rack_map(season, plan, marks, fmt)
    except ValueError as e:
        raise Refused([str(e)]) from None


@command
def tags(
    folder: SeasonFolder = Path(),
    pupa: Annotated[
        list[str] | None, typer.Option(metavar="ID", help="Only this one; may be given again.")
    ] = None,
    moved: Annotated[bool, typer.Option("--moved", help="Only those that the plan moves.")] = False,
    paper: Annotated[str, typer.Option(metavar="SIZE", help="A4 or Letter.")] = "A4",
    card: Annotated[str, typer.Option(metavar="SIZE", help="Width x height of a tag, mm.")] = "40x25",
    output: Output = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Make tags to print and cut out, true to the millimetre.

    Example: hangplan tags porch --moved --card 40x25 -o tags.pdf

    Print at 100 % and measure the bar at the foot of the page. Without -o it is out/tags.pdf in the season's
    folder.
    """
    check_on(on)
    if paper.lower() not in map(str.lower, PAPERS):
        usage(f"--paper: '{paper}': allowed is {' or '.join(PAPERS)}")
    if pupa and moved:
        usage("give either --pupa or --moved")
    size = read_card(card)
    path, _ = output_file(output, folder / "out" / "tags.pdf", ("pdf",))
    season, plan, old = open_verified(folder)
    _tell_age(season, plan, old, on)
    chosen = list(plan.movers) if moved else pupa or None
    if chosen == []:
        raise Refused(["the plan moves nobody: without --moved there are tags for all"])

    from planner.draw.tags import tag_sheet, tags_for

    try:
        sheet = tags_for(season, plan, chosen)
        data = tag_sheet(sheet, next(p for p in PAPERS if p.lower() == paper.lower()), size)
    except ValueError as e:
        raise Refused([str(e)]) from None
    write_output(path, data)
    _wrote(path, json_form, tags=[t.id for t in sheet])
    if not json_form:
        tell("Pins, scissors and tweezers are sharp.")


def _tell_age(season: Season, plan: Plan, old: str, on: str | None) -> None:
    from planner.report.text import ids

    if old:
        tell(old)
    if late := [m.pupa for m in plan.moves if m.not_after < moment(on, season)]:
        tell(f"not to be moved any more, may be darkening: {ids(late)}: '{call('plan', season.folder)}'")


def _wrote(path: Path, json_form: bool, **more: list[str]) -> None:
    if json_form:
        show_json({"files": [str(path)], **more})
    else:
        show(f"wrote {shown(path)}")
