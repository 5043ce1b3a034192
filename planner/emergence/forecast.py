"""A pupa's forecast as the planner sees it: stage, movable period and due."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

# How far ahead moves are allowed where no darkening is forecast; the forecast is made anew long before that.
NOT_IN_SIGHT = timedelta(days=365)


@dataclass(frozen=True)
class Due:
    """A predicted emergence: its median and a central prediction interval, in local time.

    Attributes
    ----------
    median, low, high : datetime
        Median, and the ends of the interval.
    sd : float
        Standard deviation, days.
    level : float
        Chance that the interval holds, 0 to 1.
    note : str
        A warning that accompanies the date, or empty.
    half : tuple of (datetime, datetime), or None
        The ends of the central interval that holds with a chance of one half.
    """

    median: datetime
    low: datetime
    high: datetime
    sd: float
    level: float = 0.9
    note: str = ""
    half: tuple[datetime, datetime] | None = None

    @property
    def day(self) -> date:
        """The date of the median."""
        return self.median.date()


def gap(a: Due, b: Due) -> float:
    """Days between two medians, rounded to 1e-6 so that equal dates compare equal."""
    return round(abs((a.median - b.median).total_seconds()) / 86400, 6)


@dataclass(frozen=True)
class Forecast:
    """The forecast of one pupa at one moment.

    Attributes
    ----------
    pupa : str
        Its id.
    stage : str
        ``prepupa``, ``soft``, ``firm``, ``darkening`` or ``gone``. While a plan is made also ``waiting``:
        firm, but deferred.
    due : Due or None
        None for a prepupa, or where it is too cold to reach the median.
    firm_from : datetime or None
        Local time from which it may be moved; None for a prepupa.
    dark_from : datetime or None
        Local time from which it must no longer be moved; None where no darkening is forecast.
    why : str
        Why it must not be touched now; empty when it may be.
    note : str
        Why it has no date, or what makes its date doubtful; may be empty.
    """

    pupa: str
    stage: str
    due: Due | None
    firm_from: datetime | None
    dark_from: datetime | None
    why: str
    note: str = ""

    @property
    def movable(self) -> bool:
        """Whether its own stage allows it to be moved now."""
        return not self.why

    def last_move(self, on: datetime) -> datetime:
        """Latest local time at which it may be moved, as forecast at ``on``."""
        return on + NOT_IN_SIGHT if self.dark_from is None else self.dark_from

    def last_evening(self, on: datetime) -> datetime | None:
        """Last time at the hour of ``on`` at which it may be moved; None where no darkening is forecast."""
        if self.dark_from is None:
            return None
        moment = timedelta(microseconds=1)  # when it may be darkening is too late
        return on + (self.dark_from - moment - on) // timedelta(days=1) * timedelta(days=1)

    @property
    def later(self) -> bool:
        """Whether it must not be moved now, but may be from ``firm_from`` on."""
        return self.stage in ("soft", "waiting")
