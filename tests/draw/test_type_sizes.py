"""One look: every text that is drawn has a size of `planner.style`, and none is too small to be read."""

from datetime import date, datetime, timedelta

import pytest
from draw_world import figure_of, porch, porch_drawn, wall_case
from matplotlib.figure import Figure
from matplotlib.text import Text

from planner import style
from planner.draw.paper.page import Page
from planner.draw.sheets.day_sheet import day_figure
from planner.draw.sheets.learning import Panel, Seen, predicted_against_actual
from planner.draw.sheets.lid_sheet import lid_figures
from planner.draw.sheets.outlook import Course, draw_emerging, draw_spots
from planner.draw.sheets.wall import wall_figures
from planner.draw.tags.card import Tag, draw_card
from planner.draw.tags.shapes import Face
from planner.section import Section

LONG = Section(
    "Due", "a note", ("pupa", "hangs"), tuple((f"m{i}", "north 36 cm") for i in range(90)), ("dark",)
)


def lids():
    season, plan, _ = porch()
    return [figure_of(page) for page in lid_figures(season, plan)]


def outlook():
    days = [date(2027, 7, 3) + timedelta(days=i) for i in range(40)]
    course = Course(days, [1.0] * 40, [1] * 40, [4.0] * 40, [6] * 40, [9] * 40)
    figure = Figure()
    draw_emerging(course, figure.add_subplot(2, 1, 1))
    draw_spots(course, figure.add_subplot(2, 1, 2))
    return [figure]


def learning():
    figure, day = Figure(), datetime(2027, 7, 13, 12)
    seen = Seen(day.date(), day, day - timedelta(days=2), day + timedelta(days=2))
    span = (day.date(), day.date() + timedelta(days=9))
    predicted_against_actual(Panel("profile", "monarch", "a note", (seen,)), span, figure.add_subplot())
    return [figure]


DRAWN = {
    "map": porch_drawn,
    "lids": lids,
    "day sheet": lambda: [figure_of(day_figure("Porch", "3 pupae", [LONG, LONG], "foot"))],
    "wall": lambda: [figure_of(page) for page in wall_figures(*wall_case())],
    "outlook": outlook,
    "learning": learning,
}


def sizes(figures):
    found = {}
    for figure in figures:
        for text in figure.findobj(Text):
            if text.get_text():
                found.setdefault(round(text.get_fontsize(), 2), text.get_text())
    return found


@pytest.mark.parametrize("name", DRAWN)
def test_nothing_on_paper_is_smaller_than_the_smallest(name):
    found = sizes(DRAWN[name]())
    assert len(found) > 1
    assert {size: text for size, text in found.items() if size < style.SMALLEST} == {}


@pytest.mark.parametrize("name", ["map", "lids", "wall", "outlook", "learning"])
def test_every_size_is_one_of_the_one_look_or_made_from_one(name):
    base = [value for key, value in vars(style).items() if key.isupper() and isinstance(value, float)]
    # the day and month of a map's tag; heads of columns, headings and the title of the wall
    parts = (1.0, 1.55, 1.05, 0.8, 1.25, 1.7, 8.5 / style.BODY)
    allowed = {round(size * part, 2) for size in base for part in parts}
    assert {size: text for size, text in sizes(DRAWN[name]()).items() if size not in allowed} == {}


@pytest.mark.parametrize("card", [(20.0, 12.0), (40.0, 25.0), (60.0, 35.0)])
def test_on_a_tag_to_cut_out_no_row_is_smaller_or_larger_than_its_bounds(card):
    page = Page(80, 50)
    tag = Tag(id="butterfly-07", word="swallowtail", pupated=date(2027, 7, 3), due=date(2027, 7, 15),
              place="the line below the old pear tree", spot="36 cm")  # fmt: skip
    draw_card(tag, card, page, Face(0.0, 0.0))
    found = sorted(sizes([figure_of(page)]))
    assert found[0] >= style.TAG_LEAST
    assert all(size <= style.TAG_LARGEST for size in found[:-1])  # the last is the day


def test_the_smallest_of_all_is_7_5_points():
    assert style.SMALLEST >= 7.5
    assert style.DAY_LEAST * 0.8 >= style.SMALLEST  # the heads of its columns
