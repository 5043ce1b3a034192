"""Over a few evenings no way of hanging them leaves fewer clashes, with fewer put off or fewer evenings."""

from functools import cache

import pytest
from evenings_world import least, tiny
from season_world import plan_of

from planner.engine.model import budget


def reached(plan):
    """What a plan reaches: left, clashes, put off without a spot, evenings on lids."""
    value = {level.name: level.value for level in plan.proof}
    movable = {h.pupa for h in plan.hangs if not h.pupa.startswith("h")}
    clashes = sum(bool({pair.a, pair.b} & movable) for pair in plan.clashes)
    return value.get("left", 0), clashes, value.get("unplaced", 0), value.get("waiting", 0)


@cache
def asked_for(seed):
    """The plan of a tiny rack over two to four evenings."""
    return plan_of(tiny(seed), evenings=2 + seed % 3)


@pytest.mark.parametrize("seed", range(12))
def test_as_many_evenings_as_asked_for(seed):
    case, evenings = tiny(seed), 2 + seed % 3
    today = least(case, 1, put_off=False)
    best = least(case, evenings, put_off=True) if today[:2] > (0, 0) else today
    assert reached(asked_for(seed)) == best


@pytest.mark.parametrize("seed", range(12, 24))
def test_as_many_evenings_as_are_needed(seed, monkeypatch):
    monkeypatch.setattr(budget, "EVENINGS_AHEAD", evenings := 2 + seed % 3)
    case = tiny(seed)
    today = least(case, 1, put_off=False)
    best = least(case, evenings, put_off=False, most=today[1]) if today[:2] > (0, 0) else today
    assert reached(plan_of(case, evenings=None)) == best


def test_these_racks_have_all_kinds_of_evenings():
    plans = [asked_for(seed) for seed in range(12)]
    assert any(plan.later for plan in plans)
    assert any(plan.put_off for plan in plans)
    assert any(not plan.waits for plan in plans)
