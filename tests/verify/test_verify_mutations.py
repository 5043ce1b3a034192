"""No change to a good plan slips through the verifier."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from verify_ring import ring, step
from verify_world import World, good

from planner.season.plan.plan_record import Level, Stuck, Waits
from planner.season.reading.when import When
from planner.verify import RULES, verify


def swap(world: World, a: str, b: str) -> World:
    there = {hang.pupa: hang for hang in world.plan.hangs}
    for name, to in ((a, there[b]), (b, there[a])):
        world = world.to(name, to.place, to.spot, to.x, to.y)
    return world


def without(world: World, name: str) -> World:
    return world.claim(hangs=tuple(hang for hang in world.plan.hangs if hang.pupa != name))


# one change to the good plan, and the rules that must notice
MUTATIONS = {
    "swap two of one line": (lambda w: swap(w, "a1", "a3"), {"clash"}),
    "give a reason where there is none": (
        lambda w: w.claim(clashes=(), left=(), reason=("few spots",)), {"reason"}
    ),
    "swap line and board": (lambda w: swap(w, "e1", "b2"), {"listed"}),
    "swap in the hangs alone": (
        lambda w: w.hang("s1", spot="14", x=14).hang("s2", spot="10.5", x=10.5), {"moves"}
    ),
    "put two on one spot": (lambda w: w.to("a1", "north", "8", 8), {"shared", "order", "clash"}),
    "drop one": (lambda w: without(w, "a2"), {"once", "moves"}),
    "drop one that stays": (lambda w: without(w, "h1"), {"once"}),
    "hang one twice": (lambda w: w.claim(hangs=(*w.plan.hangs, w.plan.hangs[0])), {"once"}),
    "move a soft one": (
        lambda w: w.hang("l1", place="north", spot="44", x=44, y=0), {"touch", "from", "left"}
    ),
    "move a hung one": (lambda w: w.hang("h1", spot="44", x=44), {"touch", "from"}),
    "move one to a lid": (lambda w: w.to("b1", "tub-2", "?", 5, 25), {"lid"}),
    "off the marks": (lambda w: w.to("a1", "north", "4.5", 4.5), {"spot"}),
    "off the board": (lambda w: w.to("b1", "cork", "r9p9", 45, -22.5), {"spot"}),
    "a pin not shifted": (lambda w: w.hang("b3", x=2.5), {"position"}),
    "a board's y from the top": (lambda w: w.hang("b1", y=2.5), {"position"}),
    "out of reach": (lambda w: w.set(highest=140), {"reach"}),
    "too low": (lambda w: w.set(clearance=110), {"clearance"}),
    "clips too close": (lambda w: w.to("s2", "south", "13.4", 13.4), {"clips"}),
    "a wrong due day": (lambda w: w.hang("a1", due=date(2027, 7, 6)), {"due", "dates"}),
    "a later pupation": (lambda w: w.pupa("a1", pupated=When.parse("2027-06-29")), {"due", "clash"}),
    "a wrong source": (lambda w: w.hang("a1", from_place="tub-3"), {"from", "moves"}),
    "a move to nowhere": (lambda w: w.move("a1", to_place="attic"), {"moves"}),
    "a move forgotten": (lambda w: w.claim(moves=w.plan.moves[1:]), {"moves", "proof"}),
    "a move too late": (lambda w: w.move("a1", not_after=w.plan.moves[6].not_after), {"time"}),
    "a clash hushed up": (lambda w: w.claim(clashes=()), {"clash", "proof"}),
    "a clash made to wait": (lambda w: w.claim(waiting=w.plan.waiting + w.plan.clashes), {"listed"}),
    "a wait hushed up": (lambda w: w.claim(waiting=()), {"clash"}),
    "a clash widened": (lambda w: w.claim(clashes=(replace(w.plan.clashes[0], distance=9),)), {"listed"}),
    "one left unnamed": (lambda w: w.claim(left=("l1",)), {"left"}),
    "proved beside its bound": (
        lambda w: w.claim(proof=tuple(replace(level, proved=True) for level in w.plan.proof)), {"proof"}
    ),
    "fewer clashes claimed": (
        lambda w: w.claim(proof=(Level(name="clashes", value=0, bound=0, proved=True),)), {"proof"}
    ),
}  # fmt: skip


# the same for a plan in which two change places by way of a spare spot
RING = {
    "a wait forgotten": (lambda w: step(w, 2, after=()), {"after"}),
    "a wait for a clip forgotten": (lambda w: step(w, 6, after=()), {"after"}),
    "the spare spot not waited for": (lambda w: step(w, 4, after=()), {"after"}),
    "the last first": (
        lambda w: step(step(step(w, 3, step=9), 1, step=3), 9, step=1), {"moves", "order", "after"}
    ),
    "not parked at all": (
        lambda w: w.claim(moves=tuple(
            replace(m, step=m.step - 1, from_spot="4", after=(1,)) if m.step == 3
            else replace(m, step=max(1, m.step - 1), after=()) for m in w.plan.moves if m.step != 1
        )),
        {"order", "after"},
    ),
    "parked on a taken spot": (
        lambda w: step(step(w, 1, to_spot="20"), 3, from_spot="20"), {"order"}
    ),
    "parked on a lid": (
        lambda w: step(step(w, 1, to_place="tub-2"), 3, from_place="tub-2"), {"park"}
    ),
    "parked overnight": (lambda w: step(w, 3, not_before=ring().plan.moves[3].not_before), {"park"}),
    "lost on the way": (lambda w: step(w, 3, from_spot="40"), {"moves"}),
    "taken from a wrong spot": (lambda w: step(w, 2, from_spot="24"), {"moves"}),
    "waits for one that begins later": (lambda w: step(w, 5, not_before=w.plan.on), {"time"}),
    "a clip pushed into one that leaves later": (
        lambda w: step(step(step(w, 5, step=9), 6, step=5), 9, step=6), {"order", "after"}
    ),
    "stuck, and moved all the same": (
        lambda w: w.claim(stuck=(Stuck(pupa="r2", why="no spot is free"),)), {"stuck"}
    ),
    "waits, and moved all the same": (
        lambda w: w.claim(waits=(Waits(pupa="r2", until=w.plan.on + timedelta(days=1)),)), {"waits"}
    ),
    "steps counted for pupae": (
        lambda w: w.claim(proof=(Level(name="touched", value=6, bound=6, proved=True),)), {"proof"}
    ),
}  # fmt: skip


@pytest.mark.parametrize(("change", "rules"), RING.values(), ids=RING)
def test_no_change_to_a_good_order_slips_through(change, rules):
    world = change(ring())
    assert rules <= {breach.rule for breach in verify(world.season, world.plan)}


@pytest.mark.parametrize(("change", "rules"), MUTATIONS.values(), ids=MUTATIONS)
def test_no_change_to_a_good_plan_slips_through(change, rules):
    world = change(good())
    assert rules <= {breach.rule for breach in verify(world.season, world.plan)}


def test_every_rule_is_broken_by_some_change():
    changes = [*MUTATIONS.values(), *RING.values()]
    elsewhere = {"kept", "closed", "evenings"}  # test_verify_kept.py, test_verify_closed.py, …_evenings.py
    assert {name for name, _ in RULES} == elsewhere.union(*(rules for _, rules in changes))
