"""The verifier refuses to hang anybody where a sick one hung before that is cleaned."""

from dataclasses import replace

import pytest
from naive_verifier import broken
from verify_world import good

from planner.season import Pupa, When


def closed(world, place, spot, **more):
    sick = Pupa(id="z1", species="monarch", pupated=None, place=place, spot=spot,
                outcome=more.pop("outcome", "parasitised"), **more)  # fmt: skip
    return replace(world, season=replace(world.season, pupae=(*world.season.pupae, sick)))


@pytest.mark.parametrize(
    ("place", "shut", "tag", "at", "fine"),
    [
        ("north", "44", "44", (44,), False),
        ("north", "40", "44", (44,), True),
        ("north", "42.5", "44", (44,), False),  # found between marks of 4 cm: its clip is nearer than 2 cm
        ("north", "42", "44", (44,), True),
        ("south", "52", "54.5", (54.5,), False),  # clips of this line are 3 cm wide
        ("south", "52", "55", (55,), True),
        ("cork", "r4p5", "r4p5", (25, 2.5), False),
        ("cork", "r4p4", "r4p5", (25, 2.5), True),
    ],
)
def test_a_spot_within_the_clip_or_on_the_pin_of_a_sick_one_is_refused(place, shut, tag, at, fine):
    world = closed(good().to("a1", place, tag, *at), place, shut)
    said = [text for text in world.says() if text.startswith("closed: ")]
    kind = "board" if place == "cork" else "line"
    where = f"{kind} {place} at {shut}"
    why = f"closed: a1 is hung where z1 was sick, {where}: allowed is once it is cleaned"
    assert said == ([] if fine else [why])
    assert ("closed" in broken(world.season, world.plan)) is not fine


def test_a_cleaned_spot_and_one_of_a_failed_one_are_open():
    world = good().to("a1", "north", "44", 44)
    cleaned = When(world.plan.on.date())
    assert closed(world, "north", "44", cleaned=cleaned).says() == []
    assert closed(world, "north", "44", outcome="failed").says() == []


def test_who_hangs_there_already_may_stay():
    assert closed(good(), "north", "30.3").says() == []  # h1 hangs there
