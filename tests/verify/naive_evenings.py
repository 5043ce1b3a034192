"""The naive verifier's rule of evenings to come, lived through one by one, everybody with everybody."""

from datetime import timedelta

from naive_kept import _gone, _risky, _soon
from naive_room import beside, clips_meet, same, spot

from planner.emergence import emergences, profile_of
from planner.season import Lid

DAY, MINUTE = timedelta(days=1), timedelta(minutes=1)


def planned(c):
    """Whom on record the plan has for a later evening, in the order in which they are hung."""
    known = {h.pupa for h in c.plan.hangs}
    return sorted(
        (k for k in (*c.plan.kept, *c.plan.hoped) if k.who in known), key=lambda k: (k.since, k.who)
    )


def evenings(c):
    those = planned(c)
    return len({k.who for k in those}) == len(those) and all(_can(c, k) for k in those) and _lived(c, those)


def _can(c, k):
    """Whether one on a lid can be moved on its evening: soft or told to wait, firm by then and not dark."""
    mine, state = [h for h in c.hung if h.pupa.id == k.who], c.forecast.get(k.who)
    if not mine or state is None or not isinstance(mine[-1].place, Lid) or not mine[-1].stays:
        return False
    until = [w.until for w in c.plan.waits if w.pupa == k.who]
    if mine[-1].pupa.stay or not (state.stage == "soft" or until) or any(u != k.since for u in until[-1:]):
        return False
    evening, last = c.on + DAY, None
    if state.dark_from:
        last = c.on
        while last >= state.dark_from:
            last -= DAY
        while last + DAY < state.dark_from:
            last += DAY
    while evening < k.since - MINUTE:
        evening += DAY
    if abs(evening - k.since) > MINUTE or (state.firm_from and k.since < state.firm_from - MINUTE):
        return False
    return k.latest == last and not (state.dark_from and k.since >= state.dark_from)


def _lived(c, those):
    """Whether each finds its spot free, as likely as told, and beside nobody due too near in time."""
    now = emergences(c.season, [h.pupa for h in c.hung], c.on)
    there = [(h.pupa.id, h.at, None) for h in c.hung if h.at and h.at.x is not None]
    for k in those:
        at, chance = spot(c.season, k.place, k.spot), 1.0
        there = [one for one in there if one[0] != k.who]
        for name, where, since in there if at else ():
            mine = now[name] if c.due(name) else None
            if clips_meet(at, where) and since:
                gone = _gone(c, mine, c.season.pupa[name].species)
                if gone is None or gone > k.since + MINUTE:
                    return False
            elif clips_meet(at, where):
                dry = timedelta(hours=profile_of(c.season, c.season.pupa[name].species).wing_drying)
                chance = min(chance, mine.chance_by(k.since - dry) if mine else 0.0)
            if same(at, where) or not beside(c.season, at, where):
                continue
            if not c.due(name) and not c.any_day(name):
                continue
            if not c.due(k.who) or c.any_day(name) or _soon(c, c.due(k.who).median, c.due(name).median):
                return False
            if _risky(c, c.chance.get(k.who), c.chance.get(name)):
                return False
        if chance < 0.3 or (k.chance is not None and abs(k.chance - chance) > 0.011):
            return False
        there += [(k.who, at, k.since)] if at else []
    return True
