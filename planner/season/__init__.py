"""A season's files: read, checked, stored."""

from planner.season.load import load
from planner.season.places import Board, Lid, Line, Place
from planner.season.plan.plan_record import Hang, Kept, Level, Move, Plan, Stuck, TooClose, Waits
from planner.season.pupae import Pupa
from planner.season.reading.problems import FaultyFiles, Problem
from planner.season.reading.when import When
from planner.season.season import Expected, Season, SpeciesEntry
from planner.season.store import Store, StoreError

__all__ = [
    "Board", "Expected", "FaultyFiles", "Hang", "Kept", "Level", "Lid", "Line", "Move", "Place", "Plan",
    "Problem", "Pupa", "Season", "SpeciesEntry", "Store", "StoreError", "Stuck", "TooClose", "Waits", "When",
    "load",
]  # fmt: skip
