"""What one cell of a heading names: the day, the time, the temperature, its unit; or nothing of use."""

from __future__ import annotations

import re
from dataclasses import dataclass

LONGEST = 120  # letters of a column's name
# The names of docs/files.md: whoever gives a column one of these has said which one is meant.
_PLAIN = re.compile(r"(date|time|min|max|temperature)(?:[ _]*\(?°?([CF])\)?)?", re.IGNORECASE)
# Behind a degree sign (also one that lost its encoding), in brackets, or written out.
_UNIT = re.compile(
    r"(?:Â?[°º˚]|[?\N{REPLACEMENT CHARACTER}]|\bdeg(?:rees?)?[ ._]*)\s*(?P<sign>[CF])(?![A-Za-z])"
    r"|[(\[]\s*(?P<bracket>[CF])\s*[)\]]"
    r"|(?<![A-Za-z])(?P<word>Celsius|Fahrenheit)(?![A-Za-z])|(?P<one>[℃℉])",
    re.IGNORECASE,
)
_LAST_LETTER = re.compile(
    r"(?P<name>.*?)(?:[\W_]+(?P<apart>[CF])|(?<=[a-z])(?P<joined>[CF]))", re.DOTALL | re.IGNORECASE
)
_ZONE = re.compile(r"\b(?:UTC|GMT)\b\s*(?:([+-])\s*([0-9]{1,2})(?::?([0-9]{2}))?)?(?![0-9])", re.IGNORECASE)
_PATTERN = re.compile(
    r"\b(?P<a>d{1,2}|m{1,2}|y{2,4})[-./](?P<b>d{1,2}|m{1,2})[-./](?:d{1,2}|y{2,4})\b",
    re.IGNORECASE,
)
_CLOCK_PATTERN = re.compile(r"\bhh?:mm(?::ss)?(?: *(?:am/pm|tt)\b)?|\bam/pm\b", re.IGNORECASE)
_ZONE_NAMED = re.compile(r"[(\[]\s*([A-Z][A-Za-z]+(?:[/_ ][A-Za-z]+)*)\s*[)\]]")  # (EDT), (EST/EDT)
_WORDS = re.compile(r"[^\W_]+")

_DAY = {"date", "day", "datum", "fecha"}
_CLOCK = {"time", "clock", "uhrzeit", "zeit", "heure", "hora", "ora", "tijd"}
_MOMENT = {"datetime", "timestamp", "zeitstempel"}
_ABOUT_TIME = {
    "of", "local", "reading", "readings", "logged", "recorded", "record", "sample", "sampled", "measurement",
    "measured", "at", "log", "the", "and", "und", "et", "y", "e", "data", "stamp",
}  # fmt: skip
_LOWEST = {"min", "mini", "minimum", "low", "lowest", "lo", "tmin", "minima", "mín", "mínima"}
_HIGHEST = {"max", "maxi", "maximum", "high", "highest", "hi", "tmax", "maxima", "máx", "máxima"}
_ABOUT_EXTREMES = {"air", "daily", "day", "the", "of", "t", "value", "reading"}
_SHORT = {
    "temperature",
    "temp",
    "t",
    "temperatur",
    "temperatura",
    "température",
    "air temperature",
    "air temp",
}
_OTHER = {
    "rh", "dew", "dp", "hum", "wet", "bulb", "wind", "chill", "feels", "index", "status", "flag", "quality",
    "diff", "delta", "change", "id", "set", "target", "time", "range", "count", "number", "vpd", "lux",
    "light", "co2", "rosée", "rocío", "taupunkt",
}  # fmt: skip
_OTHER_BEGINNINGS = (
    "humid", "dew", "feucht", "luftfeucht", "press", "batt", "volt", "alarm", "limit", "thresh", "setp",
)  # fmt: skip


TIMES = frozenset({"date", "time", "moment"})  # kinds of a heading that tell when


@dataclass(frozen=True)
class Heading:
    """The name of a column that is of use.

    Attributes
    ----------
    kind
        ``date``, ``time``, ``moment`` (both in one), ``temperature``, ``min`` or ``max``.
    rank
        2: a name of docs/files.md; 1: a usual short form of it; 0: any other name.
    name
        Without its unit, folded: equal for one thing that is told in two units.
    fahrenheit
        None where no unit is named.
    offset
        Minutes east of UTC, where a zone is named.
    zone
        The name of a zone in brackets whose offset only the keeper's own time zone can tell: ``EDT``.
    order
        ``dmy``, ``mdy`` or ``ymd`` where the name says how days are written: ``Date (DD/MM/YYYY)``.
    """

    kind: str
    rank: int
    name: str
    fahrenheit: bool | None = None
    offset: int | None = None
    order: str | None = None
    zone: str | None = None


def unit_of(text: str) -> tuple[bool | None, str]:
    """Whether a text names °F, None where it names no unit, and the text without it."""
    match = _UNIT.search(text)
    if match is None:
        return None, text
    scale = match["sign"] or match["bracket"] or match["word"] or match["one"]
    return scale[0] in "Ff℉", f"{text[: match.start()]} {text[match.end() :]}"


def heading_of(cell: str) -> Heading | None:
    """What a cell of the heading names; None where it names nothing of use."""
    text = cell.strip(" \t\"'\ufeff")
    if match := _PLAIN.fullmatch(text):
        kind = match[1].lower()
        return Heading(kind, 2, kind, None if match[2] is None else match[2].upper() == "F")
    if not text or len(text) > LONGEST:
        return None
    return _when(text) or _temperature(text)


def _when(text: str) -> Heading | None:
    zone = _ZONE.search(text)
    rest = text if zone is None else f"{text[: zone.start()]} {text[zone.end() :]}"
    pattern = _PATTERN.search(rest)
    order = None
    if pattern is not None:
        order = {"d": "dmy", "m": "mdy", "y": "ymd"}[pattern["a"][0].lower()]
        rest = f"{rest[: pattern.start()]} {rest[pattern.end() :]}"
    rest = _CLOCK_PATTERN.sub(" ", rest)
    words, named = _WORDS.findall(rest.casefold()), None
    if not _is_time(words) and zone is None and (match := _ZONE_NAMED.search(rest)):
        words = _WORDS.findall(f"{rest[: match.start()]} {rest[match.end() :]}".casefold())
        named = match[1]
    told = set(words)
    if not _is_time(words):
        return None
    offset = None
    if zone is not None:
        east = int(zone[2] or 0) * 60 + int(zone[3] or 0)
        offset = -east if zone[1] == "-" else east
        if east >= 24 * 60:
            return None
    if told & _MOMENT or (told & _DAY and told & _CLOCK):
        return Heading("moment", 0, "moment", None, offset, order, named)
    if told & _DAY:
        return Heading("date", 0, "date", None, offset, order, named)
    return Heading("time", 0, "time", None, offset, order, named) if told & _CLOCK else None


def _is_time(words: list[str]) -> bool:
    return bool(words) and (words[0] in _MOMENT or set(words) <= _DAY | _CLOCK | _MOMENT | _ABOUT_TIME)


def _temperature(text: str) -> Heading | None:
    fahrenheit, rest = unit_of(text)
    words = _WORDS.findall(rest.casefold())
    if fahrenheit is None and (match := _LAST_LETTER.fullmatch(rest)):
        before = _WORDS.findall(match["name"].casefold())
        if any(map(_about_temperature, before)) or before == ["t"] or set(before) & (_LOWEST | _HIGHEST):
            fahrenheit, words = (match["apart"] or match["joined"]) in "Ff", before
    told = set(words)
    if "%" in text or told & _OTHER or any(word.startswith(_OTHER_BEGINNINGS) for word in words):
        return None
    name, is_temperature = " ".join(words), any(map(_about_temperature, words)) or fahrenheit is not None
    if bool(told & _LOWEST) != bool(told & _HIGHEST):
        others = {word for word in told - _LOWEST - _HIGHEST if not _about_temperature(word)}
        if is_temperature or others <= _ABOUT_EXTREMES:
            return Heading("min" if told & _LOWEST else "max", 0, name, fahrenheit)
        return None
    if told & _LOWEST or not (is_temperature or words == ["t"]):
        return None
    return Heading("temperature", 1 if name in _SHORT or not name else 0, name, fahrenheit)


def _about_temperature(word: str) -> bool:
    return "temp" in word
