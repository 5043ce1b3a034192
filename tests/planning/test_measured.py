"""A level says what its name says, of the plan as it is in the end."""

from season_world import ON, line, pupa, season, tub

from planner.emergence import forecasts
from planner.engine.model import level as engine
from planner.planning.make_plan import make_plan
from planner.planning.measured import measured
from planner.planning.problem.season_problem import season_problem
from planner.planning.relaxation import no_better_than
from planner.season import Level


def said(name, value, bound=None):
    return Level(name=name, value=value, bound=bound, proved=value == bound)


def reached(name, value, bound):
    """The same as the engine has it."""
    return engine.Level(name=name, value=value, bound=bound, proved=value == bound)


def side_by_side(*days):
    """Pupae of these days of July on marks 4 cm apart, who hang and stay, and one of the 3rd on the lid."""
    hung = [pupa(f"h{k}", day, place="n", spot=f"{4 * k + 4}") for k, day in enumerate(days)]
    return season([tub(), line("n", 20)], [*hung, pupa("m", 3)])


def test_a_smallest_gap_counts_pairs_of_whom_nobody_may_be_touched():
    # The two that hang are due a day apart, a clash that nothing can mend; m finds a spot far from both.
    plan = make_plan(side_by_side(5, 6), ON, seconds=10, workers=1)
    assert len(plan.clashes) == 1
    assert plan.neighbours == {"smallest_gap": 1, "close": 0}


def test_what_came_later_may_have_bettered_a_level():
    case = side_by_side(2, 8)
    problem = season_problem(case, forecasts(case, ON), on=ON)
    inst = problem.instance
    at = {**inst.pinned, **inst.homes}  # everybody as found: m alone on its lid, h0 and h1 six days apart
    levels = [reached("touched", 3, 0), reached("smallest_gap", 4, 8), reached("elbow_room", 2, 0)]
    assert list(measured(problem, at, levels, 2, None)) == [
        reached("touched", 0, 0),
        reached("smallest_gap", 6, 6),  # two who may not be touched: none is wider
        reached("elbow_room", 0, 0),
    ]


def test_near_dates_and_the_smallest_gap_are_told_beside_the_levels():
    # a and b hang side by side, due two days apart, and stay: no decision. One mark is left for c.
    hung = [pupa("a", 3, place="n", spot="4"), pupa("b", 5, place="n", spot="8")]
    case = season([tub(clear=True), line("n", 3)], [*hung, pupa("c", 7)])
    plan = make_plan(case, ON, seconds=10, workers=1)
    # c at 12 is 2 days from b, 4 from a: both within the reach of 10. Only the first is nearer than 2 + 1
    # days, which counts 2; a and b may not be touched, and do not count.
    assert plan.neighbours == {"smallest_gap": 2, "close": 2}


def test_what_was_proved_for_those_moved_is_not_claimed_for_others():
    ideal = [said("touched", 1, 1), said("elbow_room", 4, 4), said("carrying", 7, 7)]
    found = [said("touched", 1, 1), said("elbow_room", 3, 3), said("carrying", 5, 5)]
    assert no_better_than(found, ideal) == [
        said("touched", 1, 1),
        said("elbow_room", 3, 0),
        said("carrying", 5, 0),
    ]
