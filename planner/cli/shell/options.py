"""Arguments and options that several commands share, and how their texts are read."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from planner.cli.shell.talk import usage
from planner.record.refusal import Refused
from planner.season.day_words import misread
from planner.season.scalars import FIRST_YEAR, LAST_YEAR, parse_number, parse_when
from planner.season.season import Season
from planner.season.when import When

LONGEST_NOTE = 500
MAP_FORMATS = ("png", "svg", "pdf")
PAPERS = ("A4", "Letter")
ONE_LINE = f"write one line of at most {LONGEST_NOTE} visible characters"

SeasonFolder = Annotated[
    Path, typer.Argument(metavar="SEASON", help="The season's folder.", show_default="the one you stand in")
]
On = Annotated[
    str | None,
    typer.Option(
        "--on",
        metavar="DATE",
        help="What counts as now: 2027-07-03 (its noon) or 2027-07-03T14:30.",
        show_default="now, in the season's time zone",
    ),
]
Output = Annotated[
    Path | None,
    typer.Option("-o", "--output", metavar="FILE", help="Where to write it.", show_default=False),
]
Json = Annotated[bool, typer.Option("--json", help="Print the result for programs, as JSON.")]


def read_when(option: str, text: str, year: int | None = None) -> When:
    """A day or a minute given on the command line; ``year``: of a date that names none, or this one."""
    try:
        return parse_when(text)
    except ValueError as e:
        usage(f"{option}: {misread(text, year or this_year(None)) or e}")


def this_year(on: str | None) -> int:
    """The year of what counts as now, or of the clock where ``--on`` is no date either."""
    try:
        return parse_when(on or "").day.year
    except ValueError:
        return min(max(datetime.now().year, FIRST_YEAR), LAST_YEAR)


def moment(on: str | None, season: Season) -> datetime:
    """What counts as now, in the season's local time."""
    if on is not None:
        return read_when("--on", on).middle
    now = datetime.now(ZoneInfo(season.timezone))
    if not FIRST_YEAR <= now.year <= LAST_YEAR:
        raise Refused(
            [f"the clock of this computer says {now:%Y-%m-%d %H:%M}: set it right, or add --on DATE"]
        )
    return now.replace(tzinfo=None, second=0, microsecond=0)


def still_there(on: str | None, now: datetime) -> datetime:
    """By when nobody had emerged: now, or the beginning of a day that was given without an hour."""
    return now if on is None else read_when("--on", on).earliest


def when_of(on: str | None, now: datetime) -> When:
    """When that was which is recorded: as ``--on`` says, or this minute."""
    return read_when("--on", on) if on is not None else When(now.date(), now.time())


def check_note(note: str) -> None:
    """Refuse a note that is no line of text."""
    if not note_fits(note):
        usage(f"--note: {ONE_LINE}")


def note_fits(note: str) -> bool:
    """Whether it goes into one cell that can be read."""
    return note.isprintable() and len(note) <= LONGEST_NOTE


def check_on(on: str | None) -> None:
    """Refuse a wrong date before anything is read: how a command was called is told first."""
    if on is not None:
        read_when("--on", on)


def read_point(option: str, text: str, units: str) -> tuple[float, float]:
    """A point such as ``12,5`` in the keeper's unit."""
    numbers = [parse_number(part.strip()) for part in text.split(",")]
    match numbers:
        case [float(x), float(y)]:
            return x, y
    usage(f"{option}: '{text}' is not a point: write x,y in {units}, such as 12,5 or 12.5,5")


def read_card(text: str) -> tuple[float, float]:
    """A card's size such as ``40x25``, mm."""
    numbers = [parse_number(part.strip()) for part in text.lower().replace("×", "x").split("x")]
    match numbers:
        case [float(width), float(height)]:
            return width, height
    usage(f"--card: '{text}' is not a size: write width x height in mm, such as 40x25")


def read_paper(text: str) -> str:
    """A size of paper as it is spelled here."""
    found = next((p for p in PAPERS if p.lower() == text.lower()), None)
    return found or usage(f"--paper: '{text}': allowed is {' or '.join(PAPERS)}")


def output_file(option: Path | None, default: Path, suffixes: tuple[str, ...]) -> tuple[Path, str]:
    """Where to write, and the format that its suffix names."""
    path = option or default
    fmt = path.suffix.lower().removeprefix(".")
    if fmt not in suffixes:
        allowed = ", ".join(f".{s}" for s in suffixes)
        usage(f"-o: '{path}': the suffix chooses the format: allowed is {allowed}")
    if path.is_dir():
        usage(f"-o: '{path}' is a folder: name a file in it")
    return path, fmt
