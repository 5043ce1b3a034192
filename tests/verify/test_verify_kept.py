"""The verifier finds every way in which a kept spot may be no use."""

from dataclasses import replace
from datetime import date, datetime

import pytest
from naive_verifier import broken

from planner.planning.make_plan import make_plan
from planner.season import Expected, Lid, Line, Pupa, Season, When
from planner.verify import verify

ON = datetime(2027, 7, 9, 12)


def pupa(name, day, place, spot=None):
    return Pupa(id=name, species="monarch", pupated=When(date(2027, 7, day)), place=place, spot=spot)


@pytest.fixture(scope="module")
def season():
    # Marks 4 … 40. a hangs at 4, due about the 12th; b at 40, due about the 18th. Two are expected on the
    # 10th (firm on the 12th at 0:00, due about the 21st), one on the 20th.
    from pathlib import Path

    return Season(
        folder=Path("season"),
        name="test",
        places=(Lid(name="tub", width=40, length=28), Line(name="n", length=42, height=150, clips_every=4)),
        pupae=(pupa("a", 1, "n", "4"), pupa("b", 7, "n", "40")),
        expected=(Expected(date(2027, 7, 10), 2, "monarch"), Expected(date(2027, 7, 20), 1, "monarch")),
    )


@pytest.fixture(scope="module")
def plan(season):
    plan = make_plan(season, ON, workers=1)
    assert verify(season, plan) == []
    assert len(plan.kept) == 3
    return plan


def says(season, plan, k, **changes):
    kept = list(plan.kept)
    kept[k] = replace(kept[k], **changes)
    return [str(b) for b in verify(season, replace(plan, kept=tuple(kept)))]


def test_a_spot_that_is_none(season, plan):
    assert says(season, plan, 0, spot="5000") == [
        "kept: n at 5000, kept for expected 2027-07-10 monarch, is no spot: allowed are spots of lines and "
        "boards"
    ]
    assert says(season, plan, 0, place="tub", spot="?")[0].startswith("kept: tub at ?, kept for")


def test_a_spot_at_the_knot_of_a_line_on_which_clips_slide(season, plan):
    slides = replace(season.place["n"], clips_every=None, clip_width=3, to_nearest=0.5)
    slid = replace(season, places=tuple(slides if place.name == "n" else place for place in season.places))
    who = plan.kept[0].who
    assert f"kept: n at 0.5, kept for {who}, is no spot: the knot of its line is there" in says(
        slid, plan, 0, place="n", spot="0.5"
    )


def test_a_spot_between_the_marks(season, plan):
    assert f"kept: n at 22, kept for {plan.kept[0].who}, is no spot: allowed are multiples of 4 cm" in says(
        season, plan, 0, spot="22"
    )


def test_one_more_than_will_come(season, plan):
    more = replace(plan, kept=(*plan.kept, replace(plan.kept[0], spot="24")))
    assert "kept: 3 kept for expected 2027-07-10 monarch: allowed are 2, as many as will come" in [
        str(b) for b in verify(season, more)
    ]


def test_somebody_who_will_not_come(season, plan):
    assert says(season, plan, 0, who="m9") == [
        "kept: 1 kept for m9: allowed are 0, as many as will come",
        "proof: level room has value 0: allowed is 1, as everybody hangs",
    ]


def test_a_wrong_day(season, plan):
    (found,) = says(season, plan, 0, due=date(2027, 7, 30))
    assert found.endswith("due 2027-07-30: allowed is 2027-07-21, as forecast")


def test_a_wrong_moment(season, plan):
    found, counted = says(season, plan, 0, since=datetime(2027, 7, 13))
    assert found.endswith(
        "from 2027-07-13 00:00:00: allowed is 2027-07-12 12:00:00, when it is firm and can be hung"
    )
    # A spot at another moment than that is no room for it.
    assert counted == "proof: level room has value 0: allowed is 1, as everybody hangs"


def test_a_spot_on_which_one_still_hangs(season, plan):
    # b is due on the 18th: on the 12th it hangs there still.
    first = next(k for k, kept in enumerate(plan.kept) if kept.who == "expected 2027-07-10 monarch")
    found = says(season, plan, first, spot="40")
    assert any("is taken by b: allowed is from 2027-07-" in text for text in found)


def test_two_on_one_spot(season, plan):
    first, second = (k for k, kept in enumerate(plan.kept) if kept.who == "expected 2027-07-10 monarch")
    found = says(season, plan, second, spot=plan.kept[first].spot)
    assert any("allowed is one at a time" in text for text in found)


def test_a_neighbour_of_a_near_date(season, plan):
    # The other of the 10th hangs within reach then: of one date.
    first, second = (k for k, kept in enumerate(plan.kept) if kept.who == "expected 2027-07-10 monarch")
    beside = f"{float(plan.kept[first].spot) + (4 if plan.kept[first].spot != '36' else -4):g}"
    found = says(season, plan, second, spot=beside)
    assert any("0 days from it: allowed is 2 days or more" in text for text in found)


def test_a_neighbour_too_likely_to_dry_its_wings_together(season):
    # Where chance counts instead of days, two of one date beside one another are over any small one.
    risky = replace(season, risk=0.02)
    plan = make_plan(risky, ON, workers=1)
    assert verify(risky, plan) == []
    first, second = (k for k, kept in enumerate(plan.kept) if kept.who == "expected 2027-07-10 monarch")
    beside = f"{float(plan.kept[first].spot) + (4 if plan.kept[first].spot != '36' else -4):g}"
    found = says(risky, plan, second, spot=beside)
    assert any("allowed is a chance of 2.00% or less to dry their wings together" in text for text in found)


def test_a_spot_where_one_was_sick_is_kept_for_nobody_until_it_is_cleaned(season, plan):
    spot, who = plan.kept[0].spot, plan.kept[0].who
    sick = replace(pupa("z", 1, "n", spot), outcome="parasitised", ended=When(date(2027, 7, 8)))
    closed = replace(season, pupae=(*season.pupae, sick))
    assert [str(b) for b in verify(closed, plan) if b.rule == "kept"] == [
        f"kept: n at {spot}, kept for {who}, is closed: z was sick there: allowed is once it is cleaned"
    ]
    assert "kept" in broken(closed, plan)
    clean = replace(sick, cleaned=When(date(2027, 7, 9)))
    assert verify(replace(season, pupae=(*season.pupae, clean)), plan, claims=False) == []
