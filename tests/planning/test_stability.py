"""Plans made again: moves still to be made keep their spots, unless that costs a clash or a touch."""

import random
from dataclasses import replace
from datetime import timedelta
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from proof_world import fault_of_plan_again
from season_world import ON, level, line, plan_of, pupa, season, tub
from tries import tries

from planner.emergence import forecasts
from planner.planning.problem.season_problem import season_problem
from planner.verify import verify

LATER = ON + timedelta(minutes=90)


def spots(plan):
    """Id of each pupa that is to be moved → place and spot."""
    return {h.pupa: (h.place, h.spot) for h in plan.hangs if h.from_place is not None}


def after(case, plan, done):
    """The season once those of ``done`` hang where the plan has them."""
    to = spots(plan)
    return replace(
        case,
        pupae=tuple(
            replace(p, place=to[p.id][0], spot=to[p.id][1], x=None, y=None) if p.id in done else p
            for p in case.pupae
        ),
    )


def crowded(rng, *, sliding=False, clear=True):
    """A season of 7 to 10 on one lid, on clips that slide or with few marks to spare."""
    n = rng.randint(7, 10)
    pupae = [
        pupa(f"m{k:02}", rng.randint(1, 7), x=rng.uniform(1, 39), y=rng.uniform(1, 27)) for k in range(n)
    ]
    lines = (
        [
            line("n", 12, clips_every=None, clip_width=3),
            line("s", 12, clips_every=None, clip_width=3, front=50),
        ]
        if sliding
        else [line("n", n), line("s", n // 2, front=50)]
    )
    return season([*lines, tub(clear=clear)], pupae)


@pytest.mark.parametrize("sliding", [False, True])
@pytest.mark.parametrize("seed", range(2))
def test_planned_again_with_nothing_new_all_moves_not_made_yet_keep_their_spots(seed, sliding):
    rng = random.Random(seed)
    case = crowded(rng, sliding=sliding, clear=seed % 2 == 0)
    first = plan_of(case)
    for share in (0, 0.5):
        done = {move.pupa for move in first.moves[: int(share * len(first.moves))]}
        rest = after(case, first, done)
        again = plan_of(rest, LATER, before=first)
        assert spots(again) == {name: spot for name, spot in spots(first).items() if name not in done}
        assert again.changed == ()
        if done:  # it is told that what follows is sought among plans with these moves
            assert level(again, "stability").value == 0
        else:
            assert again.proof == first.proof


@pytest.mark.parametrize("sliding", [False, True])
def test_asked_for_the_widest_gap_again_moves_not_made_yet_keep_their_spots_as_well(sliding):
    where = {"clips_every": None, "clip_width": 3} if sliding else {}
    pupae = [pupa(f"m{day}", day, x=5 * day, y=5) for day in (1, 2, 4, 6)]
    case = season([line(marks=5, **where), tub(clear=True)], pupae)
    first = plan_of(case, widest=True)
    done = {move.pupa for move in first.moves[: len(first.moves) // 2]}
    again = plan_of(after(case, first, done), LATER, before=first, widest=True)
    assert spots(again) == {name: spot for name, spot in spots(first).items() if name not in done}
    assert again.neighbours.get("smallest_gap") == first.neighbours.get("smallest_gap")
    assert [x.name for x in again.proof][:5] == ["left", "clashes", "smallest_gap", "touched", "stability"]
    assert level(again, "stability").proved


def test_a_newcomer_takes_a_spot_of_the_widest_gap_beside_which_no_move_changes():
    # Marks 4 cm apart, each beside two either side; a, b, c and d are due on 1, 4, 7 and 2. Of a, b and d
    # none are more than 3 days apart, and no three of 5 marks are pairwise 12 cm apart: 3 is the widest gap.
    # On 4, 8 and 12 cm a, b and c have it; so has d on 20 cm, beside c alone, but not on 16 cm, beside b.
    before = season(
        [line(marks=5), tub(clear=True)], [pupa(n, d) for n, d in zip("abc", (1, 4, 7), strict=True)]
    )
    with_d = replace(before, pupae=(*before.pupae, pupa("d", 2)))
    first = plan_of(before)
    marks = dict(zip("abc", ("4", "8", "12"), strict=True))
    first = replace(first, hangs=tuple(replace(h, spot=marks[h.pupa]) for h in first.hangs))
    plan = plan_of(with_d, LATER, before=first, widest=True)
    assert level(plan, "smallest_gap").value == 3
    assert spots(plan) == {"a": ("n", "4"), "b": ("n", "8"), "c": ("n", "12"), "d": ("n", "20")}
    assert level(plan, "stability").value == level(plan, "stability").bound == 0


def test_where_two_that_hang_are_closer_no_more_moves_change_than_the_gap_of_those_two_takes():
    # p and q hang side by side, due on 2 and 5: of all the widest gap is 3. Of a, d and b, due on 1, 4 and 6,
    # side by side, d and b are 2 days apart: one of them has to go elsewhere, and then a stands alone or is
    # 3 or 5 days from its neighbour. With nobody side by side two would have to.
    hung = [pupa(n, d, place="n", spot=mark) for n, d, mark in (("p", 2, "4"), ("q", 5, "8"))]
    lid = [pupa(n, d) for n, d in (("a", 1), ("d", 4), ("b", 6))]
    case = season([line(marks=2), line("s", 8, front=50), tub(clear=True)], [*hung, *lid])
    first, marks = plan_of(case), {"a": "4", "d": "8", "b": "12"}
    hangs = (replace(h, place="s", spot=marks[h.pupa]) if h.pupa in marks else h for h in first.hangs)
    plan = plan_of(case, LATER, before=replace(first, hangs=tuple(hangs)), widest=True)
    assert level(plan, "smallest_gap").value == 3
    assert level(plan, "stability").value == level(plan, "stability").bound == len(plan.changed) == 1


@tries(10)
@given(st.integers(0, 2**40), st.booleans())
def test_no_move_of_a_plan_before_changes_without_need(seed, widest):
    assert not fault_of_plan_again(random.Random(seed), widest)


def test_planned_again_with_nothing_done_the_plan_is_the_same_but_for_its_time():
    case = crowded(random.Random(5))
    first = plan_of(case)
    again = plan_of(case, LATER, before=first)
    assert replace(again, on=first.on, moves=(), drying={}) == replace(first, moves=(), drying={})
    assert [(m.pupa, m.to_place, m.to_spot) for m in again.moves] == [
        (m.pupa, m.to_place, m.to_spot) for m in first.moves
    ]


def first_levels(plan):
    """What is reached before stability."""
    return {x.name: x.value for x in plan.proof if x.name in ("left", "clashes", "trouble", "touched")}


@pytest.mark.parametrize("seed", range(2))
def test_keeping_spots_costs_no_clash_and_no_touch_whatever_the_plan_before_says(seed):
    # The plan before is one of the same pupae with other dates: its spots are as good as drawn by lot.
    rng = random.Random(seed)
    case = crowded(rng, clear=seed % 2 == 0)
    days = [p.pupated for p in case.pupae]
    rng.shuffle(days)
    other = replace(case, pupae=tuple(replace(p, pupated=d) for p, d in zip(case.pupae, days, strict=True)))
    before = plan_of(other)
    plan = plan_of(case, before=before)
    assert first_levels(plan) == first_levels(plan_of(case))
    # All who were to be moved and may be: those listed are just those elsewhere.
    now = {h.pupa: (h.place, h.spot) for h in plan.hangs}
    assert {one.pupa for one in plan.changed} == {n for n, spot in spots(before).items() if now[n] != spot}


def fewest_changed(case, before):
    """The fewest changes of the plan before by trying all, with no clash and nobody on the lid."""
    problem = season_problem(case, forecasts(case, ON), on=ON)
    inst, to = problem.instance, spots(before)
    wanted = [to[name] for name in problem.ids]
    counts = []
    for nodes in permutations(inst.open_nodes, len(problem.ids)):
        at = dict(enumerate(nodes))
        if not inst.clashes(at, case.gap_days):
            counts.append(sum((n.place, n.tag) != w for n, w in zip(nodes, wanted, strict=True)))
    return min(counts)


@pytest.mark.parametrize("seed", range(4))
def test_on_tiny_racks_the_fewest_moves_change_that_can_and_it_is_proved(seed):
    # 4 pupae of 4 days on 7 marks, everybody must leave the lid: 7·6·5·4 = 840 ways, all tried.
    rng = random.Random(seed)
    places = [line("n", 7), tub(clear=True)]
    case = season(places, [pupa(f"m{k}", day, x=5 * k + 1, y=5) for k, day in enumerate((1, 3, 5, 7))])
    days = rng.sample([p.pupated for p in case.pupae], 4)
    other = replace(case, pupae=tuple(replace(p, pupated=d) for p, d in zip(case.pupae, days, strict=True)))
    before = plan_of(other)
    # The dates of two neighbours are one now: some have to change.
    late = replace(case, pupae=tuple(replace(p, pupated=rng.choice(days)) for p in case.pupae))
    plan = plan_of(late, before=before)
    assert not plan.clashes
    assert len(plan.changed) == fewest_changed(late, before)
    for one in (x for x in plan.proof if x.name == "stability"):
        assert one.value == one.bound == len(plan.changed)


def test_the_verifier_counts_the_changed_moves_again():
    case = crowded(random.Random(1))
    before = plan_of(case)
    # Its spots rotated: as the pupae have several dates, not all can be kept.
    to = [h for h in before.hangs if h.from_place is not None]
    turned = dict(zip([h.pupa for h in to], [*to[1:], to[0]], strict=True))
    moved = tuple(
        replace(h, place=turned[h.pupa].place, spot=turned[h.pupa].spot) if h.pupa in turned else h
        for h in before.hangs
    )
    plan = plan_of(case, before=replace(before, hangs=moved))
    value = len(plan.changed)
    assert value
    problems = verify(case, replace(plan, changed=plan.changed[1:]))
    said = f"level stability has value {value}: allowed is {value - 1}, the number listed"
    assert any(said in str(problem) for problem in problems)
