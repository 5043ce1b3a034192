"""Seasons with easy numbers: 100 degree-days above 10 °C, spread 0.1, so 10 ± 1 days at 20 °C.

The room adds its weather: sd 0.5 °C that persists, 0.32 days in ten.
"""

from __future__ import annotations

import math
from datetime import date, datetime, timedelta
from pathlib import Path
from statistics import NormalDist

from as_read import as_read

from planner.emergence.climate import sum_sd
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season, SpeciesEntry

FIRST = date(2027, 7, 3)


def easy_season(pupae=(), folder=None, celsius=20.0, **entry):
    stated = SpeciesEntry(**{"lower": 10, "upper": 30, "requirement": 100, "spread": 0.1, **entry})
    found = Season(
        folder=folder or Path("/nowhere"), name="test", species="easy", constant=celsius,
        profiles={"easy": stated}, pupae=tuple(pupae),
    )  # fmt: skip
    return as_read(found)


def pupa(name="p", pupated="2027-07-03", species="easy", darkening=None, outcome=None, ended=None):
    return Pupa(
        id=name, species=species, place="lid", pupated=None if pupated is None else When.parse(pupated),
        darkening=When.parse(darkening) if darkening else None,
        outcome=outcome, ended=When.parse(ended) if ended else None,
    )  # fmt: skip


def ready_by(days):
    """Chance that the easy pupa is ready so many days after it pupated, at 20 °C.

    10 degree-days a day against 100 ± 10, and what the weather in the room adds in that time.
    """
    return NormalDist().cdf((10 * days - 100) / math.hypot(10, sum_sd(days)))


def emerged(days, species="easy", batch=1):
    """One pupa for each number of whole days it took; ``batch`` of them pupated on each day from FIRST on."""
    rows = []
    for i, took in enumerate(days):
        pupated = FIRST + timedelta(days=i // batch)
        ended = pupated + timedelta(days=took)
        rows.append(pupa(f"p{i}", str(pupated), species, outcome="emerged", ended=str(ended)))
    return rows


def at(text):
    return datetime.fromisoformat(text)
