"""What may be expected of each pupa on each day: chances, and whether it is overdue."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from planner.emergence import Emergence, Forecast, emergences, forecasts
from planner.season.pupae import Pupa
from planner.season.season import Season


@dataclass(frozen=True)
class Prospect:
    """One present pupa at one moment.

    ``emergence``: its distribution, given that it had not emerged by then; None: no date.
    ``chances``: of emerging on each of the days asked for. ``by``: when 19 in 20 would have emerged.
    """

    pupa: Pupa
    forecast: Forecast
    emergence: Emergence | None
    by: datetime | None
    overdue: bool
    chances: dict[date, float] = field(default_factory=dict)

    def day(self, today: date) -> date | None:
        """The day to expect it on: as darkening tells, else as on its tag, but never a day that is past."""
        due = self.forecast.due
        if due is None or self.emergence is None:
            return None
        return max(today, self.emergence.median.date() if self.pupa.darkening else due.day)


def prospects(
    season: Season, now: datetime, days: Sequence[date], since: datetime | None = None
) -> list[Prospect]:
    """All present pupae, in the order of the record.

    Chances are given that none of them had emerged by ``since``, which is ``now`` unless stated: of today
    only what is left of the day counts. Whoever asks for a day without an hour gives its beginning.

    Raises ValueError and FaultyFiles as forecasts do.
    """
    known = forecasts(season, now)
    pupae = [_as_known(p, now) for p in season.pupae if p.present]
    whole = emergences(season, pupae)
    still: dict[int, tuple[Emergence, dict[date, float]]] = {}  # pupae of which the same is known share one
    found = []
    for pupa in pupae:
        forecast, one = known[pupa.id], whole[pupa.id]
        if one is None or forecast.due is None:
            found.append(Prospect(pupa, forecast, None, None, False, dict.fromkeys(days, 0.0)))
            continue
        if id(one) not in still:
            seen = pupa.darkening
            last = now if since is None else since
            left = one.not_before(max(last, seen.earliest) if seen else last)
            still[id(one)] = left, left.chances(days)
        by = one.interval()[1] if pupa.darkening else forecast.due.high
        found.append(Prospect(pupa, forecast, still[id(one)][0], by, by < now, still[id(one)][1]))
    return found


def _as_known(pupa: Pupa, now: datetime) -> Pupa:
    """Without a darkening that is seen only later than now."""
    seen = pupa.darkening
    return replace(pupa, darkening=None) if seen and seen.earliest > now else pupa
