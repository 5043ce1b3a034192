"""Emergence forecasts: species profiles, temperatures, degree-days, predicted dates and distributions."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from planner.emergence.arrivals import Arrival, arrivals
from planner.emergence.checks import faults, warnings
from planner.emergence.curve import assumption, forecast_end, gap_texts, readings_end, temperature_notes
from planner.emergence.forecast import Due, Forecast, gap
from planner.emergence.marginal import Marginal
from planner.emergence.marginals import marginals
from planner.emergence.predict import predict, predict_all, why_no_date
from planner.emergence.profiles import (
    Basis,
    Profile,
    known_species,
    profile_of,
    shipped,
    stated_profile,
)
from planner.emergence.stage import forecasts
from planner.emergence.temperatures import how_read, parse_temperatures

if TYPE_CHECKING:
    from planner.emergence.accepted import accept, forget, told
    from planner.emergence.distribution import Emergence, emergence, emergences
    from planner.emergence.drying import expected_together, same_day, together
    from planner.emergence.implausible import doubts
    from planner.emergence.learning import Accuracy, Compared, Learned, learn
    from planner.emergence.measured_share import coverage

__all__ = [
    "Accuracy",
    "Arrival",
    "Basis",
    "Compared",
    "Due",
    "Emergence",
    "Forecast",
    "Learned",
    "Marginal",
    "Profile",
    "accept",
    "arrivals",
    "assumption",
    "coverage",
    "doubts",
    "emergence",
    "emergences",
    "expected_together",
    "faults",
    "forecast_end",
    "forecasts",
    "forget",
    "gap",
    "gap_texts",
    "how_read",
    "known_species",
    "learn",
    "marginals",
    "parse_temperatures",
    "predict",
    "predict_all",
    "profile_of",
    "readings_end",
    "same_day",
    "shipped",
    "stated_profile",
    "temperature_notes",
    "together",
    "told",
    "warnings",
    "why_no_date",
]


def __getattr__(name: str) -> Any:
    # These modules import numpy, which loads slowly: it is imported on first use only.
    if name in ("Emergence", "emergence", "emergences"):
        from planner.emergence import distribution

        return getattr(distribution, name)
    if name == "coverage":
        from planner.emergence.measured_share import coverage

        return coverage
    if name == "doubts":
        from planner.emergence.implausible import doubts

        return doubts
    if name in ("expected_together", "same_day", "together"):
        from planner.emergence import drying

        return getattr(drying, name)
    if name in ("accept", "forget", "told"):
        from planner.emergence import accepted

        return getattr(accepted, name)
    if name in ("Accuracy", "Compared", "Learned", "learn"):
        from planner.emergence import learning

        return getattr(learning, name)
    raise AttributeError(f"module 'planner.emergence' has no attribute {name!r}")
