"""What keeps a season from being forecast, and what is allowed but unlikely."""

from __future__ import annotations

from planner.emergence.profiles import profile_of, shipped
from planner.emergence.temperatures import measured
from planner.season.problems import FaultyFiles, Problem
from planner.season.season import Season

# Lowest and highest lower threshold among 131 sets of Lepidoptera: Miller, J. Lepid. Soc. 65 (2011).
KNOWN_THRESHOLDS = (3.9, 16.0)


def faults(season: Season) -> tuple[Problem, ...]:
    """Species without a usable profile, and every fault of the temperature file, sorted."""
    found = set[Problem]()
    in_settings = {season.species, *season.profiles, *(e.species for e in season.expected)}
    for name in in_settings:
        found.update(Problem("season.yaml", 0, 0, "", why) for why in _unusable(season, name))
    for pupa in season.pupae:
        if pupa.species not in in_settings:
            why = _unusable(season, pupa.species)
            found.update(Problem("pupae.csv", pupa.line, 0, pupa.id, text) for text in why)
    try:
        measured(season)
    except FaultyFiles as faulty:
        found.update(faulty.problems)
    return tuple(sorted(found))


def _unusable(season: Season, name: str) -> list[str]:
    try:
        profile_of(season, name)
    except ValueError as fault:
        return [str(fault)]
    return []


def warnings(season: Season) -> tuple[str, ...]:
    """Unusual thresholds, and a threshold changed without its requirement."""
    found = []
    low, high = KNOWN_THRESHOLDS
    for name, entry in sorted(season.profiles.items()):
        if entry.lower is None:
            continue
        stated = f"profiles.{name}.lower: {entry.lower:g} °C"
        if not low <= entry.lower <= high:
            found.append(f"{stated} is unusual: known butterflies and moths have {low:g} to {high:g} °C")
        if name in shipped() and entry.requirement is None:
            base = shipped()[name]
            found.append(
                f"{stated} without a requirement: the two belong together, "
                f"{base.requirement:g} degree-days were counted above {base.lower:g} °C"
            )
    return tuple(found)
