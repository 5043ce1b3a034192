"""The wall: its pages are filled, nothing on it is told twice, and nothing is cut off."""

import re

import pytest
from draw_world import PT_PER_MM, figure_of, found, pdf, tubs, wall_case
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.lines import Line2D
from matplotlib.text import Text

from planner.draw.map.flow import Block, evened
from planner.draw.paper.formats import PAPERS
from planner.draw.sheets.wall import FOOT, MARGIN, wall, wall_figures


def opened(units="in", paper="A4", **more):
    return pdf(wall(*wall_case(units, **more), paper)).pages


def text_of(pages):
    return "\n".join(page.extract_text() for page in pages)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("units", ["cm", "in"])
def test_the_wall_of_35_pupae_takes_at_most_five_pages_and_the_last_is_not_nearly_empty(units, paper):
    pages = opened(units, paper)
    assert len(pages) <= 5
    # the lowest text above the foot is at least 0.3 of the way down what a page holds
    high = PAPERS[paper][1]
    words = [w["bottom"] / PT_PER_MM for w in pages[-1].extract_words()]
    lowest = max(down for down in words if down < high - FOOT)
    assert lowest - MARGIN >= 0.3 * (high - MARGIN - FOOT) - 2


@pytest.mark.parametrize("paper", PAPERS)
def test_every_step_is_printed_once_with_one_box(paper):
    season, plan, *_ = tubs()
    pages = opened(paper=paper)
    text = text_of(pages)
    for move in plan.moves:
        assert len(re.findall(rf"^.*\b{move.step} {move.pupa} \d+ Jul .*$", text, re.MULTILINE)) == 1
    side = [r for page in pages for r in page.rects if r["width"] == pytest.approx(r["height"], abs=0.01)]
    boxes = [r for r in side if 2 < r["width"] < 30 and r["linewidth"] == pytest.approx(0.9)]
    assert len(boxes) == len(plan.moves)
    assert not season.pupa["m1"].outcome


def test_every_lid_is_drawn_once():
    figures = [figure_of(page) for page in wall_figures(*wall_case())]
    for name in ("tub-A", "tub-B", "tub-C"):
        assert sum(a.get_gid() == f"lid-{name}" for f in figures for a in f.get_children()) == 1


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("units", ["cm", "in"])
def test_a_board_of_24_by_18_inches_is_on_one_page(units, paper):
    figures = [figure_of(page) for page in wall_figures(*wall_case(units), paper)]
    with_edges = [f for f in figures if [a for a in found(f, Line2D) if a.get_gid() == "board-edge"]]
    assert len(with_edges) == 1
    edges = [a for a in found(with_edges[0], Line2D) if a.get_gid() == "board-edge"]
    assert [a.get_linestyle() for a in edges] == ["-"] * 4  # a part of a board has dotted ones


LONG = ("green tub from Marta", "tub by kitchen-table", "tub under the stairs")


@pytest.mark.parametrize(
    "more",
    [
        {"number": 0},
        {"number": 1},
        {"number": 35, "lids": LONG},
        {"number": 35, "lids": ("tub",)},
        {"number": 48},
    ],
    ids=["nobody", "one", "long names", "one lid", "48"],
)
@pytest.mark.parametrize("paper", PAPERS)
def test_every_text_is_on_the_paper_above_the_foot_and_no_row_covers_another(more, paper):
    for figure in map(figure_of, wall_figures(*wall_case(**more), paper)):
        renderer = FigureCanvasAgg(figure).get_renderer()
        foot = FOOT / 25.4 * figure.dpi
        boxes = [(t, t.get_window_extent(renderer)) for t in found(figure, Text) if t.get_text()]
        for text, box in boxes:
            assert box.x0 >= 0
            assert box.x1 <= figure.bbox.x1
            assert box.y1 <= figure.bbox.y1
            assert box.y0 >= foot - 3 or box.y0 < 0.7 * foot, text.get_text()
        rows = [(t, b.padded(-0.15 * t.get_fontsize())) for t, b in boxes]
        for i, (text, box) in enumerate(rows):
            for other, other_box in rows[i + 1 :]:
                assert not box.overlaps(other_box), (text.get_text(), other.get_text())


def block(height, glued=False, group="a"):
    return Block(group, height, lambda page, _x, _y: page, glued)


def test_a_last_page_that_would_hold_almost_nothing_takes_over_what_stands_before():
    # 10 blocks of 10 mm fill a page of 100 mm, the eleventh would stand alone; 0.3 of a page are 3
    pages = evened([block(10)] * 11, 100)
    assert [len(page) for page in pages] == [8, 3]


def test_a_heading_is_not_left_behind_when_the_last_page_takes_over():
    # below the heading stand 20 mm, with it 30; the heading goes with what it is glued to
    column = [block(70), block(10), block(10, glued=True), block(10), block(10)]
    pages = evened(column, 100)
    assert [[b.height for b, _ in page] for page in pages] == [[70, 10], [10, 10, 10]]


def test_column_names_are_repeated_on_the_next_page():
    head = block(5, glued=True)
    rows = [Block("a", 30, lambda page, _x, _y: page, again=head) for _ in range(4)]
    pages = evened([head, *rows], 100)
    assert [[b.height for b, _ in page] for page in pages] == [[5, 30, 30, 30], [5, 30]]
