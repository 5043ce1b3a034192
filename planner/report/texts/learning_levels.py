"""How a requirement was come to: the profile, each earlier season, what this season began with, and now."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from planner.emergence import Learned, stated_profile
from planner.emergence.daily_extremes import as_counted
from planner.emergence.earlier_seasons import EarlierSeason, earlier_seasons
from planner.emergence.prior import Summary
from planner.emergence.profiles import before_records, usable_seasons
from planner.report.texts.sheet import Block, Table, Words
from planner.season.season import Season
from planner.words import count


@dataclass(frozen=True)
class Levels:
    """The profile of a species, the earlier seasons that count, and what this season begins with by both."""

    profile: Summary
    seasons: tuple[EarlierSeason, ...]
    begins: Summary


def levels(season: Season, species: str) -> Levels:
    """Those of one species. Raises ValueError and FaultyFiles as `planner.emergence.profile_of` does."""
    base = stated_profile(season, species)
    seasons = usable_seasons(season, base)
    return Levels(as_counted(season, species, base.summary), seasons, before_records(season, base).summary)


def taught_species(season: Season, found: Sequence[Learned]) -> list[str]:
    """Species that records or earlier seasons say something of."""
    return sorted({x.species for x in found} | {one.species for one in earlier_seasons(season)})


def levels_told(season: Season, species: str, learned: Learned | None) -> Iterator[Block]:
    """A table of them; nothing where no earlier season counts."""
    those = levels(season, species)
    if not those.seasons:
        return
    rows = [("profile", *_values(those.profile))]
    for one in those.seasons:
        name = f"{one.season}, {count(one.records, 'emergence')}"
        rows.append((name, f"{one.requirement:.1f}", f"{one.error:.1f}"))
    rows.append(("this season begins with", *_values(those.begins)))
    if learned is not None:
        rows.append(("now, with its own records", *_values(learned.after)))
    yield Table(("requirement, degree-days", "", "give or take"), rows, (0,), "  ")
    if learned is None:
        yield Words("No emergence of this season is recorded that can be used.", "  ")


def _values(summary: Summary) -> tuple[str, str]:
    """The requirement of a season, and its standard error."""
    error = summary.requirement * summary.spread * math.sqrt(summary.season_share)
    return f"{summary.requirement:.1f}", f"{error:.1f}"
