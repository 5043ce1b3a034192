"""The prospect of each pupa: its chance of emerging on each day, and whether it is overdue."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from planner.emergence import Forecast, Marginal, forecasts, marginals
from planner.season.pupae import Pupa
from planner.season.season import Season


@dataclass(frozen=True)
class Prospect:
    """What is to be expected of one present pupa, as of a moment.

    Attributes
    ----------
    emergence
        Its distribution, given that it had not emerged by that moment; None: no date.
    by
        When it would have emerged with a chance of 95 %; None: no date.
    overdue
        Whether ``by`` has passed.
    chances
        Chance of emerging on each of the days asked for.
    """

    pupa: Pupa
    forecast: Forecast
    emergence: Marginal | None
    by: datetime | None
    overdue: bool
    chances: dict[date, float] = field(default_factory=dict)

    def day(self, today: date) -> date | None:
        """The day on which to expect it, never a day that has passed; None without a date.

        It is the day that its darkening tells, else the day on its tag.
        """
        due = self.forecast.due
        if due is None or self.emergence is None:
            return None
        return max(today, self.emergence.median.date() if self.pupa.darkening else due.day)


def prospects(
    season: Season, now: datetime, days: Sequence[date], since: datetime | None = None
) -> list[Prospect]:
    """The prospects of all present pupae, in the order of the record.

    Parameters
    ----------
    now
        The moment for which forecasts are made.
    days
        The days whose chances are asked for.
    since
        The moment at which none of them had emerged, ``now`` unless stated. Of the day of that moment only
        the rest counts, so for the chances of a whole day give its beginning.

    Raises
    ------
    ValueError
        A species has no profile.
    FaultyFiles
        The temperatures cannot be read.
    """
    known = forecasts(season, now)
    pupae = [_as_known(p, now) for p in season.pupae if p.present]
    whole = marginals(season, pupae)
    still: dict[int, tuple[Marginal, dict[date, float]]] = {}  # pupae of which the same is known share one
    found = []
    for pupa in pupae:
        forecast, one = known[pupa.id], whole[pupa.id]
        if one is None or forecast.due is None:
            found.append(Prospect(pupa, forecast, None, None, False, dict.fromkeys(days, 0.0)))
            continue
        if id(one) not in still:
            left = one.not_before(hung_at(pupa, now if since is None else since))
            still[id(one)] = left, left.chances(days)
        by = one.interval()[1] if pupa.darkening else forecast.due.high
        found.append(Prospect(pupa, forecast, still[id(one)][0], by, by < now, still[id(one)][1]))
    return found


def overdue(season: Season, now: datetime, known: Mapping[str, Forecast]) -> list[str]:
    """Ids of those that should have emerged, as `prospects` finds them; ``known``: forecasts for ``now``."""
    seen = any(p.darkening for p in season.pupae if p.present)
    if not seen and not any(one.due and one.due.high < now for one in known.values()):
        return []  # spared the distributions of all
    return [one.pupa.id for one in prospects(season, now, ()) if one.overdue]


def _as_known(pupa: Pupa, now: datetime) -> Pupa:
    """The pupa without its darkening where that is seen only after ``now``."""
    seen = pupa.darkening
    return replace(pupa, darkening=None) if seen and seen.earliest > now else pupa


def hung_at(pupa: Pupa, since: datetime) -> datetime:
    """The last moment at which a pupa is known not to have emerged: ``since``, or when it was seen dark."""
    return max(since, pupa.darkening.earliest) if pupa.darkening else since
