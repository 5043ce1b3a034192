"""Two verifiers that share nothing agree on every plan, sound or spoiled: a mistake in one would show."""

from collections import Counter

import pytest
from hypothesis import HealthCheck, Phase, given
from hypothesis import strategies as st
from naive_moves import LONGEST
from naive_verifier import RULES as NAIVE
from naive_verifier import broken
from plan_changes import CHANGES, ON, small_seasons
from test_verify_mutations import MUTATIONS, RING
from tries import tries
from verify_ring import ring
from verify_world import good

from planner.planning.make_plan import make_plan
from planner.verify import RULES, verify

MADE_HERE = [
    *((good, change) for change, _ in MUTATIONS.values()),
    *((ring, change) for change, _ in RING.values()),
]
# What a plan changed at random breaks often enough to be met in a few seconds; the rest is in MADE_HERE.
OFTEN = {
    "once",
    "spot",
    "position",
    "lid",
    "touch",
    "from",
    "left",
    "due",
    "dates",
    "moves",
    "time",
    "clash",
    "listed",
    "kept",
    "proof",
}


def judge(season, plan):
    """Rules broken, as each of the two says it."""
    return {b.rule for b in verify(season, plan)}, broken(season, plan)


def compare(season, plan, changes=()):
    """Both say sound, or both say not; and where every line counts once, both name the same rules."""
    told, naive = judge(season, plan)
    assert bool(told) == bool(naive), (changes, told, naive)
    once = len({h.pupa for h in plan.hangs}) == len(plan.hangs)
    numbered = sorted(m.step for m in plan.moves) == list(range(1, 1 + len(plan.moves)))
    if once and numbered:  # else it is a matter of taste which of two lines is meant
        assert told == naive, (changes, told, naive)
    return told


def test_both_verifiers_say_the_same_of_any_plan_changed_at_random():
    told = Counter()

    # Each plan as it was made and changed in a dozen ways. Not shrunk: each try of that makes a plan.
    @tries(20, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
    @given(small_seasons(), st.booleans(), st.sampled_from([1, None, 4]), st.data())
    def try_one(season, rehang, evenings, data):
        plan = make_plan(season, ON, seconds=10, workers=1, rehang=rehang, evenings=evenings)
        assert judge(season, plan) == (set(), set())
        for _ in range(12):
            spoiled, names = plan, []
            for change in data.draw(st.lists(st.sampled_from(CHANGES), min_size=1, max_size=2)):
                spoiled = change(data.draw, spoiled)
                names.append(change.__name__)
            if len(spoiled.moves) <= LONGEST:
                told.update(compare(season, spoiled, names) or ["unspoiled"])

    try_one()
    assert set(told) >= OFTEN


@pytest.mark.parametrize(("made", "change"), MADE_HERE, ids=[*MUTATIONS, *RING])
def test_both_verifiers_say_the_same_of_a_good_plan_with_one_fault(made, change):
    world = change(made())
    assert compare(world.season, world.plan)


def test_both_verifiers_pass_the_good_plans():
    for world in (good(), ring()):
        assert compare(world.season, world.plan) == set()


def test_the_naive_one_has_every_rule():
    assert {rule.__name__.rstrip("_") for rule in NAIVE} == {name for name, _ in RULES}
