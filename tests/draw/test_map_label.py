"""The rows of a tag on the map."""

from __future__ import annotations

from datetime import date
from itertools import product

from planner.draw.data import Hung
from planner.draw.map.label import Form


def test_as_many_rows_are_counted_as_a_tag_has():
    for origin, clash, wait, rows in product((None, "tub-2"), (False, True), (False, True), range(1, 6)):
        h = Hung(
            pupa="m1", pupated=date(2027, 7, 1), due=None, place="north", spot="36", x=36.0, y=0.0,
            origin=origin, clash=clash, wait=wait,
        )  # fmt: skip
        form = Form(9.0, 12.0, rows, None)
        assert form.count_of(h) == len(form.rows_of(h))
