"""``temperature:`` of a season or of a place: a constant, a file of readings, or both."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path, PurePosixPath, PureWindowsPath

from planner.season.reading.fields import Fields
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import degrees, from_fahrenheit, parse_number, tidy, to_fahrenheit

COLDEST, WARMEST = 0, 45  # °C, of a room in which pupae live
_DEGREES = re.compile(r"(?P<number>\S+?)\s*°?\s*(?P<scale>[CFcf])?")


@dataclass(frozen=True)
class Temperature:
    """What is stated: a constant in °C, and whether it was in °F; a file of readings, and its column.

    Both may be: the constant is then for the days that the file does not tell of.
    """

    constant: float | None = None
    fahrenheit: bool = False
    file: str | None = None
    column: str | None = None


def read_temperature(fields: Fields, folder: Path) -> Temperature | None:
    """The key ``temperature`` of a season or a place; None where it is not stated."""
    if not fields.has("temperature"):
        return None
    own = fields.mapping("temperature", ("constant", "file", "column"))
    if own.clean and not own.has("constant") and not own.has("file"):
        fields.fault("temperature", "write {constant: 23} or {file: temperatures.csv}")
    if own.has("column") and not own.has("file"):
        own.fault("column", "a column of which file? write {file: temperatures.csv, column: 'Temp 2'}")
    return Temperature(*_degrees(own), file_inside(own, folder), own.text("column", None))


def _degrees(fields: Fields) -> tuple[float | None, bool]:
    text = fields.text("constant", None)
    if text is None:
        return None, False
    match = _DEGREES.fullmatch(text.strip())
    number = parse_number(match["number"]) if match else None
    if match is None or number is None:
        fields.fault("constant", f"'{shorten(text)}' is not a temperature: write 23, 23 C or 73 F")
        return None, False
    scale = (match["scale"] or "").upper()
    celsius = from_fahrenheit(number) if scale == "F" else number
    if not COLDEST <= celsius <= WARMEST:
        allowed = f"{COLDEST} to {WARMEST} °C are allowed"
        if scale == "F":
            allowed = (
                f"{degrees(COLDEST, fahrenheit=True)} to {degrees(WARMEST, fahrenheit=True)} are allowed"
            )
            what = f"{text.strip()}: {allowed}"
        elif number > WARMEST:
            what = f"{text.strip()}: as °C that kills ({allowed})"
            if not scale and number <= to_fahrenheit(WARMEST):
                what += f"; for Fahrenheit write '{tidy(number)} F'"
        else:
            what = f"{text.strip()}: {allowed}"
        fields.fault("constant", what)
        return None, False
    return celsius, scale == "F"


def file_inside(fields: Fields, folder: Path) -> str | None:
    """A file's name: no folder's, and not out of the season's folder, not by a link either."""
    name = fields.text("file", None)
    if name is None:
        return None
    windows = PureWindowsPath(name)
    outside = windows.anchor or PurePosixPath(name).is_absolute() or ".." in windows.parts
    if outside or _leads_out(folder, name):
        fields.fault("file", f"'{shorten(name)}': the file must lie in the season's folder")
        return None
    if (folder / name).is_dir():
        fields.fault("file", f"'{shorten(name)}' is a folder: name a file in it")
        return None
    return name


def _leads_out(folder: Path, name: str) -> bool:
    """Whether it is, or stands behind, a link to elsewhere."""
    try:
        return not (folder / name).resolve().is_relative_to(folder.resolve())
    except (OSError, RuntimeError, ValueError):  # too long, a circle of links, not to be encoded
        return True
