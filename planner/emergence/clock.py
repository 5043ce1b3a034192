"""Moments as numbers: days from a fixed one, in local wall-clock time."""

from __future__ import annotations

from datetime import datetime

EPOCH = datetime(2000, 1, 1)


def days_from_epoch(moment: datetime) -> float:
    """Local time as days from EPOCH."""
    return (moment - EPOCH).total_seconds() / 86400
