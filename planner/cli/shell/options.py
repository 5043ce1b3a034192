"""Arguments and options that several commands share, and how their texts are read."""

from __future__ import annotations

import os
from collections.abc import Sequence
from datetime import datetime, time
from pathlib import Path
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from planner.cli.shell.chosen_season import season_argument
from planner.cli.shell.talk import usage
from planner.record.refusal import Refused
from planner.season import paper
from planner.season.paper import CardSize
from planner.season.reading.scalars import FIRST_YEAR, LAST_YEAR, parse_number
from planner.season.reading.told_dates import tell_no_year_of
from planner.season.reading.typed_dates import read_hour, read_typed, style_of
from planner.season.reading.when import When
from planner.season.season import Season

LONGEST_NOTE = 500
LEAST_MEMORY, MOST_MEMORY = 100e6, 1e15  # bytes
_SIZES = {"M": 1e6, "G": 1e9, "T": 1e12}
ONE_LINE = f"write one line of at most {LONGEST_NOTE} visible characters"

SeasonFolder = Annotated[
    Path,
    typer.Argument(
        metavar="SEASON",
        help="The season's folder.",
        show_default="the one you stand in",
        callback=season_argument,
    ),
]
On = Annotated[
    str | None,
    typer.Option(
        "--on",
        metavar="DATE",
        help="What counts as now: 2027-07-03 (its noon), '5 Jul 21:30', yesterday.",
        show_default="now, in the season's time zone",
    ),
]
Output = Annotated[
    Path | None,
    typer.Option("-o", "--output", metavar="FILE", help="Where to write it.", show_default=False),
]
Explain = Annotated[
    bool, typer.Option("--explain", help="Also what was sought and proved, and how dates are reckoned.")
]
Paper = Annotated[
    str | None,
    typer.Option(metavar="SIZE", help="A4 or Letter.", show_default="as season.yaml says, or A4"),
]
Json = Annotated[bool, typer.Option("--json", help="Print the result for programs, as JSON.")]


def read_when(option: str, text: str, now: datetime, style: str | None) -> When:
    """A day or a minute as it was typed. ``option``: where, or empty; ``style``: as `date_style` says."""
    try:
        return read_typed(text, now, style)
    except ValueError as e:
        usage(f"{option}: {e}" if option else str(e))


def check_when(option: str, text: str) -> When:
    """The same before the season is known: refused is what is a date in no style."""
    return read_when(option, text, _clock(), "us")


def read_hours(option: str, texts: Sequence[str]) -> list[time]:
    """Hours of the day as they were typed."""
    try:
        return [read_hour(text) for text in texts]
    except ValueError as e:
        usage(f"{option}: {e}")


def date_style(season: Season) -> str | None:
    """How days are typed: as the season says, or else as the computer's locale has it; None: nobody says."""
    return season.date_style or style_of(os.environ)


def this_year(on: str | None) -> int:
    """The year of what counts as now, or of the clock where ``--on`` is no date either."""
    now = _clock()
    try:
        return read_typed("today" if on is None else on, now, "us").day.year
    except ValueError:
        return min(max(now.year, FIRST_YEAR), LAST_YEAR)


def _clock(season: Season | None = None) -> datetime:
    """The computer's clock to the minute, in the season's local time, else in the computer's."""
    now = datetime.now(ZoneInfo(season.timezone) if season else None)
    return now.replace(tzinfo=None, second=0, microsecond=0)


def moment(on: str | None, season: Season) -> datetime:
    """What counts as now, in the season's local time."""
    now = _clock(season) if on is None else _on(on, season).middle
    if on is None and not FIRST_YEAR <= now.year <= LAST_YEAR:
        raise Refused(
            [f"the clock of this computer says {now:%Y-%m-%d %H:%M}: set it right, or add --on DATE"]
        )
    tell_no_year_of(now)
    return now


def _on(on: str, season: Season) -> When:
    return read_when("--on", on, _clock(season), date_style(season))


def still_there(on: str | None, now: datetime, season: Season) -> datetime:
    """By when nobody had emerged: now, or the beginning of a day that was given without an hour."""
    return now if on is None else _on(on, season).earliest


def when_of(on: str | None, now: datetime, season: Season) -> When:
    """When that was which is recorded: as ``--on`` says, or this minute."""
    return _on(on, season) if on is not None else When(now.date(), now.time())


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
        check_when("--on", on)


def read_point(option: str, text: str, units: str) -> tuple[float, float]:
    """A point such as ``12,5`` in the keeper's unit."""
    numbers = [parse_number(part.strip()) for part in text.split(",")]
    match numbers:
        case [float(x), float(y)]:
            return x, y
    usage(f"{option}: '{text}' is not a point: write x,y in {units}, such as 12,5 or 12.5,5")


def read_card(text: str) -> CardSize:
    """A card's size such as ``40x25`` (mm) or ``3x5in``."""
    try:
        return paper.read_card(text)
    except ValueError as e:
        usage(f"--card: {e}")


def read_paper(text: str | None) -> str | None:
    """A size of paper as it is spelled here; None where the season's is meant."""
    try:
        return None if text is None else paper.read_paper(text)
    except ValueError as e:
        usage(f"--paper: {e}")


def read_memory(text: str | None) -> float | None:
    """Bytes, of text such as ``2G``; None where nothing is said."""
    if text is None:
        return None
    size = text.strip().upper().removesuffix("B")
    number = parse_number(size[:-1]) if size[-1:] in _SIZES else None
    if number is None or not LEAST_MEMORY <= number * _SIZES[size[-1:]] <= MOST_MEMORY:
        usage(f"--memory: '{text}': write megabytes or gigabytes, such as 500M or 2G; at least 100M")
    return number * _SIZES[size[-1:]]


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
