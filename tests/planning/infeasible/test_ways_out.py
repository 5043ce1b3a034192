"""Each way out, applied, leaves no clash at just its price, and one less of it leaves one."""

from dataclasses import replace
from datetime import timedelta
from itertools import combinations

import pytest
from impossible_world import (
    SEASONS,
    day_before,
    emerged,
    found,
    kept,
    lengthened,
    many,
    plan_of,
    unmet,
    ways,
)
from season_world import ON, line, pupa, season, tub

from planner.emergence import forecasts
from planner.engine.model.solver import Answer, Clock, Effort
from planner.engine.search import deferral_model
from planner.planning.infeasible.clash_free import first_possible
from planner.planning.infeasible.ways_out import explain_plan
from planner.season import Lid
from planner.season.plan.reason_record import Explained

# How much of each way each season needs, derived in the comments of impossible_world and here:
# spots: marks, columns or cm; gap: days; rehang: pupae; cards; hold: pupae; wait: days from now.
PRICES = {
    # A fourth of one date hangs on the tenth mark. Two cards: of any four marks out of seven two pairs clash.
    "four of one date": {"spots": 3, "cards": 2, "hold": 1},
    "more than spots": {"spots": 1, "hold": 1},
    # The fifth mark is 12 cm from h. Re-hung, h and a take the first and the fourth.
    "beside one that hangs": {"spots": 1, "rehang": 1, "cards": 1, "hold": 1},
    "two that hang side by side": {"rehang": 1, "cards": 1},
    "two told to stay": {},
    # Putting it off is all that can be done at once.
    "out of reach": {"hold": 1},
    # Three marks of the upper line would do for two dates; there is one.
    "too little room below": {"spots": 1, "hold": 1},
    # The third pin is 10 cm from the first, a wing reach.
    "a small board": {"spots": 1, "cards": 1, "hold": 1},
    # 12 cm leave 1 to 11, a wing reach.
    "a short yarn": {"spots": 3, "cards": 1, "hold": 1},
    # A monarch of 29 June is due about 10 July: on the 11th, not on the 10th, it is surely gone and dry.
    "taken until tomorrow": {"spots": 1, "hold": 1, "wait": 2},
    # a and c side by side on the fourth and fifth mark.
    "one between two dates": {"spots": 1, "gap": 1, "cards": 1, "hold": 1},
    "a day apart": {"spots": 2, "gap": 1, "cards": 1, "hold": 1},
}


def price(way):
    match way.kind:
        case "spots":
            return way.count or way.more
        case "gap":
            return way.days
        case "rehang" | "hold":
            return len(way.pupae)
        case "cards":
            return len(way.dividers)
    return (way.until - ON).days


def all_ways(kind):
    return [(name, way) for name in SEASONS for way in ways(name, kind)]


@pytest.mark.parametrize("name", SEASONS)
def test_each_season_has_the_ways_out_it_was_built_with_at_their_prices(name):
    assert {way.kind: price(way) for way in found(name).ways if way.kind != "none"} == PRICES[name]
    assert all(way.least for way in found(name).ways)
    assert found(name).complete


@pytest.mark.parametrize("name", SEASONS)
def test_the_season_as_it_is_has_no_plan_without_clashes(name):
    assert unmet(SEASONS[name]) > 0


@pytest.mark.parametrize("name", [n for n in SEASONS if "spots" in PRICES[n]])
def test_so_many_more_spots_suffice_and_one_less_does_not(name):
    (way,) = ways(name, "spots")
    case = SEASONS[name]
    assert unmet(lengthened(case, way)) == 0
    assert lengthened(case, way).place[way.place].length == way.length if way.count == 0 else True
    assert unmet(lengthened(case, way, less=1 if way.count else 0.5)) > 0


@pytest.mark.parametrize("name", [n for n in SEASONS if "gap" in PRICES[n]])
def test_the_smaller_gap_suffices_and_a_hundredth_more_does_not(name):
    (way,) = ways(name, "gap")
    assert unmet(SEASONS[name], gap=way.days) == 0
    assert unmet(SEASONS[name], gap=way.days + 0.01) > 0


@pytest.mark.parametrize("name", [n for n in SEASONS if "rehang" in PRICES[n]])
def test_re_hanging_so_many_suffices_and_fewer_do_not(name):
    (way,) = ways(name, "rehang")
    case = SEASONS[name]
    hung = [p.id for p in case.pupae if not isinstance(case.place[p.place], Lid)]
    others = [name for name in hung if name not in way.pupae]
    assert unmet(kept(case, others), rehang=True) == 0
    for fewer in combinations(hung, len(way.pupae) - 1):
        assert unmet(kept(case, [n for n in hung if n not in fewer]), rehang=True) > 0


@pytest.mark.parametrize("name", [n for n in SEASONS if "cards" in PRICES[n]])
def test_the_cards_suffice_and_without_any_one_of_them_a_clash_is_left(name):
    (way,) = ways(name, "cards")
    case = SEASONS[name]
    assert unmet(replace(case, dividers=way.dividers)) == 0
    for fewer in combinations(way.dividers, len(way.dividers) - 1):
        assert unmet(replace(case, dividers=fewer)) > 0


@pytest.mark.parametrize("name", [n for n in SEASONS if "hold" in PRICES[n]])
def test_leaving_so_many_on_their_lids_suffices_and_fewer_do_not(name):
    (way,) = ways(name, "hold")
    case = SEASONS[name]
    plan = plan_of(case, evenings=way.evenings)
    assert plan.clashes == ()
    assert [one.pupa for one in plan.waits] == list(way.pupae)
    assert set(plan.left) <= set(way.pupae)
    for fewer in combinations(case.pupa, len(way.pupae) - 1):  # as if these had never been there
        assert unmet(replace(case, pupae=tuple(p for p in case.pupae if p.id not in fewer))) > 0


@pytest.mark.parametrize("name", [n for n in SEASONS if "hold" in PRICES[n]])
def test_it_is_a_way_out_just_where_each_has_a_spot_that_is_free_by_then(name):
    (way,) = ways(name, "hold")
    plan = plan_of(SEASONS[name], evenings=8)  # lived through evening by evening by the verifier
    assert way.placed is (not plan.put_off and not plan.hoped)
    assert way.placed is (name in ("more than spots", "taken until tomorrow"))


@pytest.mark.parametrize("name", [n for n in SEASONS if "wait" in PRICES[n]])
def test_on_the_day_named_there_is_a_plan_without_clashes_and_on_the_day_before_none(name):
    (way,) = ways(name, "wait")
    case = SEASONS[name]
    assert unmet(emerged(case, way.gone, way.until), way.until) == 0
    due = {pupa: f.due.median for pupa, f in forecasts(case, ON).items()}
    before = day_before(way.until)
    gone = [p for p in case.pupa if due[p] + timedelta(hours=3) <= before]  # wings dry in 3 h
    assert unmet(emerged(case, gone, before), before) > 0


@pytest.mark.parametrize("name", [n for n in SEASONS if "hold" in PRICES[n]])
def test_of_a_delay_it_is_told_whether_there_may_be_a_plan_without_clashes_then(name):
    (way,) = ways(name, "hold")
    if way.placed:
        return  # no delay, but a way out
    then = emerged(SEASONS[name], way.gone, way.until)  # as if nobody had been hung today
    assert way.then is (unmet(then, way.until) == 0)


def test_what_was_not_found_out_about_waiting_is_not_said_to_be_in_vain(monkeypatch):
    case = SEASONS["four of one date"]
    plan = plan_of(case)
    monkeypatch.setattr(deferral_model, "solve", lambda *_: Answer("unknown", None, None, lambda _: 0))
    why = explain_plan(case, plan, Effort(Clock(20), workers=1))
    assert "hold" not in {way.kind for way in why.ways}
    assert "hold" not in {way.of for way in why.ways if way.kind == "none"}


def test_two_that_must_stay_side_by_side_are_counted_among_the_clashes_left():
    # c and d are parted by moving one of them: then the two that stay are the one clash left.
    pupae = [pupa("a", 3, "n", spot="4", stay=True), pupa("b", 3, "n", spot="8", stay=True)]
    pupae += [pupa("c", 6, "n", spot="24"), pupa("d", 6, "n", spot="28")]
    case = season([line(marks=12)], pupae)
    plan = plan_of(case)
    (way,) = [w for w in explain_plan(case, plan, Effort(Clock(20), workers=1)).ways if w.kind == "rehang"]
    assert (way.clashes, way.instead, len(way.pupae)) == (1, 2, 1)


@pytest.mark.parametrize("stay", [False, True])
def test_where_re_hanging_leaves_fewer_clashes_it_is_told_how_many(stay):
    # Three of one date and three of another on seven marks: the six clashes are all of two that hang already.
    pupae = [pupa(f"a{k}", 3, "n", spot=str(4 * k + 4)) for k in range(3)]
    pupae += [pupa(f"b{k}", 6, "n", spot=str(4 * k + 16)) for k in range(3)]
    pupae = [replace(p, stay=stay and p.id in ("a0", "a1")) for p in pupae]
    case = season([line(marks=7)], pupae)
    plan = plan_of(case)
    (way,) = [w for w in explain_plan(case, plan, Effort(Clock(20), workers=1)).ways if w.kind == "rehang"]
    assert (len(plan.clashes), way.instead) == (6, 6)
    assert 0 < way.clashes < 6
    again = plan_of(case, rehang=True)
    assert len(again.clashes) == way.clashes
    assert any(level.name == "clashes" and level.proved for level in again.proof)
    assert not {"a0", "a1"} & set(way.pupae if stay else ())


def test_ways_that_do_not_lead_out_are_named():
    vain = {name: sorted(way.of for way in ways(name, "none")) for name in SEASONS}
    assert vain["two told to stay"] == ["cards", "gap", "hold", "spots"]
    assert vain["two that hang side by side"] == ["gap", "hold", "spots"]
    assert vain["out of reach"] == ["gap", "wait"]


def test_nobody_may_lose_by_waiting():
    # h leaves the one mark in time for a, but b, of the same date, would be darkening on the lid by then.
    case = season(
        [tub(clear=True), line(marks=1)],
        [pupa("h", 1, "n", spot="4"), pupa("a", 6), pupa("b", 1)],
    )
    plan = plan_of(case)
    kinds = {way.kind for way in explain_plan(case, plan, Effort(Clock(20), workers=1)).ways}
    assert "wait" not in kinds


def test_of_all_lines_of_a_kind_the_one_is_told_that_needs_least_and_of_empty_ones_alike_the_first():
    # n and s hold one of a date each, so of three one is too many; l is like them, but h hangs there.
    places = [tub(clear=True), line("n", marks=2), line("s", marks=2), line("l", marks=2)]
    case = season(places, [pupa("h", 5, "l", spot="4"), *many("abc", 5)])
    why = explain_plan(case, plan_of(case), Effort(Clock(20), workers=1))
    # n: the fourth mark is 12 cm from the first; l: from 4, where h hangs, it is so too. Two more each.
    assert [(w.place, w.count) for w in why.ways if w.kind == "spots"] == [("n", 2)]
    # Of three marks the third is 8 cm from the first: one more of l is enough for a second pupa.
    longer = season([tub(clear=True), line("n", marks=2), line("l", marks=3)], many("abc", 5))
    why = explain_plan(longer, plan_of(longer), Effort(Clock(20), workers=1))
    assert [(w.place, w.count) for w in why.ways if w.kind == "spots"] == [("l", 1)]


def test_a_good_plan_needs_no_way_out():
    case = season([tub(clear=True), line(marks=7)], many("abc", 5))
    assert explain_plan(case, plan_of(case), Effort(Clock(20))) == Explained()


def test_with_rehang_as_it_was_planned_the_ways_out_heed_it():
    # One spot for two of one date: whoever moves, one of them is in the way. A way out is three more marks;
    # without re-hanging, h on the first mark, it would be so too, but not for h on the second.
    case = season([tub(clear=True), line(marks=3)], [pupa("h", 5, "n", spot="8"), pupa("a", 5)])
    plan = plan_of(case, rehang=True)
    why = explain_plan(case, plan, Effort(Clock(20), workers=1))
    (way,) = [way for way in why.ways if way.kind == "spots"]
    assert way.count == 1  # the first and the fourth; with h at 8 the fifth would be needed
    assert unmet(lengthened(case, way), rehang=True) == 0
    assert not any(way.kind == "rehang" for way in why.ways)


def test_a_clock_that_has_run_out_says_so():
    case = SEASONS["four of one date"]
    why = explain_plan(case, plan_of(case), Effort(Clock(20, lambda: True)))
    assert not why.complete
    assert why.reasons == ()
    assert [way.kind for way in why.ways] == ["cards"]  # the plan itself names them


def test_under_a_risk_there_is_no_gap_to_make_smaller():
    case = season([tub(clear=True), line(marks=2)], many("ab", 5), risk=0.01)
    why = explain_plan(case, plan_of(case), Effort(Clock(20), workers=1))
    assert {way.kind for way in why.ways} == {"spots", "cards", "hold", "none"}
    (way,) = [way for way in why.ways if way.kind == "spots"]
    assert unmet(lengthened(case, way)) == 0
    assert unmet(lengthened(case, way, less=1)) > 0


def test_the_smallest_value_that_works_is_found_with_few_questions():
    infeasible = []

    def works(value):
        infeasible.append(value)
        return value >= 37

    assert first_possible(list(range(1, 61)), works) == (37, True)
    assert len(infeasible) <= 12
    assert first_possible(list(range(1, 31)), works) == (None, True)
    assert first_possible([], works) == (None, True)


def test_a_question_not_answered_leaves_it_unproved():
    assert first_possible([1, 2, 3, 4], lambda v: True if v >= 3 else None) == (3, False)
    assert first_possible([1, 2], lambda v: None) == (None, False)
