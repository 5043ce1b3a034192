"""Signs in a season's records that they tell when something was found, not when it happened."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from planner.emergence import Learned
from planner.report.texts.judgement import few, pace
from planner.season.season import Season
from planner.words import call

LEAST_DAYS = 5  # different days of emergence that must keep step before looks are supposed behind them
ABOUT_A_DAY = (0.6, 1.5)  # days less than the profile says


def noted_late(season: Season, learned: Learned) -> Iterator[str]:
    """What to look into; nothing where the keeper has told the looks."""
    if season.looks is not None or any(_found(season, c.pupa) for c in learned.compared):
        return
    days = sorted({c.ended for c in learned.compared})
    step = math.gcd(*((b - a).days for a, b in pairwise(days))) if len(days) >= LEAST_DAYS else 1
    if step > 1:
        yield (
            f"Emergences are on record on every {_nth(step)} day only. If you look only then, write "
            f"'looks: every {step} days at 8' (your hour) into season.yaml: else it seems to take longer "
            "than it does."
        )
    if few(season, learned) or (speed := pace(season, learned)) is None:
        return
    less = (learned.before.requirement - learned.alone.requirement) / speed.rate
    if ABOUT_A_DAY[0] <= less <= ABOUT_A_DAY[1]:
        mark = call("mark m1 pupated", season.folder)
        yield (
            f"They took {less:.1f} days less than the profile says. It looks the same where pupations are "
            f"noted the day after: '{mark} --between' with the two looks says so."
        )


def _found(season: Season, pupa: str) -> bool:
    """Whether its row says between which looks it pupated or emerged."""
    one = season.pupa[pupa]
    return any(when is not None and when.looks is not None for when in (one.pupated, one.ended))


def _nth(step: int) -> str:
    return {2: "second", 3: "third"}.get(step, f"{step}th")
