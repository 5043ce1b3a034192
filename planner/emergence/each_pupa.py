"""A distribution of each pupa's emergence, made once for all that are alike."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Protocol, Self, TypeVar

from planner.emergence.curve import Curve
from planner.emergence.predict import reached_all
from planner.emergence.profiles import Profile, profile_of
from planner.emergence.stays import Stay, curve_at, stay_of
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season

T = TypeVar("T", bound="Updated")


class Updated(Protocol):
    """A distribution of a time of emergence that is narrowed by what is known meanwhile."""

    def darkening_seen(self, seen: When) -> Self:
        """The distribution conditional on darkening; to be applied before ``not_before``."""

    def not_before(self, now: datetime) -> Self:
        """The distribution conditional on no emergence before ``now``."""


def of_each(
    season: Season,
    pupae: Sequence[Pupa],
    now: datetime | None,
    made_of: Callable[[Profile, Curve, str, When], T],
) -> dict[str, T | None]:
    """A distribution of each pupa's emergence, by id, given what is known of it by ``now`` (local time).

    Pupae alike in species, stay, pupation, darkening and presence share one object. None for a prepupa, and
    where not even the earliest 5 % emerge within a year.

    Parameters
    ----------
    made_of
        The distribution given the time of pupation alone: of profile, curve, key of the species and that.

    Raises
    ------
    ValueError
        A species without a usable profile.
    FaultyFiles
        Temperatures or ``learned.yaml`` cannot be read.
    """
    curves: dict[tuple[str, Stay], tuple[Profile, Curve]] = {}
    made: dict[tuple[str, Stay, When | None, When | None, bool], T | None] = {}
    found: dict[str, T | None] = {}
    for pupa, reached in zip(pupae, reached_all(season, pupae), strict=True):
        seen = pupa.darkening
        if seen and now and seen.earliest > now:
            seen = None
        kind = pupa.species, stay_of(season, pupa)
        key = (*kind, pupa.pupated, seen, pupa.present)
        if not reached.ready or pupa.pupated is None:
            made[key] = None
        elif key not in made:
            if kind not in curves:
                profile = profile_of(season.at(kind[1].place), pupa.species)
                curves[kind] = profile, curve_at(season, profile, kind[1])
            whole = made_of(*curves[kind], pupa.species, pupa.pupated)
            whole = whole.darkening_seen(seen) if seen else whole
            made[key] = whole.not_before(now) if now and pupa.present else whole
        found[pupa.id] = made[key]
    return found
