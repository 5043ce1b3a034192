"""No text on a map covers another, and none leaves its tag: asked of the renderer that draws it."""

from datetime import timedelta
from functools import cache
from itertools import combinations

import pytest
from draw_world import JULY_3, Case, by_gid, case, drawn, found, hang, house, line, marks, pin, porch
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.patches import Circle, Rectangle
from matplotlib.text import Text
from tries import tries

from planner.draw.data import sheet
from planner.draw.map.line import LinePanel
from planner.draw.map.scale import choose
from planner.season.places import Board, Lid, Line
from planner.season.plan.plan_record import TooClose


@cache
def all_boxes(figure):
    renderer = FigureCanvasAgg(figure).get_renderer()
    return [(t, t.get_window_extent(renderer)) for t in found(figure, Text) if t.get_text()]


def text_boxes(figure, starts=("text-", "number")):
    return [(t, box) for t, box in all_boxes(figure) if (t.get_gid() or "").startswith(starts)]


def assert_nothing_overlaps(drawing):
    for figure in drawing:
        boxes = sorted(text_boxes(figure), key=lambda b: b[1].x0)
        shrunk = [
            (t, b.padded(-0.12 * t.get_fontsize())) for t, b in boxes
        ]  # room above and below the letters
        for i, (text, box) in enumerate(shrunk):
            for other, other_box in shrunk[i + 1 :]:
                if other_box.x0 > box.x1:
                    break
                assert not box.overlaps(other_box), (text.get_text(), other.get_text())


def assert_texts_stay_in_their_tags(drawing):
    for figure in drawing:
        tags = {a.get_gid(): a for a in found(figure, Rectangle)}
        for text, box in text_boxes(figure, ("text-",)):
            tag = tags["tag-" + text.get_gid().removeprefix("text-")].get_window_extent()
            assert tag.x0 <= box.x0, text.get_text()
            assert box.x1 <= tag.x1, text.get_text()
            assert tag.y0 - 1 <= box.y0, text.get_text()  # 1 px: what a descender may use of the padding
            assert box.y1 <= tag.y1 + 1, text.get_text()


def one() -> Case:
    return case([line()], [hang("a", "north", "10")])


def full_board() -> Case:
    board = Board(name="cork", width=60, height=45, pins_every=5, bottom=90, pattern="staggered")
    pins = marks(board)
    return case(
        [board],
        [pin(f"m{i:03}", "cork", m, from_place="cork" if i % 2 else None) for i, m in enumerate(pins)],
        pupated={f"m{i:03}": JULY_3 + timedelta(days=10 + i % 9) for i in range(len(pins))},
    )


def half_empty_board() -> Case:
    """Tags hang down over free pins that would have a number, each fifth of a row."""
    board = Board(name="cork", width=61, height=46, pins_every=5.08, bottom=90)
    above = [mark for mark in marks(board) if mark.tag in ("r1p5", "r5p10", "r1p7")]
    lid = Lid(name="cup-b", width=20, length=20)
    return case([board, lid], [pin(f"p{i}", "cork", m, from_place="cup-b") for i, m in enumerate(above)])


@pytest.fixture(scope="module", params=[one, porch, full_board, half_empty_board], ids=lambda f: f.__name__)
def drawing(request):
    return drawn(request.param())


def test_no_text_covers_another(drawing):
    assert_nothing_overlaps(drawing)


def frames(figure):
    """Of each tag: its box, and how far its frame goes beyond it, px."""
    thick = figure.dpi / 72 / 2  # px outside the edge for each point of the line's weight
    tags = (a for a in found(figure, Rectangle) if (a.get_gid() or "").startswith("tag-"))
    return [(a.get_window_extent(), a.get_linewidth() * thick) for a in tags]


def test_no_thick_frame_cuts_the_foot_of_a_number(drawing):
    for figure in drawing:
        tags = frames(figure)
        for text, box in text_boxes(figure, ("number",)):
            foot = text.get_transform().transform(text.get_position())[1]
            for tag, outside in tags:
                if tag.x0 < box.x1 and box.x0 < tag.x1 and foot < tag.y1 + outside:
                    assert box.y1 <= tag.y0, text.get_text()


def test_no_frame_covers_the_name_of_a_row():
    board = Board(name="cork", width=61, height=46, pins_every=5.08, bottom=90)
    moved = pin(
        "p3", "cork", marks(board)[0], from_place="cup-a"
    )  # its tag is wider than to the board's edge
    for figure in drawn(case([board, Lid(name="cup-a", width=20, length=20)], [moved])):
        for text, box in text_boxes(figure, ("row",)):
            letters = box.padded(-0.12 * text.get_fontsize())
            assert not any(tag.padded(more).overlaps(letters) for tag, more in frames(figure)), (
                text.get_text()
            )


def test_where_a_tag_is_narrow_the_sign_of_where_one_is_now_stands_close_to_the_name():
    words = [text.get_text() for figure in drawn(half_empty_board()) for text in found(figure, Text)]
    assert words.count("◂cup-b") == 3


def test_no_text_leaves_its_tag(drawing):
    assert_texts_stay_in_their_tags(drawing)


def test_nothing_is_set_smaller_than_7_5_points(drawing):
    assert min(t.get_fontsize() for f in drawing for t in f.findobj(Text) if t.get_text()) >= 7.5


def test_the_map_of_a_full_house_is_as_legible_as_any():
    drawing = drawn(house(lines=3))
    assert min(t.get_fontsize() for f in drawing for t in f.findobj(Text) if t.get_text()) >= 7.5
    assert sum(len(f.findobj(lambda a: (a.get_gid() or "").startswith("tag-"))) for f in drawing) == 150
    assert_nothing_overlaps(drawing)


def crowded_lids() -> Case:
    """Four lids of 60 × 40 cm with 28 on each, scattered: steps of 17 cm across, squares of them along."""
    lids = [Lid(name=f"tray-{k}", width=60, length=40) for k in range(4)]
    hangs = [
        hang(f"p{100 * k + i}", f"tray-{k}", "?", x=2.0 + (17 * i + k) % 57, y=2.0 + (17 * i * i) % 37)
        for k in range(4) for i in range(28)
    ]  # fmt: skip
    waits = [TooClose(a=f"p{i}", b=f"p{i + 1}", gap=0.0, distance=9.0) for i in range(20)]
    return case(lids, hangs, waiting=waits)


def test_ids_on_crowded_lids_cover_neither_one_another_nor_a_dot_and_stay_with_their_lid():
    figures = drawn(crowded_lids())
    assert sum(len(text_boxes(f, ("id",))) for f in figures) == 4 * 28
    for figure in figures:
        over = (
            2.0 / 25.4 * figure.dpi
        )  # 2 mm over a lid's edge are less than half of the distance of two lids
        names = [b.padded(-0.12 * t.get_fontsize()) for t, b in text_boxes(figure, ("id",))]
        lids = [b.padded(over) for b in extents(figure, Rectangle, "lid-")]
        dots = extents(figure, Circle, "dot-")
        for i, name in enumerate(names):
            assert not any(name.overlaps(other) for other in [*names[i + 1 :], *dots])
            assert any(
                b.x0 <= name.x0 and name.x1 <= b.x1 and b.y0 <= name.y0 and name.y1 <= b.y1 for b in lids
            )


def test_an_id_as_near_to_another_dot_points_to_its_own():
    lid = Lid(name="tub", width=40, length=28)
    alone = drawn(case([lid], [hang("a", "tub", "?", x=10.0, y=10.0)]))
    # 1 cm is 2.5 mm at 1 : 4: above and below its dot the middle one's id has no room, at its side it is
    # about 5 mm from its own dot and 5.6 mm from the others
    close = drawn(case([lid], [hang(f"m{y}", "tub", "?", x=10.0, y=y) for y in (9.0, 10.0, 11.0)]))
    assert not by_gid(alone, "pointing")
    assert by_gid(close, "pointing")


def extents(figure, kind, start):
    return [a.get_window_extent() for a in found(figure, kind) if (a.get_gid() or "").startswith(start)]


def test_everything_is_on_the_paper(drawing):
    for figure in drawing:
        paper = figure.bbox
        for artist, box in text_boxes(figure, ("",)):
            assert paper.x0 <= box.x0, artist.get_text()
            assert box.x1 <= paper.x1, artist.get_text()
            assert paper.y0 <= box.y0, artist.get_text()
            assert box.y1 <= paper.y1, artist.get_text()


def test_the_endless_sheet_is_as_legible():
    assert_nothing_overlaps(drawn(porch(), paged=False))


@pytest.mark.parametrize("every", [2.0, 3.0, 4.0])
def test_a_full_line_is_legible(every):
    north = line("north", 60, clips_every=every)
    hangs = [hang(f"m{m.tag}", "north", m.tag, from_place="tub") for m in marks(north)]
    drawing = drawn(case([north, line("tub")], hangs))
    assert_nothing_overlaps(drawing)
    assert_texts_stay_in_their_tags(drawing)


def test_those_hung_closer_than_clips_are_wide_are_legible_too():
    south = Line(name="south", length=60, height=150, clip_width=3)
    drawing = drawn(case([south], [hang(f"m{i}", "south", f"{30 + i / 2:g}") for i in range(8)]))
    assert_nothing_overlaps(drawing)
    assert_texts_stay_in_their_tags(drawing)


def test_no_string_runs_behind_another_pupas_tag():
    north = line("north", 60, clips_every=3)
    drawing = drawn(case([north], [hang(f"m{m.tag}", "north", m.tag) for m in marks(north)]))
    boxes = {m.tag: by_gid(drawing, f"tag-m{m.tag}")[0] for m in marks(north)}
    strings = {m.tag: by_gid(drawing, f"string-m{m.tag}")[0] for m in marks(north)}
    for a, b in combinations(boxes, 2):
        for string, tag in ((strings[a], boxes[b]), (strings[b], boxes[a])):
            x, (low, high) = string.get_xdata()[0], sorted(string.get_ydata())
            if string.figure is tag.figure and low < tag.get_y() < high:
                assert not tag.get_x() <= x <= tag.get_x() + tag.get_width()


@given(st.lists(st.integers(0, 100), min_size=1, max_size=25, unique=True))
@tries(20)
def test_tags_never_overlap_wherever_clips_slide(positions):
    south = Line(name="south", length=100, height=150, clip_width=3)
    shown = sheet(*case([south], [hang(f"m{x}", "south", str(x)) for x in positions]))
    scale = choose(shown)
    panel = LinePanel(shown.pictures[0], south, 0, 100, scale, scale.form_for(shown.pictures[0]), shown, 273)
    boxes = [(panel.mm(h.x) - panel.form.width / 2, panel.tag_top(h), h) for h in panel.hung]
    for (x1, y1, a), (x2, y2, b) in combinations(boxes, 2):
        apart_x = abs(x1 - x2) >= panel.form.width
        apart_y = y1 + panel.form.height_of(a) <= y2 or y2 + panel.form.height_of(b) <= y1
        assert apart_x or apart_y
