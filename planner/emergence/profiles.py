"""Profiles of the pupal stage by species: shipped, stated by the keeper, or learned."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from functools import cache
from importlib import resources
from types import MappingProxyType

from planner.emergence.daily_extremes import as_counted
from planner.emergence.earlier_seasons import FILE as EARLIER
from planner.emergence.earlier_seasons import EarlierSeason, earlier_seasons
from planner.emergence.learned_file import FILE, Entry, in_force
from planner.emergence.prior import Prior, Summary, carried
from planner.season.reading.yaml_text import Plain, read_yaml
from planner.season.season import Season, SpeciesEntry

STATUSES = ("read", "second-hand", "memory", "computed", "common practice", "guess", "keeper", "learned")
VALUES = (
    "lower", "upper", "fall", "fall_spread", "requirement", "spread", "season_share", "day_share",
    "sibling_spread",
    "emerges_from", "emerges_until", "firm_after", "darkens_before", "darkens_spread", "wing_drying",
    "wing_reach",
)  # fmt: skip


@dataclass(frozen=True)
class Basis:
    """Source of a value, and its status (one of STATUSES)."""

    source: str
    status: str


class NotAllowedError(ValueError):
    """A value outside its allowed range: ``where`` it stands, such as ``profiles.monarch.upper``."""

    def __init__(self, where: str, what: str):
        self.where, self.what = where, what
        super().__init__(f"{where}: {what}")


@dataclass(frozen=True, kw_only=True)
class Profile:
    """Parameters of one species' pupal stage.

    The defaults apply to a keeper's own species where nothing is stated. They are guesses, except
    ``firm_after`` and ``darkens_before``, which are common practice.

    Attributes
    ----------
    key, name, latin, word : str
        Key in season.yaml, common name, scientific name, and the word for its pupa.
    lower, upper : float
        Thresholds of development, °C.
    fall, fall_spread : float
        Degree-days lost per day and °C above ``upper``, and the standard deviation of what is known of it;
        at 0 development goes on as at ``upper``.
    requirement : float
        Degree-days above ``lower`` of the median pupa.
    spread : float
        Coefficient of variation of one pupa's requirement.
    season_share, day_share : float
        Shares of the spread's square, 0 to 1, common to all pupae of a season (population, thermometer,
        room), and besides to those of one pupation day. The rest is each one's own.
    sibling_spread : float
        What two pupae of one day differ by, as a factor of what their own errors and unknown hours of
        pupation would make if they were independent.
    emerges_from, emerges_until : float
        Hours of the day, 0 to 24, between which adults emerge.
    firm_after : float
        Hours from pupation until it may be moved.
    darkens_before, darkens_spread : float
        Mean and standard deviation, hours, of the time from darkening to emergence.
    wing_drying : float
        Hours from emergence until the wings are dry.
    wing_reach : float
        Distance between pupae, cm, within which open wings could touch.
    basis : mapping of str to Basis
        Source of each value.

    Raises
    ------
    NotAllowedError
        A value outside its allowed range. Of two that do not fit together one that the keeper stated.
    """

    key: str
    name: str
    latin: str = ""
    word: str = "pupa"
    lower: float
    upper: float = 33.0
    fall: float = 0.0
    fall_spread: float = 1.0
    requirement: float
    spread: float = 0.1
    season_share: float = 0.33
    day_share: float = 0.33
    sibling_spread: float = 0.8
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
            if self._only_stated("lower", "upper"):
                self._refuse("lower", "°C", f"-20 °C to below upper ({self.upper:g} °C)")
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
            if self._only_stated("emerges_from", "emerges_until"):
                self._refuse("emerges_from", "h", f"0 h to below emerges_until ({self.emerges_until:g} h)")
            self._refuse("emerges_until", "h", f"above emerges_from ({self.emerges_from:g} h), up to 24 h")
        if not 1 <= self.darkens_spread <= 240:
            self._refuse("darkens_spread", "h", "1 to 240 h")
        for name in ("firm_after", "darkens_before", "wing_drying"):
            if not 0 <= getattr(self, name) <= 240:
                self._refuse(name, "h", "0 to 240 h")

    @property
    def summary(self) -> Summary:
        """The figures that records teach."""
        return Summary(self.requirement, self.spread, self.season_share, self.day_share)

    def taking(self, summary: Summary, basis: Basis | None = None) -> Profile:
        """The same with other such figures, within what is allowed."""
        figures = ("requirement", "spread", "season_share", "day_share")
        return replace(
            self,
            requirement=summary.requirement,
            spread=min(summary.spread, 0.5),
            season_share=summary.season_share,
            day_share=min(summary.day_share, 0.98 - summary.season_share),
            basis=self.basis if basis is None else {**self.basis, **dict.fromkeys(figures, basis)},
        )

    def _only_stated(self, name: str, other: str) -> bool:
        """Whether the keeper stated the first of two values and not the second."""
        mine, its = (value in self.basis and self.basis[value].status == "keeper" for value in (name, other))
        return mine and not its

    def _refuse(self, name: str, unit: str, allowed: str) -> None:
        what = f"{getattr(self, name):g} {unit} is not allowed: {allowed}"
        raise NotAllowedError(f"profiles.{self.key}.{name}", what)


@cache
def shipped() -> Mapping[str, Profile]:
    """Profiles that come with the package, by key (the file's name without its ending)."""
    found = {}
    for file in sorted(resources.files(__package__).joinpath("profiles").iterdir(), key=lambda f: f.name):
        if file.name.endswith(".yaml"):
            key = file.name.removesuffix(".yaml")
            found[key] = _from_data(key, read_yaml(file.read_bytes(), file.name).plain())
    return MappingProxyType(found)


def _from_data(key: str, data: Plain) -> Profile:
    assert isinstance(data, dict), f"{key}.yaml"
    stated: dict[str, object] = {name: data[name] for name in ("name", "latin", "word")}
    basis = {}
    for name in VALUES:
        entry = data[name]
        assert isinstance(entry, dict), f"{key}.yaml: {name}"
        stated[name] = float(str(entry["value"]))
        basis[name] = Basis(str(entry["source"]), str(entry["status"]))
    return Profile(key=key, basis=basis, **stated)  # type: ignore[arg-type]  # checked by Profile and the tests


def known_species() -> tuple[str, ...]:
    """Keys of the shipped species, sorted."""
    return tuple(shipped())


def profile_of(season: Season, name: str) -> Profile:
    """The profile in force for a species: ``stated_profile`` with the accepted estimates applied.

    Without such estimates it is what is known before records: by earlier seasons, and by how temperatures are
    measured.

    Raises
    ------
    ValueError
        The species is not known, or a value is outside its allowed range.
    FaultyFiles
        ``learned.yaml`` or ``earlier.yaml`` cannot be read.
    """
    base = stated_profile(season, name)
    entry = in_force(season, name)
    if entry is not None and not not_applied(season, base, entry):
        source = (
            f"{FILE}, accepted {entry.accepted}: {entry.records} emergences, {entry.hanging} still hanging"
        )
        learned = Basis(source, "learned")
        figures = Summary(entry.requirement, entry.spread, entry.season_share, entry.day_share)
        found = base.taking(figures, learned)
        if entry.sibling_spread is None:
            return found
        basis = {**found.basis, "sibling_spread": learned}
        return replace(found, sibling_spread=entry.sibling_spread, basis=basis)
    if seasons := usable_seasons(season, base):
        source = f"{EARLIER}: {sum(s.records for s in seasons)} emergences of {len(seasons)} earlier"
        return base.taking(before_records(season, base).summary, Basis(source, "learned"))
    counted = as_counted(season, name, base.summary)
    return base if counted == base.summary else base.taking(counted)


def before_records(season: Season, base: Profile) -> Prior:
    """What is known of a season before its records: the profile, its temperatures, and earlier seasons."""
    return carried(as_counted(season, base.key, base.summary), usable_seasons(season, base))


def usable_seasons(season: Season, base: Profile) -> tuple[EarlierSeason, ...]:
    """The earlier seasons that the dates of a species begin from, the latest last.

    Those whose degree-days were counted between other thresholds are none, and none where season.yaml states
    the requirement or spread of a shipped species.
    """
    if _stated_figure(season, base):
        return ()
    return tuple(one for one in earlier_seasons(season, base.key) if counts_alike(base, one))


def counts_alike(base: Profile, one: EarlierSeason) -> bool:
    """Whether an earlier season counted its degree-days between the thresholds of the profile."""
    return abs(one.lower - base.lower) < 1e-6 and abs(one.upper - base.upper) < 1e-6


def _stated_figure(season: Season, base: Profile) -> str:
    """Which of requirement and spread season.yaml states for a shipped species; empty: neither."""
    entry = season.profiles.get(base.key) if base.key in shipped() else None
    return next((value for value in ("requirement", "spread") if getattr(entry, value, None) is not None), "")


def not_applied(season: Season, base: Profile, entry: Entry) -> str:
    """Why an accepted entry is not in force; empty when it is.

    A requirement or spread that season.yaml states for a shipped species overrides the entry. For a keeper's
    own species it does not: such a species must be stated to be known, and the entry was learned from that.
    """
    if value := _stated_figure(season, base):
        return f"season.yaml states the {value}"
    for value, then in (
        ("lower", entry.lower), ("upper", entry.upper),
        ("requirement", entry.from_requirement), ("spread", entry.from_spread),
    ):  # fmt: skip
        if abs(getattr(base, value) - then) > 1e-6:
            return f"it was learned with {value} {then:g}, which is now {getattr(base, value):g}"
    return ""


def stated_profile(season: Season, name: str) -> Profile:
    """The profile of a species as shipped and as stated in season.yaml, without any estimates.

    A species that is not shipped must state ``lower`` and ``requirement``; ``Profile`` has defaults for the
    rest.

    Raises
    ------
    ValueError
        The species is not known, or a value is missing or outside its allowed range; worded for the keeper.
    """
    entry = season.profiles.get(name, SpeciesEntry())
    stated = {
        f.name: v for f in fields(entry) if f.name != "at" and (v := getattr(entry, f.name)) is not None
    }
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
