"""When each pupa is firm, may be darkening, and is due: the only interface the planner knows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

# How far ahead it may be moved where no darkening is in sight; it is forecast anew long before.
NOT_IN_SIGHT = timedelta(days=365)


@dataclass(frozen=True)
class Due:
    """Predicted emergence: median and the central interval holding ``level`` of the chance. Local time.

    ``sd``: standard deviation in days. ``note``: a warning that goes with the date, or empty.
    """

    median: datetime
    low: datetime
    high: datetime
    sd: float
    level: float = 0.9
    note: str = ""

    @property
    def day(self) -> date:
        """The day of the median."""
        return self.median.date()


def gap(a: Due, b: Due) -> float:
    """Days between two medians, rounded to 1e-6 so that equal dates compare equal."""
    return round(abs((a.median - b.median).total_seconds()) / 86400, 6)


@dataclass(frozen=True)
class Forecast:
    """What is predicted for one pupa at one moment.

    ``stage``: ``prepupa``, ``soft``, ``firm``, ``darkening`` or ``gone``; while a plan is made ``waiting``
    too: firm, but left on its lid for now. ``why``: why it must not be touched now, in words, empty when it
    may be. ``firm_from``: from when it may be moved; ``dark_from``: from when it must not be moved any more.
    ``due`` None: no date (prepupa, or too cold for the median). ``note``: why there is no date, or what makes
    it doubtful; may be empty.
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
        """Whether it may be touched now, as far as its own state goes."""
        return not self.why

    def last_move(self, on: datetime) -> datetime:
        """Until when it may be moved, as far as is known at ``on``."""
        return on + NOT_IN_SIGHT if self.dark_from is None else self.dark_from

    @property
    def later(self) -> bool:
        """Whether it may not be touched now, but from ``firm_from`` on."""
        return self.stage in ("soft", "waiting")
