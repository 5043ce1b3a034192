"""Where clips that slide may sit: every whole step between the knots."""

import random

import pytest
from season_world import ON, pupa, season, tub

from planner.planning.make_plan import make_plan
from planner.rack.sliding import positions_on, steps_on
from planner.season import Line
from planner.verify import verify

HAIR = 1e-6


def yarn(length, width, nearest):
    return Line(name="s", length=length, height=150, clip_width=width, to_nearest=nearest)


def two_of_one_day(line, **settings):
    return season([line, tub(clear=True)], [pupa("a", 1), pupa("b", 1)], **settings)


def planned(case):
    plan = make_plan(case, ON, seconds=5, workers=1)
    assert verify(case, plan) == []
    return plan


def by_hand(line, unit_knot):
    """Multiples of the step, one after another along a ruler, 1 cm or half an inch from either end."""
    found, k = [], 1
    while k * line.to_nearest <= line.length - unit_knot + HAIR:
        if k * line.to_nearest >= unit_knot - HAIR:
            found.append(k * line.to_nearest)
        k += 1
    return found


def test_a_step_that_does_not_divide_the_knot_keeps_its_last_position():
    # 13 cm less 1 cm for the knot: 12 is free, and 2 and 12 are a wing reach of 10 cm apart.
    case = two_of_one_day(yarn(13, 3, 2))
    plan = planned(case)
    assert sorted(h.spot for h in plan.hangs) == ["12", "2"]
    assert plan.clashes == ()


def test_in_inches_too():
    # 5.25 in less 0.5 in: 4.75, so at steps of 0.75 in from 0.75 to 4.5 in; 3.75 in are the wing reach.
    line = yarn(5.25 * 2.54, 1.5 * 2.54, 0.75 * 2.54)
    plan = planned(two_of_one_day(line, units="in", wing_reach=3.75 * 2.54))
    assert sorted(h.spot for h in plan.hangs) == ["0.75", "4.5"]
    assert plan.clashes == ()


def test_a_step_of_a_sixteenth_of_an_inch_is_clipped_by_its_rounded_tag():
    # 0.5 in from the left end is step 8; a reach of 2 1/16 in further is 2.5625 in, step 41 and the last one.
    sixteenth = 2.54 / 16
    line = yarn(49 * sixteenth, 1.5 * 2.54, sixteenth)
    plan = planned(two_of_one_day(line, units="in", wing_reach=33 * sixteenth))
    assert plan.clashes == ()
    assert sorted(h.spot for h in plan.hangs)[0] == "0.5"


def random_line(rng, units):
    cm = 2.54 if units == "in" else 1.0
    nearest = rng.choice([0.25, 0.5, 0.75, 1, 1.5] if cm > 1 else [0.3, 0.5, 0.7, 1, 2, 2.5, 3])
    length, width = rng.choice(range(6, 40)) / 2, rng.choice([1, 1.25, 2, 3])
    return yarn((length if cm == 1 else length / 2) * cm, width * cm / (1 if cm == 1 else 2), nearest * cm)


@pytest.mark.parametrize("units", ["cm", "in"])
def test_the_steps_are_those_that_a_ruler_shows(units):
    rng = random.Random(5)
    for _ in range(300):
        line = random_line(rng, units)
        case = two_of_one_day(line, units=units)
        steps = [k * line.to_nearest for k in steps_on(line, case)]
        assert steps == pytest.approx(by_hand(line, 1.27 if units == "in" else 1.0))
        assert set(positions_on(line, case)) <= {round(x, 6) for x in steps}
