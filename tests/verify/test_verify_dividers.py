"""The verifier's own view of cards: two at a card's two sides are not beside one another, all others are."""

from datetime import date, datetime

import pytest
from verify_world import good

from planner.season.places.dividers import Divider
from planner.season.plan.plan_record import Kept


def test_a_pair_at_a_card_is_no_clash_and_may_not_be_listed_as_one():
    # e1 and e2 hang at 48 and 52 of north, due the same day: the good plan lists them as its one clash.
    world = good().set(dividers=(Divider(("north", "52"), ("north", "48")),))
    assert world.says() == [
        "listed: e1 (due 2027-07-12) and e2 (due 2027-07-12) are listed under clashes: "
        "allowed are only neighbours that do not have 2 days or more between them"
    ]


def test_without_it_in_the_list_the_plan_is_good():
    world = good().set(dividers=(Divider(("north", "52"), ("north", "48")),))
    proof = tuple(level for level in world.plan.proof if level.name != "clashes")
    assert world.claim(clashes=(), proof=proof).says() == []


@pytest.mark.parametrize("ends", [(("north", "44"), ("north", "48")), (("south", "48"), ("south", "52"))])
def test_a_card_elsewhere_parts_nobody_here(ends):
    world = good().set(dividers=(Divider(*ends),))
    proof = tuple(level for level in world.plan.proof if level.name != "clashes")
    assert len(world.claim(clashes=(), proof=proof).says()) == 1


def test_one_on_a_lid_is_parted_from_nobody():
    # c1 and c2 are too close on tub-2; no card can name them.
    world = good().set(dividers=(Divider(("north", "4"), ("north", "8")),))
    assert world.says() == []
    assert len(world.claim(waiting=()).says()) == 1


def test_a_spot_kept_behind_a_card_may_be_beside_one_of_its_date():
    # c1 is soft and due 14 July, kept for it is 56, beside e1 (48) and e2 (52), both due 12 July: with a gap
    # of 3 days both are too near, behind cards neither is.
    kept = Kept(who="c1", place="north", spot="56", since=datetime(2027, 7, 6, 8), due=date(2027, 7, 14))
    world = good().claim(kept=(kept,), gap_days=3)
    near = [line for line in world.says() if line.startswith("kept")]
    assert len(near) == 2
    cards = (Divider(("north", "56"), ("north", "52")), Divider(("north", "56"), ("north", "48")))
    assert [line for line in world.set(dividers=cards).says() if line.startswith("kept")] == []
