"""Where a pupa hung, and the degree-days it gathers there: each place may have a temperature of its own."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.emergence.clock import days_from_epoch
from planner.emergence.curve import Curve, curve_of
from planner.emergence.profiles import Profile
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season

if TYPE_CHECKING:
    from planner.emergence.degree_days import Floats


@dataclass(frozen=True)
class Stay:
    """Where a pupa hangs; and where it formed, until it was moved, if another temperature was there."""

    place: str
    formed: str | None = None
    moved: When | None = None


ANYWHERE = Stay("")  # the season's own temperature


def stay_of(season: Season, pupa: Pupa) -> Stay:
    """The stay of a pupa by its record; ANYWHERE where no place has a temperature of its own.

    Between the lid where it formed and where it hangs only the last move is on record: until then it is
    taken to have been on that lid. One that was moved, no record says when, is taken to have hung there ever.
    """
    if not season.temperature_places:
        return ANYWHERE
    here = pupa.place if season.at(pupa.place) is not season else ""
    formed = pupa.formed.lid if pupa.formed else None
    there = formed if formed in season.place and season.at(formed) is not season else ""
    if formed is None or pupa.hung is None or there == here:
        return Stay(here)
    return Stay(here, there, pupa.hung)


def curve_at(season: Season, profile: Profile, stay: Stay) -> Curve:
    """The cumulative degree-day curve of a species over one stay."""
    here = curve_of(season.at(stay.place), profile)
    if stay.formed is None or stay.moved is None:
        return here
    return Moved(days_from_epoch(stay.moved.middle), curve_of(season.at(stay.formed), profile), here)


@dataclass(frozen=True)
class Moved:
    """The curve of a pupa that was moved: until then by one curve, from then on by another.

    Attributes
    ----------
    moved : float
        When, days from EPOCH.
    before, after : Curve
        Totals are those of ``after``.
    """

    moved: float
    before: Curve
    after: Curve

    @property
    def rate(self) -> float:
        """``Curve.rate``."""
        return self.after.rate

    @property
    def _off(self) -> float:
        return self.after.at_each([self.moved])[0] - self.before.at_each([self.moved])[0]

    def at(self, time: Floats) -> Floats:
        """Cumulative degree-days at each time."""
        import numpy as np

        return np.where(time < self.moved, self.before.at(time) + self._off, self.after.at(time))

    def when(self, total: Floats) -> Floats:
        """Earliest time at which each total is reached; infinite where it is never reached."""
        import numpy as np

        reached = self.after.at_each([self.moved])[0]
        return np.where(total <= reached, self.before.when(total - self._off), self.after.when(total))

    def at_each(self, times: Sequence[float]) -> list[float]:
        """``at`` for a sequence of plain numbers."""
        return [
            self.before.at_each([t])[0] + self._off if t < self.moved else self.after.at_each([t])[0]
            for t in times
        ]

    def when_each(self, totals: Sequence[float]) -> list[float]:
        """``when`` for a sequence of plain numbers."""
        reached = self.after.at_each([self.moved])[0]
        return [
            self.before.when_each([t - self._off])[0] if t <= reached else self.after.when_each([t])[0]
            for t in totals
        ]

    def late(
        self, starts: Sequence[float], needs: Sequence[float], sds: Sequence[float], z: float
    ) -> list[float]:
        """``Curve.late``: where it was before is measured, or taken as if it were."""
        found = []
        for start, need, sd in zip(starts, needs, sds, strict=True):
            first, at_move = self.before.at_each([start, self.moved])
            had = max(0.0, at_move - first) if start < self.moved else 0.0
            if had and need + z * sd <= had:
                found.append(self.before.when_each([first + need + z * sd])[0])
            else:
                found += self.after.late([max(start, self.moved)], [need - had], [sd], z)
        return [max(start, t) if t < math.inf else t for start, t in zip(starts, found, strict=True)]

    def less(self, start: float, times: Floats, sd: float, z: Floats) -> Floats:
        """``Curve.less``."""
        import numpy as np

        after = self.after.less(max(start, self.moved), np.maximum(times, self.moved), sd, z)
        usual = self.at(times) - z[:, None] * sd
        return np.where(times < self.moved, usual, after)
