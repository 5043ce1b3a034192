"""Seasons on two yarns, as keepers have them: what is moved hangs apart, and the first levels are proved."""

import math
import sys
from datetime import datetime
from itertools import combinations
from pathlib import Path

import pytest
from season_world import level, plan_of, pupa, season, tub

from planner.emergence import known_species
from planner.planning.make_plan import make_plan
from planner.season import Line
from planner.season.load import load
from planner.verify import verify

sys.path.append(str(Path(__file__).parents[1] / "bench"))
from yarn_seasons import EVENING, write_season  # it lies among the benches

ON = datetime.fromisoformat(EVENING)


def test_a_season_written_with_one_seed_is_the_same_each_time(tmp_path):
    for name in ("one", "other"):
        write_season(tmp_path / name, 7)
    one, other = ((tmp_path / name / "pupae.csv").read_bytes() for name in ("one", "other"))
    assert one == other
    pupae = load(tmp_path / "one", known_species()).pupae
    assert 35 <= len(pupae) <= 45
    assert len({p.pupated.day for p in pupae if p.pupated}) == 9


@pytest.mark.parametrize("seed", [5, 11])
def test_on_two_empty_yarns_nobody_is_hung_too_near_for_hands(tmp_path, seed):
    write_season(tmp_path, seed)
    case = load(tmp_path, known_species())
    plan = make_plan(case, ON)  # with one worker alone, as told: the work is the same on every machine
    assert verify(case, plan) == []
    for name in ("left", "clashes", "touched", "room", "risk", "elbow_room"):
        assert level(plan, name).proved, name
    # Two inches, half the wing reach of four, from any other on the same line or board.
    moved = [h for h in plan.hangs if h.from_place]
    near = [
        (a.pupa, b.pupa)
        for a, b in combinations(moved, 2)
        if a.place == b.place and math.dist((a.x, a.y), (b.x, b.y)) < 2 * 2.54 - 1e-6
    ]
    assert near == []


def test_who_stays_on_the_lid_is_chosen_for_the_risk_as_well():
    # a and b of one date clash on the lid, and one of them must go; c, due two days later, may dry beside b
    # only (8 cm; a is 14 cm away). So b goes, and nobody stays beside anybody.
    pupae = [pupa("a", 3, x=5, y=5), pupa("b", 3, x=11, y=5), pupa("c", 5, x=19, y=5)]
    line = Line(name="n", length=60, height=150, clip_width=3)
    plan = plan_of(season([tub(), line], pupae), datetime(2027, 7, 9, 12))
    assert [h.pupa for h in plan.hangs if h.from_place] == ["b"]
    assert (level(plan, "risk").value, level(plan, "risk").proved) == (0, True)


@pytest.mark.parametrize("gone", ["a", "b", "c"])
def test_the_risk_of_pairs_that_may_not_be_touched_is_told_and_proved(gone):
    # Two of three that hang side by side, two days apart in turn; the plan can part none of them.
    pupae = [pupa(n, 3 + 2 * k, place="n", spot=str(4 * k + 4)) for k, n in enumerate("abc") if n != gone]
    case = season([tub(), Line(name="n", length=60, height=150, clips_every=4)], [*pupae, pupa("m", 3)])
    plan = plan_of(case, datetime(2027, 7, 9, 12))
    assert level(plan, "risk").proved
    assert level(plan, "risk").value == pytest.approx(plan.drying["as_planned"], abs=1e-3)
