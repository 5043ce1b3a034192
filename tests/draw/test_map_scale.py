"""Everything on a map is to the one scale that is printed on it: read back from the PDF in millimetres."""

import re
from itertools import pairwise

import pytest
from draw_world import PT_PER_MM, by_gid, case, drawn, hang, line, marks, pdf, pin, porch_file, texts
from hypothesis import given
from hypothesis import strategies as st
from tries import tries

from planner.draw.map.blocks import PARTS
from planner.draw.map.rack_map import rack_map
from planner.draw.map.scale import cuts
from planner.draw.tags.shapes import OF_KIND
from planner.season.places import KINDS, Board, Lid, Line


def printed_scale(words):
    found = {re.search(r"1 : ([\d.]+) on paper", w)[1] for w in words if "on paper" in w}
    assert len(found) == 1
    return float(found.pop())


def test_pages_are_a4_across():
    with pdf(porch_file("pdf")) as file:
        assert len(file.pages) > 1
        for page in file.pages:
            assert page.width / PT_PER_MM == pytest.approx(297, abs=0.05)
            assert page.height / PT_PER_MM == pytest.approx(210, abs=0.05)


def test_a_line_and_its_clips_are_as_long_as_the_scale_says():
    north = line("north", 70, clips_every=7)
    made = rack_map(*case([north], [hang("a", "north", "14"), hang("b", "north", "49")]), "pdf")
    with pdf(made) as file:
        page = file.pages[0]
        n = printed_scale([page.extract_text()])
        level = [v for v in page.lines if abs(v["top"] - v["bottom"]) < 0.01]
        wide = [abs(v["x1"] - v["x0"]) / PT_PER_MM for v in level]
        assert any(w == pytest.approx(700 / n, abs=0.1) for w in wide)
        bar = float(re.search(r"(\d+) cm\s+1 : ", page.extract_text())[1])
        assert any(w == pytest.approx(bar * 10 / n, abs=0.1) for w in wide)
        ends = [next(w for w in page.extract_words() if w["text"] == t) for t in ("14", "49")]
        middles = [(w["x0"] + w["x1"]) / 2 / PT_PER_MM for w in ends]
        assert middles[1] - middles[0] == pytest.approx(350 / n, abs=0.1)


def test_lines_and_boards_share_the_scale():
    board = Board(name="cork", width=30, height=20, pins_every=5, bottom=90)
    drawing = drawn(
        case([line("north", 40), board], [hang("a", "north", "10"), pin("b", "cork", marks(board)[0])])
    )
    n = printed_scale(texts(drawing))
    yarn = by_gid(drawing, "line-north")[0].get_xdata()
    edges = [(e.get_xdata(), e.get_ydata()) for e in by_gid(drawing, "board-edge")]
    assert max(yarn) - min(yarn) == pytest.approx(400 / n)
    assert max(max(x) - min(x) for x, _ in edges) == pytest.approx(300 / n)
    assert max(max(y) - min(y) for _, y in edges) == pytest.approx(200 / n)


@pytest.mark.parametrize(("units", "cm"), [("cm", 1.0), ("in", 2.54)])
def test_the_scale_bar_is_a_round_length_in_the_keepers_unit(units, cm):
    drawing = drawn(case([line("north", 60, clips_every=5 * cm)], [], units=units))
    words = next(t for t in texts(drawing) if "on paper" in t)
    length = float(words.split()[0])
    assert words.split()[1] == units
    bar = by_gid(drawing, "scale-bar")[0].get_xdata()
    assert max(bar) - min(bar) == pytest.approx(length * cm * 10 / printed_scale([words]))


def test_a_line_longer_than_the_sheet_goes_on_in_the_next_row():
    drawing = drawn(
        case([line("north", 300, clips_every=4)], [hang("a", "north", "4"), hang("b", "north", "296")])
    )
    n = printed_scale(texts(drawing))
    parts = [max(p.get_xdata()) - min(p.get_xdata()) for p in by_gid(drawing, "line-north")]
    assert len(parts) > 1
    assert sum(parts) == pytest.approx(3000 / n)
    assert max(parts) <= 297 - 24
    assert any(t.endswith("   ·   first 0 to 150 cm") for t in texts(drawing))
    assert "north: 150 to 300 cm" in texts(drawing)


def test_a_board_larger_than_the_page_is_cut_and_every_pin_is_on_one_part():
    # at 1 : 8, the smallest scale that keeps pins 6 mm apart, 250 cm are 312 mm and 200 cm are 250 mm
    board = Board(name="wall", width=250, height=200, pins_every=5, bottom=50, pattern="staggered")
    drawing = drawn(case([board], []))
    assert sum(len(a.get_xdata()) for a in by_gid(drawing, "free")) == len(marks(board))
    assert len([t for t in texts(drawing) if t.startswith("wall: ")]) > 1


def test_lines_take_the_sheets_width_without_a_further_stretch():
    # 160 cm at 1 : 6 in two stretches; 273 mm less 2 × 8 mm hold 102.8 cm at 1 : 4, of which one clip's step
    # is kept, and 77 cm at 1 : 3, less than half a line
    drawing = drawn(case([line("north", 160, clips_every=4)], [hang("a1", "north", "4")]))
    assert printed_scale(texts(drawing)) == 4
    assert len(by_gid(drawing, "line-north")) == 2


def test_a_page_of_lids_alone_has_no_scale_bar_of_the_lines():
    lids = [Lid(name=f"tray-{k}", width=60, length=40) for k in range(20)]
    hangs = [hang(f"a{k}", f"tray-{k}", "?") for k in range(20)]
    drawing = drawn(case([line(), *lids], [hang("a", "north", "10"), *hangs]))
    assert len(drawing) > 1
    assert not by_gid(drawn(case(lids, hangs)), "scale-bar")
    assert [len(by_gid([figure], "scale-bar")) for figure in drawing[1:]] == [0] * (len(drawing) - 1)


def test_the_scale_does_not_depend_on_who_hangs_where():
    north = line("north", 180, clips_every=4)
    near = drawn(case([north], [hang("a1", "north", "4"), hang("a2", "north", "8")]))
    far = drawn(case([north], [hang("a1", "north", "4"), hang("a2", "north", "176")]))
    assert printed_scale(texts(near)) == printed_scale(texts(far))


@given(length=st.floats(10, 1000), capacity=st.floats(20, 300), step=st.floats(1, 10), offset=st.floats(0, 1))
@tries(50)
def test_stretches_join_up_fit_and_never_cut_through_a_spot(length, capacity, step, offset):
    spots = [offset + step * i for i in range(int((length - offset) / step) + 1)]
    stretches = cuts(length, capacity, spots, step / 2)
    assert stretches[0][0] == 0.0
    assert stretches[-1][1] == length
    assert all(a[1] == b[0] for a, b in pairwise(stretches))
    assert all(high - low <= capacity + step + 1e-6 for low, high in stretches)
    inner = [low for low, _ in stretches[1:]]
    assert all(abs(edge - s) >= min(step, 0.01) / 3 for edge in inner for s in spots)


def test_lids_are_drawn_small_at_a_scale_of_their_own_that_is_printed():
    drawing = drawn(case([Lid(name="tub", width=40, length=28)], [hang("a", "tub", "?", x=10.0, y=14.0)]))
    n = float(re.search(r"1 : ([\d.]+), those", " ".join(texts(drawing)))[1])
    lid, dot = by_gid(drawing, "lid-tub")[0], by_gid(drawing, "dot-a")[0]
    assert (lid.get_width(), lid.get_height()) == (pytest.approx(400 / n), pytest.approx(280 / n))
    assert dot.center[0] - lid.get_x() == pytest.approx(100 / n)
    assert dot.center[1] - lid.get_y() == pytest.approx(140 / n)


def test_a_sliding_line_shows_a_ruler_and_the_exact_centimetres():
    south = Line(name="south", length=50, height=150, clip_width=3)
    drawing = drawn(case([south], [hang("a", "south", "10.5"), hang("b", "south", "14.5")]))
    numbers = texts(drawing, "number")
    assert {"10.5", "14.5", "20", "30", "40", "50"} <= set(numbers)
    assert "10" not in numbers  # it would run into 10.5
    assert any(t.endswith("2 hang here, sliding clips 3 cm wide") for t in texts(drawing))


def test_every_kind_of_place_with_spots_is_drawn_and_every_kind_has_a_shape_of_tag():
    assert set(PARTS) == {kind for kind, place in KINDS.items() if place.offers_spots}
    assert set(OF_KIND) == set(KINDS)
