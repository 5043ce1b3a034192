"""``temperature:`` of a season or of a place: a constant, a file of readings, or both."""

from __future__ import annotations

import re
from pathlib import Path, PurePosixPath, PureWindowsPath

from planner.season.reading.fields import Fields
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import degrees, parse_number, tidy

COLDEST, WARMEST = 0, 45  # °C, of a room in which pupae live
_DEGREES = re.compile(r"(?P<number>\S+?)\s*°?\s*(?P<scale>[CFcf])?")


def read_temperature(top: Fields, folder: Path) -> tuple[float | None, bool, str | None]:
    """Constant in °C, whether it is stated in °F, and a file's name; 23 °C when neither is stated.

    Both may be: the constant is then for the days that the file does not tell of.
    """
    if not top.has("temperature"):
        return 23.0, False, None
    fields = top.mapping("temperature", ("constant", "file"))
    if fields.clean and not fields.has("constant") and not fields.has("file"):
        top.fault("temperature", "write {constant: 23} or {file: temperatures.csv}")
    return *_degrees(fields), file_inside(fields, folder)


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
    celsius = (number - 32) / 1.8 if scale == "F" else number
    if not COLDEST <= celsius <= WARMEST:
        allowed = f"{COLDEST} to {WARMEST} °C are allowed"
        if scale == "F":
            allowed = (
                f"{degrees(COLDEST, fahrenheit=True)} to {degrees(WARMEST, fahrenheit=True)} are allowed"
            )
            what = f"{text.strip()}: {allowed}"
        elif number > WARMEST:
            what = f"{text.strip()}: as °C that kills ({allowed})"
            if not scale and number <= WARMEST * 1.8 + 32:
                what += f"; for Fahrenheit write '{tidy(number)} F'"
        else:
            what = f"{text.strip()}: {allowed}"
        fields.fault("constant", what)
        return None, False
    return celsius, scale == "F"


def file_inside(fields: Fields, folder: Path) -> str | None:
    """A file's name, which must not lead out of the season's folder, not by a link either."""
    name = fields.text("file", None)
    if name is None:
        return None
    windows = PureWindowsPath(name)
    outside = windows.anchor or PurePosixPath(name).is_absolute() or ".." in windows.parts
    if outside or _leads_out(folder, name):
        fields.fault("file", f"'{shorten(name)}': the file must lie in the season's folder")
        return None
    return name


def _leads_out(folder: Path, name: str) -> bool:
    """Whether it is, or stands behind, a link to elsewhere."""
    try:
        return not (folder / name).resolve().is_relative_to(folder.resolve())
    except (OSError, RuntimeError, ValueError):  # too long, a circle of links, not to be encoded
        return True
