"""What a plan claims of itself is counted out again: no false number of any level passes for a true one."""

from dataclasses import replace
from datetime import date, datetime
from functools import cache
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given
from hypothesis import strategies as st
from plan_changes import small_seasons
from test_verify_examples import NAMES, planned
from tries import tries
from verify_world import good

from planner.planning.make_plan import make_plan
from planner.season import Expected, Hang, Level, Lid, Line, Plan, Pupa, Season, When
from planner.verify import false_claims, verify
from planner.verify.levels import OLDER, VALUES
from planner.verify.proofs import MAXIMISED

ON = datetime(2027, 7, 9, 12)


def pupa(name, day, place="tub", spot=None, **more):
    return Pupa(id=name, species="monarch", pupated=When(date(2027, 7, day)), place=place, spot=spot, **more)


def season(places, pupae, **more):
    return Season(folder=Path("season"), name="test", places=places, pupae=tuple(pupae), **more)


def line(name="n", marks=4, **more):
    return Line(name=name, length=4 * marks + 2, height=150, **({"clips_every": 4} | more))


TUB = Lid(name="tub", width=40, length=28, height=120, left=0, front=0)
CROWD = [pupa(f"m{k}", 3 + k % 4) for k in range(9)]
# Each with what is asked for, so that together they have every level.
SEASONS = {
    "crowded": (season((replace(TUB, clear=True), line(marks=6, left=60)), CROWD), {}),
    "one may wait": (season((TUB, line(marks=3)), [pupa(f"m{k}", 6) for k in range(3)]), {"evenings": 2}),
    # a and b hang side by side, due on one day; to part them one of them moves.
    "hung side by side": (
        season((TUB, line(marks=12)), [pupa("a", 4, "n", "4"), pupa("b", 4, "n", "8"), pupa("c", 6)]),
        {"rehang": True},
    ),
    # The only mark is a's, who is due about when one expected is firm.
    "a spot hoped for": (
        season(
            (TUB, line(marks=1)),
            [pupa("a", 1, "n", "4")],
            expected=(Expected(date(2027, 7, 10), 1, "monarch"),),
        ),
        {},
    ),
    # For thirty more there is no room on the yarn.
    "clips that slide": (
        season(
            (replace(TUB, clear=True), line("s", 14, clips_every=None, clip_width=3, left=60)),
            CROWD[:4],
            expected=(Expected(date(2027, 7, 9), 30, "monarch"),),
        ),
        {},
    ),
    # Of the plan before, that had two of one date side by side, one move changes.
    "a move changed": (
        season((replace(TUB, clear=True), line(marks=6, left=60)), CROWD[:5]),
        {
            "before": Plan(
                on=ON,
                gap_days=2,
                hangs=(
                    Hang(pupa="m0", place="n", spot="4", from_place="tub"),
                    Hang(pupa="m4", place="n", spot="8", from_place="tub"),
                ),
            )
        },
    ),
    "widest": (season((TUB, line(marks=12)), CROWD[:5]), {"widest": True}),
}  # fmt: skip


@cache
def made(name):
    if name in NAMES:
        return planned(name)
    case, choices = SEASONS[name]
    plan = make_plan(case, ON, seconds=10, workers=1, **choices)
    assert verify(case, plan) == []
    return case, plan


def told(case, plan, level, **changes):
    """What the verifier says of the same plan with one level changed."""
    proof = tuple(replace(x, **changes) if x is level else x for x in plan.proof)
    return false_claims(case, replace(plan, proof=proof))


def false_numbers(level):
    """Every way to make one number of a level false that can be told from the season and the plan alone."""
    value = 5.0 if level.value is None else level.value
    for by in (-99, -1, -0.1, -0.01, 0.01, 0.1, 1, 99):
        if by in (-0.01, 0.01) and level.name in ("length", "carrying"):
            continue  # they are told in tenths
        yield {"value": value + by}
        yield {"value": value + by, "bound": value + by, "proved": True}
    more = -1 if level.name in MAXIMISED else 1
    if level.value is not None:
        yield {"bound": value + more}
        yield {"bound": value + more, "proved": not level.proved}
    if level.name in MAXIMISED:
        yield {"value": 1.2345 if level.value is None else None}
    else:
        yield {"value": None}
        yield {"bound": None}
    yield {"proved": not level.proved}
    yield {"name": "tidy"}
    if level.proved and level.bound is not None:
        yield {"bound": level.bound - 7 * more}  # weaker: but then it is not proved


@pytest.mark.parametrize("name", [*SEASONS, *NAMES])
def test_each_number_of_each_level_made_false_is_told(name):
    case, plan = made(name)
    assert plan.proof
    every = 3 if name in NAMES else 1  # of a whole season each takes long
    untold = [
        (level, changes)
        for level in plan.proof
        for changes in list(false_numbers(level))[::every]
        if not told(case, plan, level, **changes)
    ]
    assert untold == []


def test_among_these_plans_every_level_is_met():
    assert {level.name for name in SEASONS for level in made(name)[1].proof} == {*VALUES} - {*OLDER}


def test_of_a_bound_only_its_side_can_be_told():
    # Whether a plan could be better only a solver knows: a weaker bound passes, and so would a forged proof.
    case, plan = made("crowded")
    touched = next(x for x in plan.proof if x.name == "touched")
    assert told(case, plan, touched, bound=touched.value - 1, proved=False) == []
    assert told(case, plan, touched, bound=touched.value, proved=True) == []


def test_a_good_plan_is_not_believed_what_it_boasts():
    world = good()
    boast = (
        Level(name="left", value=99, bound=99, proved=True),
        Level(name="touched", value=11, bound=9999, proved=False),
        Level(name="smallest_gap", value=99, bound=99, proved=True),
        Level(name="close", value=99, bound=99, proved=True),
        Level(name="carrying", value=99, bound=99, proved=True),
    )
    # Left: l1 and p1 stay on the lid to be cleared, but neither may be moved now. Gap: e1 and e2 are due on
    # one day. Close: seven pairs within reach are due less than 2 + 1 days apart, and count 2 each: a1 a2,
    # a2 a3, a2 a4, b1 b2, b2 b3, s1 s2 (2 days each) and e1 e2.
    # Carrying, in tenths: no lid has a known stand, so it is order alone. Of nine dates, 5 to 14 July without
    # the 6th, a1 is the second, on the first of 13 open marks (32 is too near to h1): 10 · |1/8 - 0/12| = 1;
    # a2 10 · |3/8 - 1/12| = 3, a3 5, a4 1, e1 1, e2 2. Of 22 pins, in rows of 6 and 5: b1 10 · |3/8 - 0/21| =
    # 4, b2 6, b3 10 · |7/8 - 6/21| = 6. Where clips slide: s1 10 · |4/8 - 10.5/60| = 3, s2 5. Together 37.
    assert world.claim(proof=boast).says()[:4] == [
        "proof: level left has value 99: allowed is 0, as everybody hangs",
        "proof: level smallest_gap has value 99: allowed is 0, as everybody hangs",
        "proof: level close has value 99: allowed is 14, as everybody hangs",
        "proof: level carrying has value 99: allowed is 3.7, as everybody hangs",
    ]
    assert world.claim(proof=boast).says()[4:] == [
        "proof: level touched has value 11 with bound 9999: allowed is 11 or less"
    ]


def test_a_level_nobody_knows_is_told():
    assert good().claim(proof=(Level(name="tidy", value=7, bound=3, proved=False),)).says() == [
        "proof: level tidy is not known: allowed are unplaced, waiting, left, clashes, trouble, touched, "
        "handling, stability, room, smallest_gap, close, risk, elbow_room, length, carrying"
    ]


def test_a_level_stands_once_and_in_its_order():
    clashes, touched = good().plan.proof
    assert good().claim(proof=(clashes, touched, clashes)).says() == [
        "proof: level clashes stands 2 times: allowed is once"
    ]
    assert good().claim(proof=(touched, clashes)).says() == [
        "proof: level clashes stands after touched: allowed is before it"
    ]
    assert good().claim(proof=(clashes, touched, replace(touched, name="handling"))).says()[:1] == [
        "proof: levels touched and handling both stand there: allowed is one of them"
    ]


def test_where_the_widest_gap_comes_first_who_is_touched_is_counted_after_it():
    _, plan = made("widest")
    assert [x.name for x in plan.proof] == [
        "clashes", "smallest_gap", "touched", "risk", "elbow_room", "carrying",
    ]  # fmt: skip


def test_moves_changed_are_counted_after_the_widest_gap_where_there_is_one_and_else_before_room():
    case, room, gap, kept = (
        good(),
        *(Level(name=name, value=0, bound=0, proved=True) for name in ("room", "smallest_gap", "stability")),
    )
    said = "proof: level stability stands after room: allowed is before it"
    assert said in case.claim(proof=(room, kept)).says()
    assert said not in case.claim(proof=(room, gap, kept)).says()
    assert said not in case.claim(proof=(kept, room)).says()


def test_proved_means_that_value_and_bound_meet():
    for proved, bound, what in (
        (True, 9, "is called proved at 11 with bound 9: allowed is the same"),
        (False, 11, "is not called proved at 11 with bound 11: allowed is proved, as they meet"),
    ):
        level = Level(name="touched", value=11, bound=bound, proved=proved)
        assert good().claim(proof=(level,)).says() == [f"proof: level touched {what}"]


def test_a_smallest_gap_is_of_all_neighbours_but_those_that_only_wait():
    # Of the good plan e1 and e2 clash, due on one day; c1 and c2 are due on one day too, and wait.
    case = good().claim(waiting=(*good().plan.waiting, *good().plan.clashes), clashes=(), proof=())
    gap = Level(name="smallest_gap", value=2, bound=None, proved=False)
    assert "proof" not in {line.split(":")[0] for line in case.claim(proof=(gap,)).says()}
    assert good().claim(proof=(gap,)).says() == [
        "proof: level smallest_gap has value 2: allowed is 0, as everybody hangs"
    ]


def test_a_gap_of_nobody_is_none():
    alone = good().set(wing_reach=1, drop=0).claim(clashes=(), waiting=())
    gap = Level(name="smallest_gap", value=None, bound=None, proved=True)
    assert alone.claim(proof=(gap,)).says() == []
    assert alone.claim(proof=(replace(gap, value=3, proved=False),)).says() == [
        "proof: level smallest_gap has value 3: allowed is none, as everybody hangs"
    ]


# spots hoped for


def test_a_spot_hoped_for_counts_with_its_chance():
    # a pupated on the 1st and is due about the 12th; the one expected is firm on the 12th at noon.
    case, plan = made("a spot hoped for")
    (hoped,), (room,) = plan.hoped, (x for x in plan.proof if x.name == "room")
    assert (plan.kept, hoped.place, hoped.spot, hoped.since) == ((), "n", "4", datetime(2027, 7, 12, 12))
    assert 0 < room.value < 0.7
    assert [b.what for b in verify(case, replace(plan, hoped=()))] == [
        f"level room has value {room.value:g}: allowed is 1, as everybody hangs"
    ]


def test_what_is_hoped_for_must_be_founded():
    case, plan = made("a spot hoped for")
    (hoped,) = plan.hoped
    for change, what in (
        ({"spot": "3"}, "is no spot: allowed are multiples of 4 cm"),
        ({"since": datetime(2027, 7, 13, 12)}, "allowed is 2027-07-12 12:00:00, when it is firm"),
        ({"who": "nobody"}, "1 kept for nobody: allowed are 0, as many as will come"),
    ):  # fmt: skip
        said = verify(case, replace(plan, hoped=(replace(hoped, **change),)))
        assert any(what in b.what for b in said if b.rule == "proof"), said
    later = replace(case, pupae=(replace(case.pupae[0], pupated=When(date(2027, 7, 8))),))
    hangs = (replace(plan.hangs[0], due=date(2027, 7, 19)),)
    assert (
        "n at 4, hoped for by expected 2027-07-10 monarch, is hardly free by then: allowed is a chance of "
        "0.3 or more"
    ) in [b.what for b in verify(later, replace(plan, hangs=hangs))]


# whatever the season


def test_of_any_season_each_number_made_false_is_told():
    # Each try makes a plan: it is not shrunk.
    @tries(5, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
    @given(small_seasons(), st.fixed_dictionaries({k: st.booleans() for k in ("rehang", "widest")}))
    def try_one(case, choices):
        plan = make_plan(case, ON, seconds=10, workers=1, **choices)
        assert verify(case, plan) == []
        for level in plan.proof:
            for changes in false_numbers(level):
                assert told(case, plan, level, **changes), (level, changes)

    try_one()
