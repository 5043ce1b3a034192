"""Headings that lists give a quantity: none of them may be read over."""

from __future__ import annotations

import pytest

from planner.season.lists.foreign_columns import guess
from planner.season.lists.foreign_table import read_foreign


@pytest.mark.parametrize("heading", ["Qty", "n", "Pcs", "Amount", "# pupae", "No. of pupae", "Stück"])
def test_a_common_heading_of_a_quantity_is_the_count(heading: str) -> None:
    table = read_foreign(f"date,lid,{heading}\n2027-07-03,tub-1,4\n".encode(), "list.csv")
    assert guess(table, ["tub-1"], "")[heading] == "count"


def test_a_running_number_is_not_taken_for_a_quantity() -> None:
    table = read_foreign(b"No.,date,lid\n7,2027-07-03,tub-1\n", "list.csv")
    assert "No." not in guess(table, ["tub-1"], "")
