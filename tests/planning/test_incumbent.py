"""While better plans are looked for, the best so far is told: whole, by the rules, and claiming no more."""

from datetime import date

import pytest
from season_world import ON, level, line, pupa, season, tub

from planner.engine.model import budget
from planner.planning.make_plan import make_plan
from planner.season import Expected
from planner.verify import verify


@pytest.fixture
def told_of_all(monkeypatch):
    """Nothing is passed over for lack of time."""
    monkeypatch.setattr(budget, "INCUMBENT_FIRST", 0.0)
    monkeypatch.setattr(budget, "INCUMBENT_SHARE", float("inf"))


def crowded(**settings):
    return season([tub(clear=True), line(marks=6)], [pupa(f"p{k}", 3 + k % 4) for k in range(9)], **settings)


def roomy():
    newcomers = [pupa(f"p{k}", 1 + k % 8) for k in range(9)]
    return season(
        [tub(clear=True), line(marks=24)], newcomers, expected=(Expected(date(2027, 7, 10), 3, "monarch"),)
    )


@pytest.mark.parametrize(
    "options", [{}, {"rehang": True}, {"evenings": 2}, {"evenings": None}, {"widest": True}], ids=str
)
@pytest.mark.parametrize("case", [crowded(), crowded(risk=0.2), roomy()], ids=["crowded", "risk", "roomy"])
def test_each_plan_told_keeps_every_rule_and_claims_no_more_than_the_last(told_of_all, case, options):
    told = []
    last = make_plan(case, ON, seconds=20, workers=1, on_incumbent=told.append, **options)
    assert told
    for plan in told:
        assert verify(case, plan) == []
        for name in ("clashes", "left"):
            if any(x.name == name for x in plan.proof):
                assert level(plan, name).value >= level(last, name).value
                assert level(plan, name).bound <= level(last, name).bound


def test_the_last_plan_told_of_a_crowded_season_has_as_few_clashes_as_the_end(told_of_all):
    told = []
    last = make_plan(crowded(), ON, seconds=20, workers=1, on_incumbent=told.append)
    assert last.clashes
    assert len(told[-1].clashes) == len(last.clashes)
    assert len(told) > 2


@pytest.mark.parametrize(("many", "expected"), [(10**6, 0), (1, 1)])
def test_of_many_pupae_the_start_is_told_at_once_of_few_only_after_a_while(monkeypatch, many, expected):
    monkeypatch.setattr(budget, "INCUMBENT_FIRST", 10**6)
    monkeypatch.setattr(budget, "INCUMBENT_AT_ONCE", many)
    told = []
    make_plan(crowded(), ON, seconds=20, workers=1, on_incumbent=told.append)
    assert min(1, len(told)) == expected


def test_plans_are_told_so_seldom_that_the_search_hardly_waits(monkeypatch):
    monkeypatch.setattr(budget, "INCUMBENT_FIRST", 0.0)
    monkeypatch.setattr(budget, "INCUMBENT_SHARE", 1e-9)
    told = []
    make_plan(crowded(), ON, seconds=20, workers=1, on_incumbent=told.append)
    assert len(told) == 1
