from datetime import date

import pytest

from planner.draw.data import Hung
from planner.draw.map.label import DAY, MONTH, large_row
from planner.season.reading.told_dates import tell_dates_as


@pytest.fixture(autouse=True)
def _day_first_afterwards():
    yield
    tell_dates_as(None)


def hung(pupated):
    return Hung(pupa="m1", pupated=pupated, due=None, place="north", spot="36", x=36.0, y=0.0)


def test_on_a_tag_the_month_comes_first_where_the_keeper_writes_it_first():
    assert large_row(hung(date(2027, 7, 4))) == [("4", DAY), ("Jul", MONTH)]
    tell_dates_as("us")
    assert large_row(hung(date(2027, 7, 4))) == [("Jul", MONTH), ("4", DAY)]


def test_a_prepupa_has_a_j_in_either():
    tell_dates_as("us")
    assert large_row(hung(None)) == [("J", DAY)]
