"""The move list of a season: its order, its times, a ring by way of a spare spot, and what without one."""

from dataclasses import replace
from datetime import datetime

from hypothesis import given
from hypothesis import strategies as st
from season_world import ON, level, line, pupa, season, tub
from tries import tries

from planner.emergence import forecasts
from planner.planning.make_plan import make_plan
from planner.planning.moves.move_list import moves_of
from planner.planning.problem.open_spots import open_marks
from planner.rack.spots import home_of, positions, spot_on, spots
from planner.season import Hang, Level, Plan
from planner.verify import verify

FOUR = (
    pupa("a", 2, "n", spot="4"),
    pupa("b", 3, "n", spot="8"),
    pupa("c", 6, "s", spot="4"),
    pupa("d", 7, "s", spot="8"),
)


def listed(case, **where):
    """Steps as ``1 a: n 4 > s 8 after 2`` of those brought to (place, x)."""
    spots = {p.id: home_of(case, p.id) for p in case.pupae}
    for name, (place, x) in where.items():
        spots[name] = spot_on(case.place[place], case, x=x, y=0.0, tag=f"{x:g}")
    found = moves_of(case, spots, set(where), forecasts(case, ON), ON)
    return found, [_said(m) for m in found.moves]


def _said(m):
    after = f" after {' '.join(map(str, m.after))}" if m.after else ""
    return f"{m.step} {m.pupa}: {m.from_place} {m.from_spot} > {m.to_place} {m.to_spot}{after}"


def crossed(**settings):
    """Two lines of two marks each, a clash on either; no other way than one of each line changing places.

    Dues 2, 3 and 6, 7 July and 11 days, gap 3: a and b clash, c and d clash, every other two do not.
    """
    return season([line("n", 2), line("s", 2)], FOUR, gap_days=3, **settings)


def with_spare():
    """The same with a mark between one due with a and b and one due with c and d: nobody may stay on it."""
    case = crossed()
    more = (pupa("p", 3, "x", spot="4", stay=True), pupa("q", 6, "x", spot="12", stay=True))
    return season([*case.places, line("x", 3)], [*case.pupae, *more], gap_days=3)


# in an order that works


def test_who_hangs_on_the_spot_wanted_goes_first():
    case = season([tub(), line("n", 3)], [pupa("l", 3, x=5, y=5), pupa("h", 5, "n", spot="4")])
    assert listed(case, l=("n", 4), h=("n", 12))[1] == ["1 h: n 4 > n 12", "2 l: tub 5,5 > n 4 after 1"]


def test_who_hangs_too_near_to_the_mark_wanted_goes_first():
    # h hangs at 5.5, less than half a step from the mark at 4
    case = season([tub(), line("n", 3)], [pupa("l", 3, x=5, y=5), pupa("h", 5, "n", spot="5.5")])
    assert listed(case, l=("n", 4), h=("n", 12))[1] == ["1 h: n 5.5 > n 12", "2 l: tub 5,5 > n 4 after 1"]
    # from the mark at 8 it is far enough
    assert listed(case, l=("n", 8), h=("n", 12))[1] == ["1 l: tub 5,5 > n 8", "2 h: n 5.5 > n 12"]


def test_sliding_clips_wait_for_their_width():
    case = season(
        [tub(), line("s", 5, clips_every=None, clip_width=3)],
        [pupa("l", 3, x=5, y=5), pupa("h", 5, "s", spot="8")],
    )
    assert listed(case, l=("s", 10.5), h=("s", 14))[1] == ["1 h: s 8 > s 14", "2 l: tub 5,5 > s 10.5 after 1"]
    assert listed(case, l=("s", 11), h=("s", 14))[1] == ["1 l: tub 5,5 > s 11", "2 h: s 8 > s 14"]


def test_lids_to_be_cleared_come_first_and_each_place_once():
    case = season(
        [tub("t1"), tub("t2", clear=True), line("n", 9)],
        [
            pupa("a", 3, "t1", x=5, y=5),
            pupa("b", 4, "t2", x=5, y=5),
            pupa("c", 3, "t2", x=9, y=5),
            pupa("h", 5, "n", spot="36"),
        ],
    )
    where = {"a": ("n", 4), "b": ("n", 8), "c": ("n", 12), "h": ("n", 20)}
    assert listed(case, **where)[1] == [
        "1 c: t2 9,5 > n 12", "2 b: t2 5,5 > n 8", "3 a: t1 5,5 > n 4", "4 h: n 36 > n 20"
    ]  # fmt: skip
    # b wants h's spot: the line comes first, then the lid to be cleared in one go
    assert listed(case, **where | {"b": ("n", 36)})[1] == [
        "1 h: n 36 > n 20", "2 c: t2 9,5 > n 12", "3 b: t2 5,5 > n 36 after 1", "4 a: t1 5,5 > n 4"
    ]  # fmt: skip


def test_two_that_change_places_take_three_steps():
    found, said = listed(season([line("n", 5)], FOUR[:2]), a=("n", 8), b=("n", 4))
    # b has longer until it darkens; the mark at 12 is the nearest to where it comes from and where it goes
    assert said == ["1 b: n 8 > n 12", "2 a: n 4 > n 8 after 1", "3 b: n 12 > n 4 after 2"]
    # b of 3 July is firm from 5 July, a of 2 July may be darkening a day before 13 July
    assert {(m.not_before, m.not_after.date().day) for m in found.moves} == {(datetime(2027, 7, 5), 12)}


def test_a_mark_out_of_reach_is_no_spare_spot():
    case = season([line("n", 2), replace(line("high", 2), height=190)], FOUR[:2], highest=180)
    found, _ = listed(case, a=("n", 8), b=("n", 4))
    assert found.moves == ()
    assert found.stuck == {
        "a": "would change places with b, and no spot is free to park one of them",
        "b": "would change places with a, and no spot is free to park one of them",
    }


def test_a_mark_too_near_to_one_who_stays_is_no_spare_spot():
    stays = pupa("c", 6, "n", spot="13")  # 1 cm from the mark at 12
    case = season([line("n", 3)], [*FOUR[:2], stays])
    assert set(listed(case, a=("n", 8), b=("n", 4))[0].stuck) == {"a", "b"}


# planned


def test_a_plan_changes_places_by_way_of_a_spare_spot():
    case = with_spare()
    plan = make_plan(case, ON, rehang=True, seconds=20, workers=1)
    assert verify(case, plan) == []
    assert (plan.clashes, plan.stuck) == ((), ())
    assert len(plan.moves) == 3
    assert len(plan.movers) == 2
    assert (plan.moves[0].to_place, plan.moves[0].to_spot) == ("x", "8")
    assert plan.goes_on == {1: 3}
    assert level(plan, "handling").value == 2 * 3


def test_without_a_spare_spot_they_stay_and_the_plan_says_why():
    case = crossed()
    plan = make_plan(case, ON, rehang=True, seconds=20, workers=1)
    assert verify(case, plan) == []
    assert plan.moves == ()
    assert [s.pupa for s in plan.stuck] == ["a", "b", "c", "d"]
    assert all("no spot is free to park one of them" in s.why for s in plan.stuck)
    # Without clashes they could hang, but for the order: that fewer are impossible is not proved.
    assert level(plan, "clashes") == Level(name="clashes", value=2, bound=0, proved=False)
    assert {(c.a, c.b) for c in plan.clashes} == {("a", "b"), ("c", "d")}


@st.composite
def rehung(draw):
    """A few that hang, on marks or beside them, and a few on a lid; most in the way of one another."""
    marks = draw(st.integers(2, 4))
    other = draw(st.sampled_from([{}, {"clips_every": None, "clip_width": 3}]))
    places = [tub(clear=draw(st.booleans())), line("n", marks), line("s", draw(st.integers(1, 3)), **other)]
    spots = [("n", str(x)) for x in range(4, 4 * marks + 1, 2)] + [("s", "4"), ("s", "5.5")]
    hung = draw(st.lists(st.sampled_from(spots), unique=True, max_size=5))
    pupae = [
        pupa(f"h{k}", draw(st.integers(2, 7)), place, spot=spot, stay=draw(st.integers(0, 4)) == 0)
        for k, (place, spot) in enumerate(hung)
    ]
    pupae += [
        pupa(f"l{k}", draw(st.integers(2, 7)), x=5 + 4 * k, y=5) for k in range(draw(st.integers(0, 3)))
    ]
    return season(places, pupae, gap_days=draw(st.sampled_from([2, 3])))


@tries(8)
@given(rehung())
def test_the_verifier_carries_out_every_plan_that_re_hangs(case):
    plan = make_plan(case, ON, rehang=True, seconds=20, workers=1)
    assert verify(case, plan) == []
    assert len(plan.clashes) <= len(make_plan(case, ON, seconds=20, workers=1).clashes)


@st.composite
def rearranged(draw):
    """A few that hang anywhere on two lines or a lid, and for each a mark on which its clip has room."""
    other = draw(st.sampled_from([{}, {"clips_every": None, "clip_width": 3}]))
    places = [line("n", draw(st.integers(2, 4))), line("s", draw(st.integers(1, 3)), **other), tub()]
    empty = season(places, [])
    marks = [mark for found in spots(empty).values() for mark in found]
    shifts = st.sampled_from([0, 0, 0, 1.5])  # beside its mark, but with room for its clip
    homes = draw(st.permutations(marks))[: draw(st.integers(0, 6))]
    pupae = [
        pupa(f"h{k}", draw(st.integers(1, 7)), mark.place, spot=f"{mark.x + draw(shifts):g}")
        for k, mark in enumerate(homes)
    ]
    pupae += [
        pupa(f"l{k}", draw(st.integers(1, 7)), x=5 + 4 * k, y=5) for k in range(draw(st.integers(0, 2)))
    ]
    case = season(places, pupae)
    where, free = {p.id: home_of(case, p.id) for p in pupae}, draw(st.permutations(marks))
    for p in draw(st.permutations(pupae)):
        taken = [spot for name, spot in where.items() if name != p.id]
        where[p.id] = next(
            (m for m in free if m in open_marks(case, positions(case), taken) or m == where[p.id]),
            where[p.id],
        )
        free = [m for m in free if m != where[p.id]]
    # They swap among themselves too, as long as every clip has room in the end.
    order = draw(st.permutations(sorted(where)))
    swapped = dict(zip(order, (where[name] for name in sorted(where)), strict=True))
    if all(spot.place != "tub" for spot in where.values()):
        where = swapped
    return case, where


@tries(30)
@given(rearranged())
def test_the_verifier_carries_out_every_order(found):
    case, where = found
    now = forecasts(case, ON)
    moved = {name for name, spot in where.items() if spot != home_of(case, name)}
    ordered = moves_of(case, where, moved, now, ON)
    if ordered.stuck:
        assert all("no spot is free" in why for why in ordered.stuck.values())
        return
    hangs = [
        Hang(pupa=name, place=spot.place, spot=spot.tag, x=spot.x, y=spot.y, due=now[name].due.day,
             from_place=case.pupa[name].place if name in moved else None)
        for name, spot in where.items()
    ]  # fmt: skip
    plan = Plan(on=ON, gap_days=0, hangs=tuple(hangs), moves=ordered.moves, settings={"rehang_price": 3})
    assert [str(b) for b in verify(case, plan) if b.rule != "spot"] == []
    assert set(plan.movers) == moved
