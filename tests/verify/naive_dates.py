"""The naive verifier's rule of dates: an hour at a time, until the degree-days are enough."""

import math
from datetime import date, timedelta
from functools import lru_cache

from planner.emergence import parse_temperatures, profile_of

WITHIN = timedelta(hours=2)
HOUR = timedelta(hours=1)
FIRST = date(2000, 1, 1)
WAVE = [math.cos(math.pi * (k + 0.5) / 500) for k in range(500)]  # half a wave, from the highest down


def dates(c):
    dues = {p.id: due(c.season, p, c.on) for p in c.present}
    for h in c.plan.hangs:
        when = dues.get(h.pupa)
        if when and h.due not in {(when - WITHIN).date(), (when + WITHIN).date()}:
            return False
    for m in c.moves:
        if when := dues.get(m.pupa):
            pupa = c.season.pupa[m.pupa]
            profile = profile_of(c.season, pupa.species)
            if m.not_before < pupa.pupated.latest + timedelta(hours=profile.firm_after) - WITHIN:
                return False
            if m.not_after > when - timedelta(hours=profile.darkens_before) + WITHIN:
                return False
    return True


def due(season, pupa, on):
    """When it is due; None where it is not told here: no pupa yet, darkening, past it, or hardly ever."""
    if pupa.pupated is None or pupa.darkening is not None:
        return None
    profile = profile_of(season, pupa.species)
    days = _days(season) if season.temperature_file else {}
    if days is None or (days and pupa.pupated.middle.date() < min(days)):
        return None
    by_day = {day: _mean(*pair, profile.lower, profile.upper) for day, pair in days.items()}
    last = [by_day[day] for day in sorted(by_day)[-7:]]
    if season.constant is not None:
        last = [_mean(season.constant, season.constant, profile.lower, profile.upper)]
    if not last or sum(last) <= 0:
        return None
    when = gather(pupa.pupated.middle, profile.requirement, by_day, sum(last) / len(last))
    slow = gather(pupa.pupated.middle, 1.5 * profile.requirement, by_day, sum(last) / len(last))
    return when if when > on and slow <= pupa.pupated.middle + timedelta(days=100) else None


def gather(moment, need, by_day, otherwise):
    for _ in range(366 * 24):
        got = by_day.get(moment.date(), otherwise) / 24
        if got >= need:
            return moment + HOUR * (need / got)
        need, moment = need - got, moment + HOUR
    return moment + timedelta(days=366)


@lru_cache
def _mean(low, high, lower, upper):
    warmth = [(low + high) / 2 + (high - low) / 2 * wave for wave in WAVE]
    return sum(max(0.0, min(t, upper) - lower) for t in warmth) / len(warmth)


def _days(season):
    """Day → lowest and highest; None where that is not what was measured, or days are missing."""
    found, _ = parse_temperatures(season.readings, season.temperature_file, season.timezone)
    if not found.daily or any(found.start[1:] != found.end[:-1]):
        return None
    return {
        FIRST + timedelta(days=int(day)): (float(low), float(high))
        for day, low, high in zip(found.start, found.low, found.high, strict=True)
    }
