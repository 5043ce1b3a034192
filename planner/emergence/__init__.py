"""When each one emerges: species profiles, temperatures, degree-days, prediction."""

from planner.emergence.checks import faults, warnings
from planner.emergence.curve import assumption, gap_texts
from planner.emergence.forecast import Due, Forecast, gap
from planner.emergence.predict import predict, predict_all, why_no_date
from planner.emergence.profiles import (
    Basis,
    Profile,
    known_species,
    profile_of,
    shipped,
)
from planner.emergence.stage import forecasts
from planner.emergence.temperatures import read_temperatures

__all__ = [
    "Basis",
    "Due",
    "Forecast",
    "Profile",
    "assumption",
    "faults",
    "forecasts",
    "gap",
    "gap_texts",
    "known_species",
    "predict",
    "predict_all",
    "profile_of",
    "read_temperatures",
    "shipped",
    "warnings",
    "why_no_date",
]
