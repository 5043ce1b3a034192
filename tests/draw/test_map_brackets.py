"""Brackets over a line: one for each pair, until they are so many that one for each run is easier to read."""

from datetime import date

import pytest
from draw_world import by_gid, case, drawn, hang, line, texts

from planner.draw.data import Hung, Pair
from planner.draw.map.brackets import brackets
from planner.season.plan.plan_record import TooClose


def pupa(number):
    due = date(2027, 7, 15)
    return Hung(pupa=f"m{number}", pupated=None, due=due, place="north", spot=str(number), x=number, y=0.0)


def over(pairs, wait=True, spots=100):
    """Brackets of pairs of pupae that hang 10 mm apart, number by number."""
    made = [Pair(pupa(a), pupa(b), 1.0, 4.0, wait) for a, b in pairs]
    at = {f"m{i}": 10.0 * i for i in range(spots)}
    return brackets(made, at, lambda low, high, _: (low + high) / 2)


def told(found):
    return [(b.low, b.high, b.words) for b in found]


def test_a_few_pairs_have_a_bracket_each():
    # wait is about 8 mm wide: beside each other they share a level, one within another does not
    found = over([(1, 2), (3, 4), (1, 4)])
    assert told(found) == [(10, 20, "wait"), (10, 40, "wait"), (30, 40, "wait")]
    assert [b.level for b in found] == [0, 1, 0]


def test_waits_that_need_more_than_three_levels_are_one_bracket_with_a_leg_at_each_pupa():
    every = [(a, b) for a in range(1, 5) for b in range(a + 1, 6)]
    (one,) = over(every)
    assert told([one]) == [(10, 50, "wait, 10 pairs")]
    assert one.legs == (10, 20, 30, 40, 50)


def test_clashes_are_kept_apart_up_to_six_levels():
    nested = [(1, b) for b in range(2, 8)]
    assert len(over(nested, wait=False)) == 6
    (one,) = over([*nested, (1, 8)], wait=False)
    assert one.words == "CLASH, 7 pairs"


def test_runs_that_do_not_meet_stay_two_and_a_pair_by_itself_keeps_its_words():
    crowd = [(a, b) for a in range(1, 5) for b in range(a + 1, 6)]
    found = over([*crowd, (20, 21), (30, 32), (31, 33)])
    assert told(found) == [(10, 50, "wait, 10 pairs"), (200, 210, "wait"), (300, 330, "wait, 2 pairs")]


def test_waits_are_not_joined_with_clashes():
    crowd = [Pair(pupa(a), pupa(b), 1.0, 4.0, True) for a in range(1, 5) for b in range(a + 1, 6)]
    clash = Pair(pupa(2), pupa(3), 1.0, 4.0, False)
    at = {f"m{i}": 10.0 * i for i in range(9)}
    found = brackets([*crowd, clash], at, lambda low, high, _: (low + high) / 2)
    assert sorted(b.words for b in found) == ["CLASH 1 day", "wait, 10 pairs"]


def test_a_pair_of_which_the_other_hangs_elsewhere_names_it():
    (one,) = over([(3, 7)], spots=5)
    assert told([one]) == [(30, 30, "wait with m7")]


@pytest.mark.parametrize("number", [3, 40])
def test_on_the_map_a_line_full_of_waits_is_hardly_higher_than_one_with_few(number):
    pairs = [(a, b) for a in range(1, number) for b in range(a + 1, min(number, a + 8) + 1)]
    waits = [TooClose(a=f"m{a}", b=f"m{b}", gap=0.5, distance=4.0 * (b - a)) for a, b in pairs]
    hangs = [hang(f"m{i}", "north", str(4 * i)) for i in range(1, number + 1)]
    drawing = drawn(case([line("north", 180, clips_every=4)], hangs, waiting=waits))
    said = [text for text in texts(drawing) if text.startswith("wait,")]
    assert len(said) == (2 if number == 40 else 0)  # two stretches of the line
    # the sign's explanation is one of them
    assert len(by_gid(drawing, "wait")) == 1 + (2 if number == 40 else len(pairs))
