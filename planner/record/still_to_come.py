"""What is recorded for a time that is still to come."""

from __future__ import annotations

from datetime import datetime

from planner.season.reading.told_dates import whole_moment
from planner.season.season import Season
from planner.words import ids


def not_yet(season: Season, now: datetime) -> str:
    """Empty, or what is recorded for a time to come: a slip, a wrong clock, or ``--on``."""
    later: dict[str, list[str]] = {}  # what → of whom
    for p in season.pupae:
        ended = (p.outcome or "ended", p.ended)
        for what, when in (("pupated", p.pupated), ("hung", p.hung), ("darkening", p.darkening), ended):
            if when and when.earliest > now:
                later.setdefault(what, []).append(p.id)
    counted = iter([f"{whole_moment(now)}, which counts as now"])
    return "; ".join(f"{what} after {next(counted, 'it')}: {ids(names)}" for what, names in later.items())
