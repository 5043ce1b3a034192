"""Conversion of local time to days since a fixed epoch."""

from __future__ import annotations

from datetime import datetime, timedelta

EPOCH = datetime(2000, 1, 1)


def days_from_epoch(moment: datetime) -> float:
    """Days from EPOCH to a moment.

    Parameters
    ----------
    moment : datetime
        Local wall-clock time without a time zone; changes to summer time are ignored.

    Returns
    -------
    float
        Days, with a fraction for the hour.
    """
    return (moment - EPOCH).total_seconds() / 86400


def moment_at(days: float) -> datetime:
    """The moment, to the second, so many days from EPOCH: the inverse of `days_from_epoch`."""
    return EPOCH + timedelta(seconds=round(float(days) * 86400))
