"""Seasons in which the outlook can be reckoned by hand.

At 23 °C a pupa takes 130 / (23 - 10) = 10 days from noon of its day, firm 24 h after that day's end.
"""

from dataclasses import replace
from datetime import datetime
from pathlib import Path

from planner.season import Lid, Line, Pupa, Season, SpeciesEntry, When

NOW = datetime(2027, 7, 5, 8)
SEASON = Season(
    folder=Path(),
    name="Porch",
    timezone="Europe/Lisbon",
    profiles={"monarch": SpeciesEntry(lower=10, requirement=130)},
    places=(
        Line(name="north", length=20, height=150, clips_every=4),  # 4, 8, 12, 16: four spots
        Line(name="floor", length=20, height=5, clips_every=4),  # too low for wings
        Lid(name="tub-2", width=40, length=28),
        Lid(name="tub-3", width=40, length=28, clear=True),
    ),
)


def pupa(name, pupated, place="north", spot=None, **more):
    return Pupa(id=name, species="monarch", pupated=pupated and When.parse(pupated), place=place, spot=spot,
                **more)  # fmt: skip


def season(*pupae, **more):
    return replace(SEASON, pupae=pupae, **more)
