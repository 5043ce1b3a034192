"""What is known of each species' pupa: files in ``profiles/``, what the keeper states, what was learned."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from functools import cache
from importlib import resources
from types import MappingProxyType

from planner.emergence.learned_file import FILE, Entry, in_force
from planner.season.season import Season, SpeciesEntry

STATUSES = ("read", "second-hand", "memory", "computed", "common practice", "guess", "keeper", "learned")
VALUES = (
    "lower", "upper", "requirement", "spread", "season_share", "day_share", "emerges_from", "emerges_until",
    "firm_after", "darkens_before", "darkens_spread", "wing_drying", "wing_reach",
)  # fmt: skip


@dataclass(frozen=True)
class Basis:
    """Where a value comes from and how well it is known (one of STATUSES)."""

    source: str
    status: str


@dataclass(frozen=True, kw_only=True)
class Profile:
    """One species' pupal stage.

    ``lower``, ``upper``: thresholds, °C; ``requirement``: degree-days above ``lower`` for the median pupa;
    ``spread``: coefficient of variation of one pupa's duration about that; of its square, all pupae of one
    season have ``season_share`` in common (population, thermometer, room) and those of one pupation day
    ``day_share`` besides; the rest is each one's own. ``emerges_from``, ``emerges_until``: hours of the day
    to which emergences keep; ``firm_after``, ``darkens_before`` (on average) and ``darkens_spread`` (its sd),
    ``wing_drying``: h; ``wing_reach``: cm. ``basis`` says of each value where it comes from. Values that make
    no sense raise ValueError. The defaults are what a keeper's own species gets where nothing is stated:
    guesses, except the two 24 h, which are common practice.
    """

    key: str
    name: str
    latin: str = ""
    word: str = "pupa"
    lower: float
    upper: float = 33.0
    requirement: float
    spread: float = 0.1
    season_share: float = 0.33
    day_share: float = 0.33
    emerges_from: float = 6.0
    emerges_until: float = 12.0
    firm_after: float = 24.0
    darkens_before: float = 24.0
    darkens_spread: float = 8.0
    wing_drying: float = 3.0
    wing_reach: float = 10.0
    basis: Mapping[str, Basis] = field(default_factory=dict, compare=False, repr=False)

    def __post_init__(self) -> None:
        if not -20 <= self.lower <= 30:
            self._refuse("lower", "°C", "-20 to 30 °C (thresholds known lie between 3.9 and 16)")
        if not self.lower < self.upper <= 60:
            self._refuse("upper", "°C", f"above lower ({self.lower:g} °C), up to 60 °C")
        if not 0 < self.requirement <= 5000:
            self._refuse("requirement", "degree-days", "above 0, up to 5000 degree-days")
        if not 0 < self.spread <= 0.5:
            self._refuse("spread", "of the duration", "above 0, up to 0.5")
        if not (
            self.season_share >= 0 and self.day_share >= 0 and self.season_share + self.day_share <= 0.99
        ):
            self._refuse("day_share", "of the spread", "season_share and day_share 0 to 0.99 together")
        if not 0 <= self.emerges_from < self.emerges_until <= 24:
            self._refuse("emerges_until", "h", f"above emerges_from ({self.emerges_from:g} h), up to 24 h")
        if not 1 <= self.darkens_spread <= 240:
            self._refuse("darkens_spread", "h", "1 to 240 h")
        for name in ("firm_after", "darkens_before", "wing_drying"):
            if not 0 <= getattr(self, name) <= 240:
                self._refuse(name, "h", "0 to 240 h")

    def _refuse(self, name: str, unit: str, allowed: str) -> None:
        raise ValueError(
            f"profiles.{self.key}.{name}: {getattr(self, name):g} {unit} is not allowed: {allowed}"
        )


@cache
def shipped() -> Mapping[str, Profile]:
    """Profiles that come with the package, by season key (the file's name)."""
    import yaml  # only here: forecasts for a keeper's own species do without

    found = {}
    for file in sorted(resources.files(__package__).joinpath("profiles").iterdir(), key=lambda f: f.name):
        if file.name.endswith(".yaml"):
            key = file.name.removesuffix(".yaml")
            found[key] = _from_data(key, yaml.safe_load(file.read_text(encoding="utf-8")))
    return MappingProxyType(found)


def _from_data(key: str, data: dict[str, object]) -> Profile:
    stated = {name: data[name] for name in ("name", "latin", "word")}
    basis = {}
    for name in VALUES:
        entry = data[name]
        assert isinstance(entry, dict), f"{key}.yaml: {name}"
        stated[name] = float(entry["value"])
        basis[name] = Basis(str(entry["source"]), str(entry["status"]))
    return Profile(key=key, basis=basis, **stated)  # type: ignore[arg-type]  # checked by Profile and the tests


def known_species() -> tuple[str, ...]:
    """Keys of the species the package ships, sorted."""
    return tuple(shipped())


def profile_of(season: Season, name: str) -> Profile:
    """The profile in force for a species: ``stated_profile``, with what was learned and accepted over it.

    Raises ValueError as that does, and FaultyFiles when ``learned.yaml`` cannot be read.
    """
    base = stated_profile(season, name)
    entry = in_force(season, name)
    if entry is None or not_applied(season, base, entry):
        return base
    learned = {
        value: getattr(entry, value) for value in ("requirement", "spread", "season_share", "day_share")
    }
    source = f"{FILE}, accepted {entry.accepted}: {entry.records} emergences, {entry.hanging} still hanging"
    basis = {**base.basis, **{value: Basis(source, "learned") for value in learned}}
    return replace(base, **learned, basis=basis)


def not_applied(season: Season, base: Profile, entry: Entry) -> str:
    """Why an accepted entry is not in force; empty when it is.

    A keeper's own species must be stated to be known at all: what was learned from that statement is newer.
    """
    for value in ("requirement", "spread"):
        if base.key in shipped() and getattr(season.profiles.get(base.key), value, None) is not None:
            return f"season.yaml states the {value}"
    for value, then in (
        ("lower", entry.lower), ("upper", entry.upper),
        ("requirement", entry.from_requirement), ("spread", entry.from_spread),
    ):  # fmt: skip
        if abs(getattr(base, value) - then) > 1e-6:
            return f"it was learned with {value} {then:g}, which is now {getattr(base, value):g}"
    return ""


def stated_profile(season: Season, name: str) -> Profile:
    """The shipped profile of a species, with what the season states put over it, and nothing learned.

    A species that is not shipped must state ``lower`` and ``requirement``; Profile has defaults for the rest.
    Raises ValueError, in words for the keeper, when the species is not known or a value makes no sense.
    """
    entry = season.profiles.get(name, SpeciesEntry())
    stated = {f.name: v for f in fields(entry) if (v := getattr(entry, f.name)) is not None}
    own = {value: Basis("season.yaml", "keeper") for value in stated if value in VALUES}
    base = shipped().get(name)
    if base is not None:
        return replace(base, **stated, basis={**base.basis, **own}) if stated else base
    if name not in season.profiles:
        raise ValueError(
            f"species '{name}' is not known: write one of {', '.join(known_species())}, "
            f"or give its lower and requirement under profiles: in season.yaml"
        )
    missing = [value for value in ("lower", "requirement") if value not in stated]
    if missing:
        raise ValueError(
            f"profiles.{name}: {' and '.join(missing)} must be given (°C; degree-days above lower)"
        )
    defaults = {
        value: Basis("no source", "common practice" if value in ("firm_after", "darkens_before") else "guess")
        for value in VALUES
    }
    return Profile(key=name, name=name, basis={**defaults, **own}, **stated)
