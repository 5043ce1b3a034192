"""A wing reach that looks as if it was measured in the other unit: 10 stays 10 where cm become inches."""

from __future__ import annotations

import math

from planner.emergence import shipped
from planner.season.season import CM_PER_INCH, Season
from planner.words import length

# Times the usual, or that part of it: more than a keeper's margin, less than the 2.54 between the units.
FAR_OFF = 2.0


def usual_reach(wingspan: float, units: str) -> float:
    """A wingspan of so many cm as a keeper would write it down, in whole cm or quarters of an inch.

    >>> usual_reach(10, "cm"), usual_reach(10, "in"), usual_reach(7, "in")
    (10, 4.0, 2.75)
    """
    quarters = wingspan / CM_PER_INCH * 4
    return math.ceil(quarters - 0.3) / 4 if units == "in" else math.ceil(wingspan)


def other_unit(season: Season) -> list[str]:
    """A note where ``wing_reach`` is far from the wingspan of the species; none for a keeper's own species.

    The usual is that of the species' profiles, about one wingspan; of several the one that is nearest.
    """
    kinds = {season.species, *(p.species for p in season.pupae if p.present)}
    if not kinds <= shipped().keys():
        return []
    reaches = {shipped()[kind].wing_reach: shipped()[kind].name for kind in sorted(kinds)}
    inches = season.units == "in"
    usual = max(reaches) if inches else min(reaches)
    if season.wing_reach < usual * FAR_OFF if inches else season.wing_reach >= usual / FAR_OFF:
        return []
    says = f"wing_reach in season.yaml is {length(season, season.wing_reach)}"
    about = length(season, usual_reach(usual, season.units) * season.cm_per_unit)
    is_usual = f"usual is one wingspan, about {about} for {reaches[usual]}"
    return [f"{says}: {is_usual}. Was it measured in {'cm' if inches else 'inches'}?"]
