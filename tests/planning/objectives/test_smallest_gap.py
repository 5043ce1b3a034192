"""``--widest``: the smallest gap of everybody, to the minute, and nobody put side by side for it."""

from datetime import date, time

import pytest
from season_world import day, level, line, plan_of, pupa, season, tub

from planner.season import Expected, When


def at(hours):
    return When(date(2027, 7, 2 + hours // 24), time(hours % 24))


@pytest.mark.parametrize("widest", [False, True])
@pytest.mark.parametrize(("step", "many", "marks", "gap"), [(20, 6, 6, 1), (40, 4, 4, 1), (5, 6, 7, 0.2)])
def test_dues_some_hours_apart_are_hung_at_the_very_gap_that_is_told(step, many, marks, gap, widest):
    pupae = [pupa(f"p{k}", at(k * step)) for k in range(many)]
    plan = plan_of(season([tub(clear=True), line(marks=marks)], pupae, gap_days=gap), widest=widest)
    assert not plan.clashes
    hours = range(0, many * step, step)
    here = [(int(hang.spot), hour) for hang, hour in zip(plan.hangs, hours, strict=True)]
    near = [abs(a[1] - b[1]) / 24 for a in here for b in here if 0 < b[0] - a[0] <= 10]
    assert plan.neighbours["smallest_gap"] == round(min(near), 4)
    if widest:
        told = level(plan, "smallest_gap")
        assert told.value == round(min(near), 4)
        assert told.proved


@pytest.mark.parametrize("widest", [False, True])
@pytest.mark.parametrize(
    ("pupated", "expected"),
    [((1,), ((13, 1),)), ((1, 3), ((15, 2), (18, 2))), ((1, 3, 5), ((11, 1), (15, 1)))],
)
def test_those_whose_spots_are_kept_for_others_after_them_count_as_well(pupated, expected, widest):
    coming = tuple(Expected(date(2027, 7, d), n, "monarch") for d, n in expected)
    pupae = [pupa(f"p{d}", day(d)) for d in pupated]
    case = season([tub(clear=True), line(marks=len(pupae))], pupae, expected=coming)
    plan = plan_of(case, widest=widest)
    assert plan.kept
    assert level(plan, "touched").value == len(pupae)
    assert plan.neighbours.get("smallest_gap") == (2 if len(pupae) > 1 else None)
