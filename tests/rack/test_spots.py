"""Where a pupa can hang: marks and pins with their coordinates in cm."""

from dataclasses import replace
from datetime import date
from itertools import combinations, pairwise
from pathlib import Path
from random import Random

import pytest

from planner.rack import home_of, spots
from planner.rack.sliding import steps_on
from planner.rack.spots import spots_between
from planner.season import Board, Lid, Line, Pupa, Season, When


def season(*places, **settings):
    return Season(folder=Path("s"), name="s", places=places, **settings)


def tags(places, name):
    return [spot.tag for spot in places[name]]


def test_clip_marks_stand_at_every_multiple_inside_the_line():
    # 20 cm, every 4: 4, 8, 12, 16; the knots at 0 and 20 are none.
    found = spots(season(Line(name="north", length=20, height=150, clips_every=4, left=10, front=5)))
    assert tags(found, "north") == ["4", "8", "12", "16"]
    assert found["north"][1].at == (18, 5, 150)


def test_a_line_that_ends_between_marks_has_the_last_mark_before_its_end():
    found = spots(season(Line(name="n", length=21, height=150, clips_every=4)))
    assert tags(found, "n") == ["4", "8", "12", "16", "20"]


def test_tags_are_in_the_keepers_unit():
    # 10 inches, a mark every 2 inches.
    found = spots(season(Line(name="n", length=25.4, height=150, clips_every=5.08), units="in"))
    assert tags(found, "n") == ["2", "4", "6", "8"]
    assert found["n"][0].x == pytest.approx(5.08)


@pytest.mark.parametrize("seed", range(12))
def test_between_clips_that_hang_as_many_are_counted_as_fit(seed):
    rng = Random(seed)
    yarn = Line(name="n", length=rng.randint(8, 14), height=150, clip_width=rng.choice([2, 3]), to_nearest=1)
    case = season(yarn)
    places = list(steps_on(yarn, case))
    hung = sorted(rng.sample(places, rng.randint(0, 3)))
    width = yarn.clip_width
    free = [x for x in places if all(abs(x - y) >= width for y in hung)]
    most = max(
        number
        for number in range(len(free) + 1)
        for some in combinations(free, number)
        if all(b - a >= width for a, b in pairwise(some))
    )
    found = [spot.x for spot in spots_between(yarn, case, hung)]
    assert len(found) == most
    assert set(found) <= set(free)


def test_a_line_on_which_clips_slide_is_planned_a_clip_width_apart():
    # A knot takes 1 cm at either end: from 1 to 9 cm, clip to clip.
    assert tags(spots(season(Line(name="n", length=10, height=150, clip_width=3))), "n") == ["1", "4", "7"]


def test_a_square_board_keeps_half_a_spacing_from_its_left_and_top_edge():
    # 20 wide, 10 high, every 5: pins at 2.5, 7.5, 12.5, 17.5 and rows 2.5 and 7.5 below the top.
    found = spots(season(Board(name="cork", width=20, height=10, pins_every=5, bottom=90)))["cork"]
    assert [s.tag for s in found] == [f"r{r}p{p}" for r in (1, 2) for p in (1, 2, 3, 4)]
    assert [(s.x, s.y) for s in found[:2]] == [(2.5, 7.5), (7.5, 7.5)]
    assert found[4].at == (2.5, 0, 92.5)


def test_a_staggered_board_shifts_its_even_rows_by_half_a_spacing():
    # Row 2: 5, 10, 15; a pin at 20 would sit on the edge.
    found = spots(season(Board(name="c", width=20, height=10, pins_every=5, bottom=90, pattern="staggered")))[
        "c"
    ]
    assert [s.x for s in found if s.tag.startswith("r2")] == [5, 10, 15]


@pytest.mark.parametrize(
    ("height", "below", "why"),
    [
        (39, 0, "39 cm high, below keeper reach (40 cm)"),
        (40, 0, ""),
        (190, 0, ""),
        (191, 0, "191 cm high, above keeper reach (190 cm)"),
        (100, 90, "10 cm free below, clearance is 11 cm"),
        (100, 89, ""),
    ],
)
def test_spots_out_of_reach_or_without_clearance_are_not_used(height, below, why):
    line = Line(name="n", length=9, height=height, clips_every=5, below=below)
    assert [s.unusable for s in spots(season(line, lowest=40, highest=190, clearance=11))["n"]] == [why]


def test_lids_offer_no_spots():
    assert spots(season(Lid(name="tub", width=40, length=28))) == {"tub": []}


def test_home_is_where_the_record_says():
    def pupa(name, place, **more):
        return Pupa(id=name, species="monarch", pupated=When(date(2027, 7, 3)), place=place, **more)

    tub = Lid(name="tub", width=40, length=28, left=100, front=50, height=75)
    line = Line(name="n", length=100, height=150, clips_every=4)
    board = Board(name="c", width=20, height=10, pins_every=5, bottom=90)
    pupae = (
        pupa("m1", "tub", x=12.5, y=5),
        pupa("m2", "tub"),
        pupa("m3", "n", spot="37"),
        pupa("m4", "c", spot="r2p3"),
    )
    case = season(tub, line, board, pupae=pupae)
    homes = [home_of(case, p.id) for p in pupae]
    assert [(h.tag, h.x, h.y) for h in homes] == [
        ("12.5,5", 12.5, 5),
        ("?m2", None, None),
        ("37", 37, 0),
        ("r2p3", 12.5, 2.5),
    ]
    # The lid reaches from 50 to 78 cm before the wall; 5 cm from the edge near the keeper is 73.
    assert homes[0].at == (112.5, 73, 75)
    assert homes[1].at is None


def test_whoever_hangs_on_a_board_is_at_its_pin():
    board = Board(name="cork", width=43, height=31, pins_every=5, pattern="staggered", bottom=90)
    pins = {spot.tag: spot for spot in spots(season(board))["cork"]}
    for tag, pin in pins.items():
        one = Pupa(id="m1", species="monarch", pupated=None, place="cork", spot=tag)
        at = home_of(replace(season(board), pupae=(one,)), "m1")
        assert (at, at.x, at.y, at.at) == (pin, pin.x, pin.y, pin.at)
