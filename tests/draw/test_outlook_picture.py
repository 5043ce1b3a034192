from dataclasses import replace
from datetime import date, timedelta

import pytest
from matplotlib.figure import Figure

from planner.draw.sheets.outlook import (
    ARRIVE,
    EMERGE,
    MOST_NAMES,
    Course,
    draw_emerging,
    draw_spots,
    outlook_picture,
)
from planner.style import WHITE, contrast


def course(number=3, arriving=0, spots=9):
    days = [date(2027, 7, 30) + timedelta(days=i) for i in range(number)]
    return Course(days, [1.5] * number, [arriving] * number, [4.0] * number, [6] * number, [spots] * number)


def axes():
    return Figure().add_subplot()


def names(ax):
    return [label.get_text() for label in ax.get_xticklabels()]


def test_bars_are_as_high_as_the_numbers_and_days_have_their_names():
    ax = draw_emerging(course(arriving=2), axes())
    assert [bar.get_height() for bar in ax.patches] == [1.5] * 3 + [2] * 3
    assert names(ax) == ["Fri\n30 Jul", "Sat\n31 Jul", "Sun\n1 Aug"]
    assert [t.get_text() for t in ax.get_legend().get_texts()] == ["expected to emerge", "expected to arrive"]


def test_where_nobody_arrives_nothing_is_said_of_it():
    ax = draw_emerging(course(), axes())
    assert [t.get_text() for t in ax.get_legend().get_texts()] == ["expected to emerge"]


def test_colour_is_not_the_only_difference():
    bars = draw_emerging(course(arriving=2), axes()).patches
    assert [bool(bar.get_hatch()) for bar in bars] == [False] * 3 + [True] * 3
    assert contrast(EMERGE, WHITE) >= 4.5
    assert contrast(EMERGE, ARRIVE) >= 2


@pytest.mark.parametrize("spots", [0, 9, 2])
def test_the_spots_there_are_in_sight_and_named(spots):
    ax = draw_spots(course(spots=spots), axes())
    low, high = ax.get_ylim()
    assert low <= spots <= high
    assert high >= 6
    assert f"spots there: {spots}" in [t.get_text() for t in ax.get_legend().get_texts()]


def test_where_more_fit_later_both_numbers_are_named():
    one = replace(course(), spots=[7, 7, 11])
    legend = draw_spots(one, axes()).get_legend()
    assert "spots there: 7 to 11" in [t.get_text() for t in legend.get_texts()]


@pytest.mark.parametrize("number", [1, 16, 17, 120])
def test_of_many_days_only_some_are_named(number):
    shown = names(draw_spots(course(number), axes()))
    assert 1 <= len(shown) <= MOST_NAMES
    assert shown[0] == "Fri\n30 Jul"


def test_a_day_without_anything_is_drawn_too():
    nothing = Course([date(2027, 7, 30)], [0.0], [0], [0.0], [0], [0])
    assert outlook_picture("Porch", nothing, "svg") == outlook_picture("Porch", nothing, "svg")


def test_any_name_of_a_season_is_drawn():
    data = outlook_picture("$x$ Säntis " + "long " * 60, course(), "svg").decode()
    assert "$x$ Säntis" in data
