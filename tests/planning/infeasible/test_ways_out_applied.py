"""Each way out of random impossible seasons, done in their files as its words say, leaves no clash."""

from collections import Counter
from random import Random

import pytest
from applied_ways import faults

from planner.planning.infeasible.fewest import fewest

IMPOSSIBLE = 3  # of five; many more by hand: docs/reliability.md


def test_each_way_out_done_in_the_files_leaves_no_clash_and_less_of_it_is_not_enough(tmp_path):
    seen = Counter()
    found = [faults(tmp_path / f"season {n}", Random(1000 + n), seen, most=6) for n in range(5)]
    assert [wrong for wrong in found if wrong] == []
    assert sum(wrong == [] for wrong in found) == IMPOSSIBLE
    assert seen["spots: less tried"] + seen["place: less tried"] >= IMPOSSIBLE - 1


def asked_for(least, *, counted=0, unknown=(), most=1000):
    """`fewest` where ``least`` is the truth, with what was asked of the search."""
    asked = []

    def works(n):
        asked.append(n)
        return None if n in unknown else n >= least

    return fewest(most, lambda n: n <= counted, works), asked


@pytest.mark.parametrize("least", [1, 2, 3, 7, 100, 999, 1000])
def test_the_fewest_are_found_and_proved(least):
    assert asked_for(least)[0] == (least, least)
    assert len(asked_for(least)[1]) <= 20


def test_where_counting_proves_all_that_are_too_few_one_question_is_enough():
    assert asked_for(235, counted=234) == ((235, 235), [235])


def test_what_was_not_found_out_leaves_open_how_many_are_needed():
    # 1, 2, 4, 8 and then halves: 5 to 8. 6 is not found out, so no more is proved than that 4 are too few.
    assert asked_for(6, unknown=[5, 6])[0] == (7, 5)
    assert asked_for(6, unknown=range(6))[0] == (6, 1)


def test_where_not_even_the_most_work_it_is_said_how_many_are_needed():
    assert asked_for(60, most=50)[0] == (None, 51)
    assert asked_for(60, most=50, counted=70)[0] == (None, 51)
