"""A place's name that runs from right to left, and the spot beside it: which stands where on paper."""

import re
from datetime import datetime
from io import BytesIO
from pathlib import Path

import pdfplumber
import pytest
from draw_world import case, hang, line, pdf

from planner.cli.answers.paper import day_words, day_words_without_steps, move_words
from planner.draw.map.rack_map import rack_map
from planner.draw.paper.words import width, wrap
from planner.draw.sheets.day_sheet import day_page
from planner.draw.sheets.wall import wall
from planner.draw.tags.card import Tag
from planner.draw.tags.tag_sheet import tag_sheet
from planner.follow.day import Day
from planner.season import Lid, Line, Move, Plan, Pupa, Season, When
from planner.season.direction import apart

NAMES = ("מדף 2", "الرف العلوي")
NOW = datetime(2027, 7, 5, 8)


def rows(page):
    """Rows of a page from the top down, the letters of each from the left."""
    found = {}
    for c in page.chars:
        found.setdefault(round(c["matrix"][5]), []).append(c)
    return [
        "".join(c["text"] for c in sorted(row, key=lambda c: c["x0"])).replace("\N{NO-BREAK SPACE}", " ")
        for _, row in sorted(found.items(), reverse=True)
    ]


def seen(name):
    """Letters of a name as they are seen from the left; the figures in it keep their order."""
    return name[::-1]


def planned(name, name_of_lid="tub-2"):
    """One pupa on a lid that is to go to 36 cm of a line."""
    places = (
        Line(name=name, length=60, height=150, clips_every=4),
        Lid(name=name_of_lid, width=40, length=28),
    )
    pupa = Pupa(
        id="m1", species="monarch", pupated=When.parse("2027-07-01"), place=name_of_lid, x=12.5, y=5.0
    )
    season = Season(
        folder=Path("porch"), name="Porch", timezone="Europe/Lisbon", places=places, pupae=(pupa,)
    )
    step = Move(step=1, pupa="m1", from_place=name_of_lid, from_spot="12.5,5", to_place=name, to_spot="36",
                not_before=datetime(2027, 7, 3), not_after=datetime(2027, 7, 10, 12))  # fmt: skip
    target = hang("m1", name, "36", from_place=name_of_lid)
    return season, Plan(on=NOW, gap_days=2.0, hangs=(target,), moves=(step,))


@pytest.mark.parametrize("name", NAMES)
def test_on_the_wall_the_number_and_its_unit_stand_together_at_the_right_of_the_name(name):
    season, plan = planned(name)
    day = day_words_without_steps(Day(season, NOW, plan))
    data = wall(season, plan, {}, day, move_words(season, plan))
    told = [row.replace(" ", "") for page in pdf(data).pages for row in rows(page) if "36" in row]
    assert len(told) == 2  # its step, and its spot's number on the map
    assert seen(name).replace(" ", "") + "36cm" in told[0]


def test_on_a_lid_of_such_a_name_the_point_stands_at_the_right_of_it():
    season, plan = planned("north", "מכסה")
    page = pdf(day_page(*day_words(Day(season, NOW, plan)))).pages[0]
    assert any(f"{seen('מכסה')} at 12.5,5" in row for row in rows(page))


def test_a_cell_of_such_a_name_that_takes_two_lines_is_read_in_its_order():
    name = "המדף העליון שליד החלון הגדול"
    text = f"{apart(name)} 36 cm"
    lines = wrap(text, 12.0, 45.0)
    assert len(lines) == 2
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert lines[1].endswith(" 36 cm")
    assert all(width(row, 12.0) <= 45.0 for row in lines)


@pytest.mark.parametrize("shape", ["card", "fold"])
def test_on_a_tag_the_spot_stands_at_the_right_of_the_name_whichever_way_up_it_is(shape):
    tag = Tag(id="m1", word="monarch", pupated=None, due=None, place=NAMES[0], spot="36 cm")
    page = pdfplumber.open(BytesIO(tag_sheet([tag], shape=shape))).pages[0]
    found = [row for row in rows(page) if "36" in row or "63" in row]
    upright = seen(NAMES[0]) + " 36 cm"
    assert found == ([upright[::-1], upright] if shape == "fold" else [upright])


def test_on_the_map_a_mover_says_the_name_and_then_the_spot_where_it_is():
    places = [line("north"), line(NAMES[0])]
    shown = case(places, [hang("m1", "north", "10", from_place=NAMES[0])])
    step = Move(step=1, pupa="m1", from_place=NAMES[0], from_spot="20", to_place="north", to_spot="10",
                not_before=NOW, not_after=NOW)  # fmt: skip
    season, plan, marks = shown
    plan = Plan(on=plan.on, gap_days=2.0, hangs=plan.hangs, moves=(step,))
    page = pdf(rack_map(season, plan, marks, "pdf")).pages[0]
    assert any(f"◂ {seen(NAMES[0])} 20" in row for row in rows(page))


def test_the_name_and_the_number_as_matplotlib_alone_would_set_them_are_told_apart_by_these_tests():
    block_text = f"{NAMES[0]} 36 cm"
    tag = Tag(id="m1", word="", pupated=None, due=None, place="", spot=block_text)
    page = pdfplumber.open(BytesIO(tag_sheet([tag]))).pages[0]
    assert not any(seen(NAMES[0]) + " 36 cm" in row for row in rows(page))


def test_in_an_svg_each_piece_has_a_point_of_its_own_and_they_stand_in_their_order():
    season, plan, marks = case([line(NAMES[0], 180, clips_every=4)], [hang("m1", NAMES[0], "4")])
    text = rack_map(season, plan, marks, "svg").decode()
    # the part of a line that does not fit the sheet: "<name>: 90 to 180 cm"
    pattern = r"(<text [^>]*>)מדף.2</text>\s*(<text [^>]*>): 90 to 180 cm</text>"
    name, rest = re.search(pattern, text.replace("\u00a0", " ")).groups()
    (at,), (after,) = (re.findall(r"translate\(([\d.]+)", part) for part in (name, rest))
    assert float(after) > float(at) + 20
