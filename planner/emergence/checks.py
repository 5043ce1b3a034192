"""Checks of a season's profiles and temperatures: faults, which prevent a forecast, and warnings."""

from __future__ import annotations

from planner.emergence import learned_file
from planner.emergence.earlier_seasons import earlier_seasons
from planner.emergence.profiles import NotAllowedError, counts_alike, not_applied, shipped, stated_profile
from planner.emergence.temperatures import measured
from planner.emergence.weather_of import forecast_of
from planner.season import settings
from planner.season.load import EARLIER
from planner.season.reading.problems import FaultyFiles, Problem
from planner.season.season import Season

# Lowest and highest lower threshold, °C, of 131 data sets of Lepidoptera: Miller, J. Lepid. Soc. 65 (2011).
KNOWN_THRESHOLDS = (3.9, 16.0)


def faults(season: Season) -> tuple[Problem, ...]:
    """Faults that prevent a forecast, sorted.

    These are species without a usable profile, and every fault of the temperature file and of
    ``learned.yaml`` and ``earlier.yaml``.
    """
    found = set[Problem]()
    in_settings = {season.species, *season.profiles, *(e.species for e in season.expected)}
    for name in in_settings:
        found.update(_unusable(season, name))
    for pupa in season.pupae:
        if pupa.species not in in_settings:
            why = _unusable(season, pupa.species)
            found.update(Problem("pupae.csv", pupa.line, 0, pupa.id, problem.what) for problem in why)
    reads = [(read, season) for read in (measured, forecast_of, learned_file.entries_of, earlier_seasons)]
    reads += [(measured, season.at(place)) for place in season.temperature_places]
    for read, where in reads:
        try:
            read(where)
        except FaultyFiles as faulty:
            found.update(faulty.found)
    return tuple(sorted(found))


def _unusable(season: Season, name: str) -> list[Problem]:
    """Why a species has no usable profile, at the value that is stated."""
    try:
        stated_profile(season, name)
    except NotAllowedError as fault:
        stated = season.profiles[name].at if name in season.profiles else {}
        line, column = stated.get(fault.where.rpartition(".")[2], (0, 0))
        return [Problem(settings.FILE, line, column, fault.where, fault.what)]
    except ValueError as fault:
        return [Problem(settings.FILE, 0, 0, "", str(fault))]
    return []


def warnings(season: Season) -> tuple[str, ...]:
    """Warnings about profile values that are allowed but unusual.

    They name lower thresholds outside ``KNOWN_THRESHOLDS``, a lower threshold that is changed without its
    requirement, entries of ``learned.yaml`` that are not applied or were counted in another way than now, and
    earlier seasons that are not used.

    Raises
    ------
    FaultyFiles
        ``learned.yaml`` or ``earlier.yaml`` cannot be read.

    References
    ----------
    Miller, J. Lepid. Soc. 65 (2011), doi 10.18473/lepi.v65i4.a3 (range of the thresholds).
    """
    found = list[str]()
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
    for learned in learned_file.entries_of(season):
        if learned.replaced_by is None and not _unusable(season, learned.species):
            why = not_applied(season, stated_profile(season, learned.species), learned)
            what = f"{learned_file.FILE}: what was learned of {learned.species}"
            if why:
                found.append(f"{what} is not applied: {why}")
            elif learned.counted != learned_file.COUNTED:
                found.append(f"{what} was counted in another way: 'hangplan learn --accept' counts it anew")
    for name in sorted({one.species for one in earlier_seasons(season)}):
        if not _unusable(season, name):
            base = stated_profile(season, name)
            unused = [one.season for one in earlier_seasons(season, name) if not counts_alike(base, one)]
            if unused:
                between = f"{season.degrees(base.lower)} and {season.degrees(base.upper)}"
                found.append(
                    f"{EARLIER}: of {name} {' and '.join(unused)} is not used: its degree-days were counted "
                    f"between other thresholds than {between}"
                )
    return tuple(found)
