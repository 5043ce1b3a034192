"""Cards on the map: a bar across the way between two spots, its sign explained, and all named at the foot."""

from dataclasses import replace

import pytest
from draw_world import by_gid, case, drawn, hang, line, marks, pin, texts

from planner.season.places import Board
from planner.season.places.dividers import Divider


def with_cards(shown, *cards):
    season, plan, spots = shown
    return replace(season, dividers=tuple(Divider(*ends) for ends in cards)), plan, spots


def bars(drawing):
    """Ends of each card's black bar, mm; the first is the one that explains the sign."""
    found = [a for a in by_gid(drawing, "card") if a.get_linewidth() > 2]
    return [list(zip(*a.get_data(), strict=True)) for a in found]


def spot_at(drawing, pupa):
    xs = [a.get_xdata()[0] for a in by_gid(drawing, f"string-{pupa}")]
    return xs[0]


def test_on_a_line_it_stands_in_the_middle_between_the_two():
    shown = case([line()], [hang("a", "north", "10"), hang("b", "north", "20")])
    drawing = drawn(with_cards(shown, (("north", "20"), ("north", "10"))))
    sign, bar = bars(drawing)
    middle = (spot_at(drawing, "a") + spot_at(drawing, "b")) / 2
    assert [x for x, _ in bar] == pytest.approx([middle, middle])
    assert abs(bar[0][1] - bar[1][1]) == pytest.approx(7)
    assert abs(sign[0][1] - sign[1][1]) == pytest.approx(4)


def test_where_a_spot_lies_between_it_stands_beyond_that():
    shown = case([line()], [hang("a", "north", "20"), hang("b", "north", "30")])
    drawing = drawn(with_cards(shown, (("north", "10"), ("north", "30"))))
    middle = (spot_at(drawing, "a") + spot_at(drawing, "b")) / 2
    assert bars(drawing)[1][0][0] == pytest.approx(middle)


def test_on_a_board_it_lies_across_the_way_from_pin_to_pin():
    cork = Board(name="cork", width=30, height=30, pins_every=10, bottom=90)
    pins = {m.tag: m for m in marks(cork)}
    shown = case([cork], [pin("a", "cork", pins["r1p1"])])
    beside, under = (
        with_cards(shown, (("cork", "r1p1"), ("cork", "r1p2"))),
        with_cards(shown, (("cork", "r1p1"), ("cork", "r2p1"))),
    )
    (x1, y1), (x2, y2) = bars(drawn(beside))[1]
    assert x1 == pytest.approx(x2)
    assert abs(y1 - y2) == pytest.approx(7)
    (x1, y1), (x2, y2) = bars(drawn(under))[1]
    assert y1 == pytest.approx(y2)
    assert abs(x1 - x2) == pytest.approx(7)


def test_on_a_board_it_stands_below_the_tag_of_one_in_the_row_above():
    cork = Board(name="cork", width=40, height=30, pins_every=5, pattern="staggered", bottom=90)
    pins = {m.tag: m for m in marks(cork)}  # r1p5 is right above the middle between r2p4 and r2p5
    above = pin("m1", "cork", pins["r1p5"], from_place="tub-1")  # one to be moved has a taller tag
    both = [pin("m2", "cork", pins["r2p4"]), pin("m3", "cork", pins["r2p5"])]
    drawing = drawn(with_cards(case([cork], [above, *both]), (("cork", "r2p4"), ("cork", "r2p5"))))
    tag = min(a.get_path().get_extents(a.get_patch_transform()).y0 for a in by_gid(drawing, "tag-m1"))
    (_, y1), (_, y2) = bars(drawing)[1]
    assert max(y1, y2) == pytest.approx(tag - 0.5)
    assert abs(y1 - y2) == pytest.approx(7)


def test_the_sign_is_explained_and_all_cards_are_named():
    shown = case([line(), line("south")], [hang("a", "north", "10"), hang("b", "north", "20")])
    words = texts(
        drawn(with_cards(shown, (("north", "10"), ("north", "20")), (("north", "10"), ("south", "10"))))
    )
    assert "card between two spots" in words
    assert "Cards (2): stiff, taller than wings hang, clear of both spots" in words
    assert "north 10 cm | north 20 cm · north 10 cm | south 10 cm" in words


def test_without_cards_nothing_is_said_of_them():
    drawing = drawn(case([line()], [hang("a", "north", "10")]))
    assert by_gid(drawing, "card") == []
    assert not any("card" in text.lower() for text in texts(drawing))
