"""The naive verifier's rule of kept spots: usable, free in time, and beside nobody due too near in time."""

from collections import Counter
from datetime import timedelta

from naive_case import usable
from naive_room import beside, can_be_clipped, clips_meet, distance, on_its_place, same, spot

from planner.emergence import emergences, predict, profile_of, together
from planner.season import Lid, Line, Pupa, When


def comers(c):
    """Who will want a spot: name → a pupa to forecast, from when, how many."""
    found = {}
    for e in c.season.still_expected(c.on.date()):
        when = When(e.pupating)
        firm = when.latest + timedelta(hours=profile_of(c.season, e.species).firm_after)
        name = f"expected {e.pupating} {e.species}"
        many = e.count + (found[name][2] if name in found else 0)
        found[name] = Pupa(id=name, species=e.species, pupated=when, place=""), firm, many
    for name, state in c.forecast.items():
        on_lid = isinstance(c.season.place[c.season.pupa[name].place], Lid)
        if state.stage == "soft" and on_lid and not c.season.pupa[name].stay:
            found[name] = c.season.pupa[name], state.firm_from, 1
    for one in c.plan.waits:
        if one.pupa in c.forecast and one.pupa not in found:
            found[one.pupa] = c.season.pupa[one.pupa], one.until, 1
    return found


def shut(c, at):
    """Whether a spot is within a clip of where one was sick, or on its pin, and that is not clean yet."""
    for p in c.season.pupae:
        if at and p.outcome == "parasitised" and not p.cleaned and at.place.name == p.place:
            where, there = at.place, spot(c.season, p.place, p.spot)
            far = where.clip_width or where.clips_every / 2 if isinstance(where, Line) else 0.01
            if there and distance(at, there) < far - 1e-6:
                return True
    return False


def kept(c):
    return kept_well(c, c.plan.kept)


def kept_well(c, those, free=True):
    """Whether spots can be kept so; ``free``: and nobody of today is there any more."""
    known, minute = comers(c), timedelta(minutes=1)
    if any(n > known.get(who, (0, 0, 0))[2] for who, n in Counter(k.who for k in those).items()):
        return False
    if not those:
        return True
    of_comers = emergences(c.season, [pupa for pupa, _, _ in known.values()])
    now = emergences(c.season, c.present, c.on)
    ends = []
    for k in those:
        at, mine, (pupa, firm, _) = spot(c.season, k.place, k.spot), of_comers[k.who], known[k.who]
        if at is None or not on_its_place(at) or not can_be_clipped(at) or not all(usable(c.season, at)):
            return False
        if shut(c, at):
            return False
        forecast = predict(c.season, pupa)
        if mine is None or forecast is None:
            continue
        visit = c.on
        while visit < firm:  # the keeper comes every day at the hour of the plan
            visit += timedelta(days=1)
        if k.since > visit and k.who in c.forecast:
            visit = k.since  # an evening as good as any, as the rule of evenings says
        if abs(k.since - visit) > minute or k.due != forecast.median.date():
            return False
        for h in c.hung:
            if free and h.at and h.pupa.id in now and clips_meet(h.at, at):
                gone = _gone(c, now[h.pupa.id], h.pupa.species)
                if c.any_day(h.pupa.id) or gone is None or gone > k.since + minute:
                    return False
            when = c.due(h.pupa.id)
            soon = (
                h.at
                and when
                and (_soon(c, when.median, forecast.median) or _risky(c, c.chance.get(h.pupa.id), mine))
            )
            soon = soon or (h.at and c.any_day(h.pupa.id))
            if soon and not same(h.at, at) and beside(c.season, h.at, at):
                return False
        for since, over, median, chance, there in ends:
            if clips_meet(at, there) and since <= k.since + minute and over > k.since + minute:
                return False
            soon = _soon(c, median, forecast.median) or _risky(c, chance, mine)
            if soon and not same(at, there) and beside(c.season, at, there):
                return False
        ends.append((k.since, _gone(c, mine, mine.species), forecast.median, mine, at))
    return True


def _soon(c, a, b):
    return abs((a - b) / timedelta(days=1)) < c.plan.gap_days - 1e-3


def _risky(c, a, b):
    risk = c.plan.settings.get("risk")
    return risk is not None and a is not None and b is not None and together(a, b) > risk


def _gone(c, emergence, species):
    """When it has emerged and dried with a chance of nine in ten."""
    if emergence is None:
        return None
    return emergence.quantile(0.9) + timedelta(hours=profile_of(c.season, species).wing_drying)
