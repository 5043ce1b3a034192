"""A season as read: settings, places, pupae. Frozen; all lengths cm, all temperatures °C."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from pathlib import Path

from planner.season.forecast import ForecastDay
from planner.season.paper import USUAL_CARD, CardSize
from planner.season.places import Place
from planner.season.places.dividers import Divider, Rules
from planner.season.pupae import Pupa
from planner.season.reading.looks import Looks
from planner.season.reading.scalars import degrees, tidy

CM_PER_INCH = 2.54


@dataclass(frozen=True, kw_only=True)
class SpeciesEntry:
    """What a keeper may state of a species in ``profiles:``; None means not stated.

    ``lower``, ``upper`` °C; ``requirement`` degree-days above ``lower`` (K); ``spread`` coefficient of
    variation of the duration; ``emerges_from``, ``emerges_until`` hours of the day; ``firm_after``,
    ``darkens_before``, ``darkens_spread`` (its standard deviation), ``wing_drying`` hours; ``word``: what to
    call the pupa. ``at``: line and column of each value in season.yaml.
    """

    lower: float | None = None
    upper: float | None = None
    requirement: float | None = None
    spread: float | None = None
    emerges_from: float | None = None
    emerges_until: float | None = None
    firm_after: float | None = None
    darkens_before: float | None = None
    darkens_spread: float | None = None
    wing_drying: float | None = None
    word: str | None = None
    at: Mapping[str, tuple[int, int]] = field(default_factory=dict, compare=False, repr=False)


@dataclass(frozen=True)
class Expected:
    """``count`` pupae expected to pupate on a day."""

    pupating: date
    count: int
    species: str


@dataclass(frozen=True, kw_only=True)
class Season:
    """Everything the keeper wrote. ``constant`` °C or, when None, ``temperature_file``.

    ``readings``, ``learned`` and ``earlier``: what ``temperature_file``, learned.yaml and earlier.yaml held
    when the season was read, as planner.emergence reads it; None: there is no such file.
    ``place_readings``: what the files of readings of places held, by their names.
    ``forecast``: the next days of a weather service; or they are in ``forecast_file``, which held
    ``forecast_table``.
    ``date_style``: how days are typed, ``us`` with the month first, ``eu`` with the day; None: not stated.
    Dates of ``temperature_file`` that its rows leave open are read so, too.
    ``risk``: the chance allowed that two neighbours dry their wings together, instead of ``gap_days``.
    ``elbow_room``: how far from any other a pupa is hung for the sake of hands; None: not stated.
    ``rehang_price``: to move a pupa that hangs already is as bad as to move so many from a lid.
    ``looks``: when the keeper looks after the pupae; None: not stated.
    ``paper``, ``card_size``, ``tag_shape``: what is printed, unless a command says otherwise.
    """

    folder: Path
    name: str
    units: str = "cm"
    date_style: str | None = None
    paper: str = "A4"
    card_size: CardSize = USUAL_CARD
    tag_shape: str = "card"
    timezone: str = "UTC"
    looks: Looks | None = None
    gap_days: float = 2.0
    risk: float | None = None
    rehang_price: int = 3
    species: str = "monarch"
    wing_reach: float = 10.0
    elbow_room: float | None = None
    drop: float = 20.0
    clearance: float = 11.0
    lowest: float = 0.0
    highest: float = 250.0
    constant: float | None = 23.0
    fahrenheit: bool = False
    temperature_file: str | None = None
    temperature_column: str | None = None
    readings: bytes | None = field(default=None, repr=False)
    forecast: tuple[ForecastDay, ...] = ()
    forecast_file: str | None = None
    forecast_table: bytes | None = field(default=None, repr=False)
    learned: bytes | None = field(default=None, repr=False)
    earlier: bytes | None = field(default=None, repr=False)
    place_readings: dict[str, bytes] = field(default_factory=dict, repr=False)
    profiles: dict[str, SpeciesEntry] = field(default_factory=dict)
    places: tuple[Place, ...] = ()
    dividers: tuple[Divider, ...] = ()
    expected: tuple[Expected, ...] = ()
    pupae: tuple[Pupa, ...] = ()
    digests: dict[str, str] = field(default_factory=dict)

    def at(self, place: str) -> Season:
        """The season as it is at a place: with the temperature of that, where it has its own."""
        stated = self.place[place].temperature if place in self.place else None
        if stated is None:
            return self
        if place not in self._at:
            self._at[place] = replace(
                self,
                constant=stated.constant,
                temperature_file=stated.file,
                temperature_column=stated.column,
                readings=self.place_readings.get(stated.file or ""),
                forecast=(),
                forecast_file=None,
                forecast_table=None,
            )
        return self._at[place]

    @cached_property
    def _at(self) -> dict[str, Season]:
        return {}

    @property
    def by_readings(self) -> list[Season]:
        """The season itself, and as it is at the first place with each other file or column of readings."""
        found = {(self.temperature_file, self.temperature_column): self}
        for place in self.temperature_places:
            if (there := self.at(place)).temperature_file is not None:
                found.setdefault((there.temperature_file, there.temperature_column), there)
        return list(found.values())

    @cached_property
    def temperature_places(self) -> tuple[str, ...]:
        """Places with a temperature of their own."""
        return tuple(p.name for p in self.places if p.temperature is not None)

    def still_expected(self, today: date) -> Iterator[Expected]:
        """Those expected from today on, less those of that day and species that are recorded already."""
        recorded = Counter((p.species, p.pupated.day) for p in self.pupae if p.pupated)
        for one in self.expected:
            if one.pupating >= today:
                here = min(one.count, recorded[one.species, one.pupating])
                recorded[one.species, one.pupating] -= here
                if one.count > here:
                    yield replace(one, count=one.count - here)

    def length(self, cm: float) -> str:
        """A length in the keeper's unit, to the thousandth: ``14.25 in``."""
        return f"{tidy(round(cm / self.cm_per_unit, 3))} {self.units}"

    def degrees(self, celsius: float) -> str:
        """A temperature as the keeper states them: ``23 °C`` or ``73.4 °F``."""
        return degrees(celsius, fahrenheit=self.fahrenheit)

    @property
    def cm_per_unit(self) -> float:
        """1 for cm, 2.54 for in."""
        return CM_PER_INCH if self.units == "in" else 1.0

    @property
    def least_elbow_room(self) -> float:
        """How far (cm) from any other a pupa is hung while there is room: else half the wing reach."""
        return self.wing_reach / 2 if self.elbow_room is None else self.elbow_room

    @property
    def card_rules(self) -> Rules:
        """What decides whether a card can stand somewhere."""
        return Rules(self.units, self.cm_per_unit, self.wing_reach, self.drop, self.clearance)

    @cached_property
    def place(self) -> dict[str, Place]:
        """Places by name."""
        return {p.name: p for p in self.places}

    @cached_property
    def pupa(self) -> dict[str, Pupa]:
        """Pupae by id, those that are gone included."""
        return {p.id: p for p in self.pupae}

    @cached_property
    def closing(self) -> dict[str, list[Pupa]]:
        """By place, sick ones whose spot is closed until it is cleaned."""
        found: dict[str, list[Pupa]] = {}
        for pupa in self.pupae:
            if pupa.closes:
                found.setdefault(pupa.place, []).append(pupa)
        return found
