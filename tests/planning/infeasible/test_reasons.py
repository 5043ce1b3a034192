"""Each impossible season is explained by the cause it was built with, and by no more pupae than it takes."""

from dataclasses import replace
from datetime import date

import pytest
from impossible_world import SEASONS, found, many, plan_of
from season_world import ON, line, pupa, season, tub

from planner.emergence import forecasts
from planner.engine.model.solver import Clock, Effort
from planner.planning.infeasible.reasons import explain
from planner.planning.problem.season_problem import season_problem

# cause, whose core, how many of them can be hung, who hangs in the way
CAUSES = {
    "four of one date": ("apart", "abcd", 3, ""),
    "more than spots": ("spots", "abcd", 3, ""),
    "beside one that hangs": ("beside", "a", 0, "h"),
    "two that hang side by side": ("held", "hk", 1, ""),
    "two told to stay": ("held", "ab", 1, ""),
    "out of reach": ("unusable", "a", 0, ""),
    "too little room below": ("unusable", "ab", 1, ""),
    "a small board": ("apart", "ab", 1, ""),
    "a short yarn": ("apart", "ab", 1, ""),
    "taken until tomorrow": ("spots", "a", 0, ""),
    # a|c may be neighbours, so no two spots would do for each alone: neither many of one date nor few spots.
    "one between two dates": ("other", "abc", 2, ""),
    "a day apart": ("apart", "ab", 1, ""),
}


def test_each_impossible_season_has_its_cause():
    assert CAUSES.keys() == SEASONS.keys()
    assert len(SEASONS) >= 10


@pytest.mark.parametrize("name", SEASONS)
def test_the_explanation_names_the_cause(name):
    (reason,) = found(name).reasons
    cause, pupae, room, hanging = CAUSES[name]
    assert (reason.cause, reason.pupae, reason.room) == (cause, tuple(pupae), room)
    assert reason.hanging == tuple(hanging)
    assert reason.minimal


@pytest.mark.parametrize("name", [name for name, (cause, *_) in CAUSES.items() if cause != "held"])
def test_without_any_one_of_the_core_the_rest_can_be_hung(name):
    case = SEASONS[name]
    (reason,) = found(name).reasons
    for one in reason.pupae:
        rest = replace(case, pupae=tuple(p for p in case.pupae if p.id != one))
        plan = plan_of(rest)
        assert (plan.clashes, plan.left) == ((), ())


def explained(case, seconds=20.0, stop=None):
    problem = season_problem(case, forecasts(case, ON), case.risk)
    return explain(problem, case.gap_days, Effort(Clock(seconds, stop), workers=1))


def test_the_crowd_is_all_who_compete_and_the_core_only_as_many_as_are_too_many():
    # Room for 3 of 6: any four are too many.
    case = season([tub(clear=True), line(marks=7)], many("abcdef", 5))
    (reason,) = explained(case)
    assert (reason.cause, reason.room, len(reason.pupae)) == ("apart", 3, 4)
    assert reason.crowd == tuple("abcdef")


def test_who_has_nothing_to_do_with_it_is_not_named():
    # Three of one date for two spots out of reach; x, y and z are due days later or earlier.
    others = [pupa("x", 1), pupa("y", 1), pupa("z", 8)]
    case = season([tub(clear=True), line(marks=6)], [*others, *many("abc", 5)])
    (reason,) = explained(case)
    assert reason.pupae == tuple("abc")
    # 23 °C: as every monarch of 5 July
    assert (reason.first, reason.last) == (date(2027, 7, 16), date(2027, 7, 16))


def test_two_causes_are_both_told():
    # h and k hang side by side on one line, three of a date find room for one on the other.
    case = season(
        [tub(clear=True), line("n", marks=2), line("s", marks=2)],
        [pupa("h", 1, "n", spot="4"), pupa("k", 1, "n", spot="8"), *many("ab", 5)],
    )
    assert [reason.cause for reason in explained(case)] == ["held", "apart"]


def test_a_season_with_a_plan_free_of_clashes_has_no_reason():
    assert explained(season([tub(clear=True), line(marks=7)], many("abc", 5))) == ()


def test_the_reason_is_not_invented_where_the_clock_has_run_out():
    assert explained(SEASONS["four of one date"], seconds=0.0) == ()
    assert explained(SEASONS["four of one date"], stop=lambda: True) == ()


def test_of_many_pupae_on_many_lines_the_one_date_that_is_too_many_is_told():
    # 20 lines of 15 marks hold 5 of one date each, 100 in all: 105 of one date are too many. 195 others of
    # three other dates; 300 marks in all, so everybody has a spot.
    places = [tub(clear=True), *(line(f"n{k}", marks=15) for k in range(20))]
    pupae = [pupa(f"a{k}", 5) for k in range(105)]
    pupae += [pupa(f"{name}{k}", day) for name, day in (("b", 1), ("c", 3), ("d", 7)) for k in range(65)]
    (reason,) = explained(season(places, pupae), seconds=120.0)
    assert reason.cause == "apart"
    assert reason.minimal
    # 101 of the 105, whichever: all of one date, one more than there is room for
    assert (len(reason.pupae), reason.room, len(reason.crowd)) == (101, 100, 105)
    assert {name[0] for name in reason.pupae} == {"a"}
