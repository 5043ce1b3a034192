"""What is known of each species' pupa: data files in ``profiles/``, and what the keeper states over them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from functools import cache
from importlib import resources
from types import MappingProxyType

from planner.season.season import Season, SpeciesEntry

STATUSES = ("read", "second-hand", "memory", "computed", "common practice", "guess", "keeper")
VALUES = (
    "lower", "upper", "requirement", "spread", "firm_after", "darkens_before", "wing_drying", "wing_reach",
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
    ``spread``: coefficient of variation of the duration; ``firm_after``, ``darkens_before``,
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
    firm_after: float = 24.0
    darkens_before: float = 24.0
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
    """The profile in force for a species: the shipped one, with what the season states put over it.

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
