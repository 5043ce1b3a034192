"""``season.yaml``: settings, species, temperature and places, read field by field."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from zoneinfo import ZoneInfo, available_timezones

from planner.season.forecast import ForecastDay, read_forecast
from planner.season.paper import SHAPES, USUAL_CARD, CardSize, check_card, read_card, read_paper
from planner.season.places.dividers import StatedDivider, read_divider, resolve
from planner.season.places.lid import Lid
from planner.season.places.place import Place
from planner.season.places.read_places import Stated, read_place
from planner.season.reading.fields import Fields, Range, Report
from planner.season.reading.looks import Looks
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import clock, did_you_mean, tidy
from planner.season.reading.temperature import Temperature, file_inside, read_temperature
from planner.season.reading.typed_dates import STYLES
from planner.season.reading.yaml_text import read_yaml
from planner.season.season import CM_PER_INCH, Expected, Season, SpeciesEntry

FILE = "season.yaml"
KEYS = (
    "season", "units", "date_style", "paper", "card", "shape", "timezone", "looks", "gap_days", "risk",
    "rehang_price", "species", "wing_reach", "elbow_room", "drop", "clearance", "keeper_reach", "temperature",
    "forecast", "profiles", "places", "dividers", "expected",
)  # fmt: skip
_PROFILE = {
    "lower": Range(-20, 30, "°C"),
    "upper": Range(-20, 60, "°C"),
    "requirement": Range(0, 5000, "degree-days", above=True),
    "spread": Range(0, 0.5, above=True),
    "firm_after": Range(0, 240, "h"),
    "darkens_before": Range(0, 240, "h"),
    "darkens_spread": Range(1, 240, "h"),
    "wing_drying": Range(0, 240, "h"),
}
_HOURS = ("emerges_from", "emerges_until")


@dataclass(frozen=True)
class Settings:
    """What ``season.yaml`` says: a season without pupae; places and dividers with where they stand."""

    season: Season
    stated: tuple[Stated, ...]
    dividers: tuple[StatedDivider, ...] = ()


def read_settings(data: bytes, folder: Path, known_species: Collection[str]) -> tuple[Settings, Report]:
    """Read every field; faulty ones have their default and a problem in the report.

    Raises FaultyFiles when it is no YAML at all.
    """
    report = Report(FILE)
    top = Fields(report, read_yaml(data, FILE), "", KEYS)
    units = top.choice("units", "cm", ("cm", "in"))
    report.unit, report.factor = units, CM_PER_INCH if units == "in" else 1.0
    profiles = _profiles(top, known_species)
    known = sorted({*known_species, *profiles})
    species = _species(top, "species", "monarch", known)
    places = [read_place(report, node, where, folder) for where, node in top.items("places")]
    if not places and not (top.has("places") and not isinstance(top.map["places"].value, list)):
        top.fault("places", "at least one place is needed: a line, a board or a lid")
    read = (read_divider(report, node, where) for where, node in top.items("dividers"))
    cards = tuple(card for card in read if card is not None)
    lowest, highest = _keeper_reach(top)
    temperature = read_temperature(top, folder) or Temperature(23.0)
    forecast, forecast_file = _forecast(top, folder, temperature.file)
    known_places = tuple(p.place for p in places if p.place is not None)
    season = Season(
        folder=folder,
        name=top.text("season", shorten(folder.resolve().name, 200)).strip(),
        units=units,
        date_style=top.choice("date_style", None, STYLES),
        paper=_paper(top),
        card_size=_card_size(top, units),
        tag_shape=top.choice("shape", "card", SHAPES),
        timezone=_timezone(top),
        looks=_looks(top),
        gap_days=top.number("gap_days", 2.0, Range(0, 60, "days")),
        rehang_price=top.integer("rehang_price", 3, 1, 100),
        risk=_risk(top),
        species=species,
        wing_reach=top.length("wing_reach", 10.0, high=200),
        elbow_room=_elbow_room(top, known_places),
        drop=top.length("drop", 20.0, high=500, above=False),
        clearance=top.length("clearance", 11.0, high=500, above=False),
        lowest=lowest,
        highest=highest,
        constant=temperature.constant,
        fahrenheit=temperature.fahrenheit,
        temperature_file=temperature.file,
        temperature_column=temperature.column,
        forecast=forecast,
        forecast_file=forecast_file,
        profiles=profiles,
        places=known_places,
        dividers=resolve(cards, known_places, report.factor),
        expected=_expected(top, species, known),
    )
    return Settings(season, tuple(places), cards), report


def unknown_species(name: str, known: Collection[str]) -> str:
    """Empty, or what is wrong with a species' name."""
    if name in known:
        return ""
    hint = did_you_mean(name, sorted(known)) or f": known are {', '.join(sorted(known)) or 'none'}"
    return f"'{shorten(name)}' is not a known species{hint}; more can be given under profiles: in season.yaml"


def _species(fields: Fields, key: str, default: str, known: Collection[str]) -> str:
    name = fields.text(key, default, longest=40).strip().lower()
    if what := unknown_species(name, known):
        fields.fault(key, what)
    return name


def _risk(top: Fields) -> float | None:
    """The chance allowed instead of a gap, or None where there is a gap."""
    if not top.has("risk"):
        return None
    if top.has("gap_days"):
        top.fault("risk", "is stated beside gap_days: allowed is one of the two")
    return top.number("risk", 0.02, Range(0, 0.5, above=True))


def _paper(top: Fields) -> str:
    try:
        return read_paper(top.text("paper", "A4"))
    except ValueError as e:
        top.fault("paper", str(e))
        return "A4"


def _card_size(top: Fields, units: str) -> CardSize:
    usual = replace(USUAL_CARD, unit="in" if units == "in" else "mm")
    text = top.text("card", None)
    if text is None:
        return usual
    try:
        card = read_card(text)
        check_card(card, units)
    except ValueError as e:
        top.fault("card", str(e))
        return usual
    return card


def _elbow_room(top: Fields, places: Sequence[Place]) -> float | None:
    """The room for hands, no more than the longest line or board; None where none is stated."""
    longest = max((max(place.extent) for place in places if not isinstance(place, Lid)), default=200.0)
    return top.length("elbow_room", None, high=longest, above=False)


def _timezone(top: Fields) -> str:
    name = top.text("timezone", "UTC").strip()
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        hint = did_you_mean(name, sorted(available_timezones())) or ": write one such as Europe/Lisbon"
        top.fault("timezone", f"'{shorten(name)}' is not a time zone{hint}")
        return "UTC"
    return name


def _looks(top: Fields) -> Looks | None:
    text = top.text("looks", None)
    try:
        return None if text is None else Looks.parse(text)
    except ValueError as e:
        top.fault("looks", str(e))
        return None


def _keeper_reach(top: Fields) -> tuple[float, float]:
    reach = top.mapping("keeper_reach", ("lowest", "highest"))
    lowest = reach.length("lowest", 0.0, above=False)
    highest = reach.length("highest", 250.0)
    if reach.clean and lowest >= highest:
        unit, factor = top.report.unit, top.report.factor
        span = f"lowest is {tidy(lowest / factor)} and highest {tidy(highest / factor)} {unit}"
        top.fault("keeper_reach", f"{span}: lowest must be below highest")
    return lowest, highest


def _forecast(top: Fields, folder: Path, readings: str | None) -> tuple[tuple[ForecastDay, ...], str | None]:
    """The days of a weather service's forecast, or the name of the file that has them."""
    if not top.has("forecast"):
        return (), None
    if readings is None:
        file = "temperature: {file: temperatures.csv}"
        top.fault("forecast", f"counts only from the end of what is measured: state {file} as well")
    if isinstance(top.map["forecast"].value, list):
        return read_forecast(top), None
    fields = top.mapping("forecast", ("file",))
    if fields.clean and not fields.has("file"):
        top.fault("forecast", "write {file: forecast.csv}, or a list of {day: 2027-07-05, min: 14, max: 24}")
    return (), file_inside(fields, folder)


def _profiles(top: Fields, known_species: Collection[str]) -> dict[str, SpeciesEntry]:
    found: dict[str, SpeciesEntry] = {}
    block = top.mapping("profiles", None)
    for key in block.map:
        name = key.strip().lower()
        fields = block.mapping(key, (*_PROFILE, *_HOURS, "word"))
        if not name or not name.isprintable() or len(name) > 40:
            block.fault(key, "a species' name is one line of 1 to 40 visible characters")
        if name in found:
            block.fault(key, f"species '{shorten(name)}' is given twice")
        values = {k: fields.number(k, None, allowed) for k, allowed in _PROFILE.items()}
        lower, upper = values["lower"], values["upper"]
        if lower is not None and upper is not None and lower >= upper:
            fields.fault("upper", f"must be above lower, {tidy(lower)} °C")
        first, last = (fields.hour(k, None) for k in _HOURS)
        if first is not None and last is not None and first >= last:
            fields.fault("emerges_until", f"must be later than emerges_from, {clock(first)}")
        missing = [k for k in ("lower", "requirement") if not fields.has(k)]
        if missing and name not in known_species:
            block.fault(key, f"{' and '.join(missing)} must be given for a species that is not shipped")
        word = fields.text("word", None, longest=40)
        at = {value: (node.line, node.column) for value, node in fields.map.items()}
        found[name] = SpeciesEntry(**values, emerges_from=first, emerges_until=last, word=word, at=at)
    return found


def _expected(top: Fields, species: str, known: Collection[str]) -> tuple[Expected, ...]:
    found = []
    for where, node in top.items("expected"):
        fields = Fields(top.report, node, where, ("pupating", "count", "species"))
        day = fields.day("pupating", None, need=True)
        count = fields.integer("count", 1, 1, 100_000, need=True)
        name = _species(fields, "species", species, known) if fields.has("species") else species
        if day is not None:
            found.append(Expected(day, count, name))
    return tuple(found)
