"""Whatever the size, a tag says id and date in full; what it has no room for is told."""

import re
from datetime import date
from itertools import product

import pytest
from draw_world import pdf_text

from planner.draw.tags.card_size import TooSmallError, grown, lacking
from planner.draw.tags.shapes import SHAPES
from planner.draw.tags.tag_sheet import Tag, tag_sheet

LONG = "the line below the old pear tree"


def tag(name, **more):
    return Tag(**{"id": name, "word": "monarch", "pupated": date(2027, 12, 28), "due": date(2028, 11, 30),
                  "place": "south", "spot": "136 cm", **more})  # fmt: skip


def said(tags, **more):
    return " ".join(pdf_text(tag_sheet(tags, **more)).split())


def test_the_id_is_not_dropped_beside_a_code_on_a_small_tag_to_fold():
    text = said([tag("m12")], card=(25, 15), shape="fold", code=True)
    assert text.count("m12") == text.count("28 Dec") == text.count("136 cm") == 2  # a side each
    assert "…" not in text


# Sizes, shapes, names and papers over which hundreds were tried by hand; the suite takes a few of each.
NAMES = ("m1", "monarch-0012", "WWWWWWWWWWWW")


@pytest.mark.parametrize(("card", "code"), [*product([(20, 12), (25, 15)], (False, True)), ((40, 25), True)])
def test_every_tag_says_its_id_and_its_date_and_nothing_is_cut_without_being_told(card, code):
    for name, word, place in product(NAMES, ("viceroy", "tiger swallowtail of the east"), ("south", LONG)):
        one = tag(name, word=word, place=place)
        try:
            lacks = lacking([one], card, code)
        except TooSmallError as e:
            size = re.search(r"write --card (\d+)x(\d+)mm$", str(e))
            lacking([one], (float(size[1]), float(size[2])), code)  # what is proposed will do
            continue
        text = said([one], card=card, code=code)
        assert name in text
        assert "28 Dec" in text
        assert "136 cm" in text
        assert ("due 30 Nov" in text) == ("due" not in lacks)
        assert (word in text) == ("species" not in lacks)
        assert (place in text) == ("place" not in lacks)


@pytest.mark.parametrize("shape", SHAPES)
def test_every_side_of_every_shape_says_id_and_date(shape):
    tags = [tag(name, spot=f"{8 * k} cm") for k, name in enumerate(NAMES, start=1)]
    text = said(tags, shape=shape, code=True)
    sides = 2 if shape in ("fold", "flag") else 1
    assert [text.count(name) for name in NAMES] == [sides] * 3
    assert text.count("28 Dec") == 3 * sides


def test_a_card_too_small_for_an_id_is_refused_with_the_least_size_in_the_unit_that_was_typed():
    with pytest.raises(TooSmallError) as e:
        tag_sheet([tag("W" * 30), tag("m1"), tag("W" * 31)], card=(25, 15))
    assert e.value.told("mm") == (
        f"a card of 25 × 15 mm is too small for the tag of {'W' * 30} and 1 more: write --card 59x15mm"
    )
    told = e.value.told("in")
    assert told.startswith("a card of 0.98 × 0.59 in is too small for the tag of ")
    inches = re.search(r"write --card ([\d.]+)x([\d.]+)in$", told)
    lacking([tag("W" * 31)], (float(inches[1]) * 25.4, float(inches[2]) * 25.4), code=False)  # will do


def test_the_size_that_has_room_for_all_has_it():
    tags = [tag("m12", place=LONG)]
    assert lacking(tags, (20, 12), code=False) == {"species": ["m12"], "place": ["m12"]}
    larger = re.fullmatch(r"(\d+)x(\d+)mm", grown(tags, (20, 12), False, "mm", whole=True))
    assert lacking(tags, (float(larger[1]), float(larger[2])), code=False) == {}


def test_a_species_that_finds_room_on_some_tags_only_is_left_out_of_all_where_it_is_the_same():
    tags = [tag("m1", spot="8 cm"), tag("m1234567", spot="8 cm")]
    assert lacking(tags, (26, 16), code=False) == {"species": ["m1234567"]}
    assert "monarch" not in said(tags, card=(26, 16))
    other = tag("m1", word="viceroy", spot="8 cm")
    assert "viceroy" in said([other, tags[1]], card=(26, 16))


@pytest.mark.parametrize(("paper", "room"), [("A4", 273), ("Letter", 255.4)])
def test_two_index_cards_find_room_above_each_other(paper, room):
    # 2 × 127 = 254 mm: on Letter 1.4 mm are left between them
    assert room >= 254
    assert "page 1 of 1" in said([tag(f"m{i}") for i in range(4)], card=(76.2, 127), paper=paper)
