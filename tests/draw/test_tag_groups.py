"""Cards for groups: who shares one, and what it says."""

from dataclasses import replace
from datetime import date

from draw_world import case, hang, line, marks, pdf, pdf_text, pin

from planner.draw.tags.card import Group
from planner.draw.tags.card_size import lacking
from planner.draw.tags.groups import groups_of
from planner.draw.tags.tag_sheet import tag_sheet
from planner.season.places import Board, Lid

JULY_3, JULY_4 = date(2027, 7, 3), date(2027, 7, 4)
TUB = Lid(name="tub", width=40, length=28)


def groups(places, hangs, **pupated):
    season, plan, _ = case(places, hangs, pupated=pupated)
    return [(g.place, g.spot, g.pupated, g.pupae) for g in groups_of(season, plan.hangs)]


def test_a_lid_has_one_card_for_each_day_wherever_they_hang_on_it():
    hangs = [
        hang("m1", "tub", "?", x=1.0, y=1.0),
        hang("m2", "tub", "?", x=5.0, y=1.0),
        hang("m10", "tub", "?"),
    ]
    assert groups([TUB], hangs, m2=JULY_4) == [
        ("tub", "", JULY_3, ("m1", "m10")),
        ("tub", "", JULY_4, ("m2",)),
    ]


def test_one_that_hangs_in_a_j_has_a_card_after_the_others():
    assert groups([TUB], [hang("j1", "tub", "?", due=None), hang("m2", "tub", "?")], j1=None) == [
        ("tub", "", JULY_3, ("m2",)),
        ("tub", "", None, ("j1",)),
    ]


def test_on_a_line_a_card_is_for_those_of_one_day_with_none_of_another_between_them():
    hangs = [
        hang("a", "north", "30"),
        hang("b", "north", "10"),
        hang("c", "north", "20"),
        hang("d", "north", "40"),
    ]
    assert groups([line(length=60)], hangs, d=JULY_4, c=JULY_3) == [
        ("north", "10 cm to 30 cm", JULY_3, ("b", "c", "a")),
        ("north", "40 cm", JULY_4, ("d",)),
    ]
    assert [g[3] for g in groups([line(length=60)], hangs, c=JULY_4)] == [("b",), ("c",), ("a", "d")]


def test_on_a_board_a_card_is_for_one_row():
    cork = Board(name="cork", width=20, height=10, pins_every=5, bottom=90)
    pins = {m.tag: m for m in marks(cork)}
    hangs = [pin(n, "cork", pins[t]) for n, t in (("a", "r1p1"), ("b", "r1p2"), ("c", "r2p1"))]
    assert groups([cork], hangs) == [
        ("cork", "r1p1 to r1p2", JULY_3, ("a", "b")),
        ("cork", "r2p1", JULY_3, ("c",)),
    ]


def group(*pupae, **more):
    return Group(**{"pupae": pupae, "species": ("monarch",), "pupated": JULY_3,
                    "dues": (date(2027, 7, 14), date(2027, 7, 16)), "place": "tub-1", **more})  # fmt: skip


def test_a_card_says_how_many_who_when_due_and_where_with_the_day_largest():
    with pdf(tag_sheet([group("m2", "m3", "m4", "m20")])) as file:
        page = file.pages[0]
        assert page.extract_text().splitlines()[:5] == [
            "3 Jul", "4 pupae monarch", "m2 to m4, m20", "due 14 Jul to 16 Jul", "tub-1",
        ]  # fmt: skip
        sizes = {w["text"]: w["size"] for w in page.extract_words(extra_attrs=["size"])}
        assert sizes["3"] > 3 * sizes["4"]


def test_a_card_of_usual_size_has_a_day_that_is_read_at_arm_s_length():
    # figures 6 mm high are 21 minutes of arc at 1 m; 6 / 0.73 / 0.3528 = 23.3 pt
    with pdf(tag_sheet([group("m2", "m3", pupated=date(2027, 7, 28))])) as file:
        sizes = {w["text"]: w["size"] for w in file.pages[0].extract_words(extra_attrs=["size"])}
    assert sizes["28"] >= 23.3


def test_many_ids_take_as_many_rows_as_they_need_and_none_is_lost():
    many = group(*(f"m{i}" for i in range(1, 60, 2)))
    assert lacking([many], (40.0, 25.0), code=False) == {}
    words = pdf_text(tag_sheet([many])).replace(",", " ").split()
    assert set(many.pupae) <= set(words)


def test_ids_that_find_no_room_are_told_and_the_count_stays():
    many = group(*(f"m{i}" for i in range(1, 200, 2)))
    assert lacking([many], (24.0, 18.0), code=False) == {"ids": ["m1"], "species": ["m1"]}
    text = pdf_text(tag_sheet([many], card=(24, 18)))
    assert "100 pupae" in text
    assert "3 Jul" in text


def test_two_species_of_one_day_share_a_card_that_names_both():
    season, plan, _ = case([TUB], [hang("m1", "tub", "?"), hang("v2", "tub", "?")])
    season = replace(season, pupae=(season.pupae[0], replace(season.pupae[1], species="viceroy")))
    (one,) = groups_of(season, plan.hangs)
    assert one.species == ("monarch", "viceroy")
    assert "monarch, viceroy" in pdf_text(tag_sheet([one], card=(60, 30)))
