"""Small seasons for the tests of planning: monarchs at 23 °C, firm a day after they pupated."""

from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

from planner.planning.make_plan import make_plan
from planner.season import Lid, Line, Pupa, Season, When
from planner.season.season import SpeciesEntry
from planner.verify import verify

ON = datetime(2027, 7, 9, 12)


def day(number):
    return When(date(2027, 7, number))


def pupa(name, number, place="tub", **more):
    pupated = day(number) if isinstance(number, int) else number
    return Pupa(id=name, species="monarch", pupated=pupated, place=place, **more)


# Develops above 25 °C only: at the 23 °C of these seasons it stands still, and nobody knows its date.
SLOW = {"slow": SpeciesEntry(lower=25, requirement=100)}


def undated(name, number=3, place="tub", **more):
    return Pupa(id=name, species="slow", pupated=day(number), place=place, **more)


def without_date(pupae, names):
    """The same pupae, those of these names of the species that stands still."""
    return [replace(p, species="slow") if p.id in names else p for p in pupae]


def tub(name="tub", **more):
    return Lid(name=name, width=40, length=28, **more)


def line(name="n", marks=10, **more):
    """A line with ``marks`` marks 4 cm apart: with a wing reach of 10 each has two neighbours either side."""
    return Line(name=name, length=4 * marks + 2, height=150, **({"clips_every": 4} | more))


def season(places, pupae, **settings):
    settings = {"profiles": SLOW} | settings
    return Season(folder=Path("season"), name="test", places=tuple(places), pupae=tuple(pupae), **settings)


def plan_of(case, on=ON, seconds=20, **options):
    """The plan of a season, which the verifier must pass."""
    plan = make_plan(case, on, seconds=seconds, workers=1, **options)
    assert verify(case, plan) == []
    return plan


def level(plan, name):
    return next(x for x in plan.proof if x.name == name)
