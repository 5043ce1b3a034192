"""The verifier lives through the evenings to come: each is hung then on a free spot, and clashes with nobody.

One mark, 4. h hangs there, pupated 30 June: due 11 July. a pupated 6 July on a lid to be cleared, and may be
darkening from the morning of 16 July. So a waits for h's spot: by 13 July, 12:00, h has left it with a chance
of 0.96.
"""

from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from pathlib import Path

from planner.planning.make_plan import make_plan
from planner.season import Lid, Line, Pupa, Season, When
from planner.verify import verify

ON = datetime(2027, 7, 9, 12)
EVENING = datetime(2027, 7, 13, 12)
TUB = Lid(name="tub", width=40, length=28, clear=True)
H = Pupa(id="h", species="monarch", pupated=When(date(2027, 6, 30)), place="n", spot="4")
A = Pupa(id="a", species="monarch", pupated=When(date(2027, 7, 6)), place="tub")
CASE = Season(
    folder=Path("season"),
    name="one spot",
    places=(TUB, Line(name="n", length=6, height=150, clips_every=4)),
    pupae=(H, A),
)


@cache
def planned():
    return make_plan(CASE, ON, workers=1, seconds=10, evenings=5)


def says(case=CASE, plan=None, **changes):
    """What the rule says of the plan in which the one hung later is changed."""
    plan = planned() if plan is None else plan
    (one,) = plan.later
    spoiled = replace(plan, kept=(replace(one, **changes),), hoped=(), waits=changes_of_wait(plan, changes))
    return [b.what for b in verify(case, spoiled) if b.rule == "evenings"]


def changes_of_wait(plan, changes):
    """It waits for its evening, whichever that is."""
    return tuple(replace(w, until=changes.get("since", w.until)) for w in plan.waits)


def test_the_plan_waits_for_the_spot_until_it_is_surely_free():
    (one,) = planned().later
    assert (one.who, one.place, one.spot, one.since) == ("a", "n", "4", EVENING)
    assert (one.chance, one.latest) == (0.96, datetime(2027, 7, 15, 12))
    assert [(w.pupa, w.until) for w in planned().waits] == [("a", EVENING)]
    assert verify(CASE, planned()) == []


def test_an_evening_on_which_the_spot_is_hardly_free_is_refused():
    # On 11 July at noon h has left it with a chance of 0.47; on the 10th with hardly any.
    assert says(since=EVENING - timedelta(days=2), chance=0.47) == []
    where = "a is to be hung on n at 4 on 2027-07-10 12:00"
    assert says(since=EVENING - timedelta(days=3), chance=None) == [
        f"{where}, which is hardly free by then: allowed is a chance of 0.3 or more"
    ]


def test_a_chance_made_better_is_refused():
    assert says(chance=1.0) == [
        "a is to be hung on n at 4 on 2027-07-13 12:00, free with a chance of 1: allowed is 0.96"
    ]


def test_an_evening_at_another_hour_is_refused():
    assert says(since=EVENING + timedelta(hours=7), chance=None) == [
        "a is to be hung on 2027-07-13 19:00: allowed is an evening after the plan, at 12:00"
    ]


def test_an_evening_on_which_it_may_be_darkening_is_refused():
    assert says(since=EVENING + timedelta(days=3), chance=None) == [
        "a is to be hung on 2027-07-16 12:00: allowed is before 2027-07-16 10:57, when it may be darkening"
    ]


def test_a_last_evening_put_off_is_refused():
    assert says(latest=datetime(2027, 7, 16, 12)) == [
        "a is to be hung on 2027-07-13 12:00, on 2027-07-16 12:00 at the latest: allowed is 2027-07-15 12:00"
    ]


def test_one_that_waits_until_another_evening_is_refused():
    plan = replace(planned(), waits=(replace(planned().waits[0], until=EVENING - timedelta(days=1)),))
    assert [b.what for b in verify(CASE, plan) if b.rule == "evenings"] == [
        "a is to be hung on 2027-07-13 12:00: allowed is 2027-07-12 12:00, until which it waits"
    ]


def test_one_that_is_firm_and_waits_for_nothing_is_refused():
    plan = replace(planned(), waits=())
    assert [b.what for b in verify(CASE, plan) if b.rule == "evenings"] == [
        "a is to be hung on 2027-07-13 12:00: allowed is that only of one that is soft, or waits, and not "
        "recorded to stay"
    ]


def test_one_to_be_hung_twice_is_refused():
    (one,) = planned().later
    plan = replace(planned(), kept=(one, one), hoped=())
    assert "a is to be hung later 2 times: allowed is once" in [b.what for b in verify(CASE, plan)]


def test_one_hung_later_beside_one_of_its_date_is_refused():
    # b, of a's date, hangs on a mark 4 cm beside it by now.
    line = Line(name="n", length=10, height=150, clips_every=4)
    b = replace(A, id="b", place="n", spot="8")
    case = replace(CASE, places=(TUB, line), pupae=(H, A, b))
    hangs = (*planned().hangs, replace(planned().hangs[0], pupa="b", spot="8", x=8, due=date(2027, 7, 17)))
    assert says(case, replace(planned(), hangs=hangs)) == [
        "a (due 2027-07-17) is to be hung on n at 4 on 2027-07-13 12:00, beside b (due 2027-07-17): allowed "
        "is 2 days or more"
    ]


def test_two_hung_on_one_spot_on_two_evenings_are_refused():
    # a hangs there from the 13th to about the 17th: b finds it taken on the 14th.
    b = replace(A, id="b")
    case, (one,) = replace(CASE, pupae=(H, A, b)), planned().later
    hangs = (*planned().hangs, replace(planned().hangs[1], pupa="b"))
    other = replace(one, who="b", since=EVENING + timedelta(days=1), chance=None)
    waits = (*planned().waits, replace(planned().waits[0], pupa="b", until=other.since))
    plan = replace(planned(), hangs=hangs, kept=(one, other), hoped=(), waits=waits, left=("a", "b"))
    assert [b.what for b in verify(case, plan) if b.rule == "evenings"] == [
        "b is to be hung on n at 4 on 2027-07-14 12:00, where a hangs by then: allowed is a free spot"
    ]
