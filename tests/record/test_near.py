"""Points on lids by how near they are; expected distances are those of right-angled triangles."""

import pytest

from planner.record.near import Points


def test_all_within_a_centimetre_are_found_also_across_the_squares_they_are_kept_in():
    points = Points[str]()
    points.add("tub-2", 4.9, 5.0, "left")  # 0.2 from 5.1, in another square
    points.add("tub-2", 5.55, 5.6, "above")  # 0.45 aside and 0.6 above: 0.75
    points.add("tub-2", 5.1, 6.01, "far")  # 1.01
    found = {what: apart for apart, what in points.near("tub-2", 5.1, 5.0)}
    assert found == {"left": pytest.approx(0.2), "above": pytest.approx(0.75)}


def test_another_lid_is_never_near():
    points = Points[str]()
    points.add("tub-3", 5.0, 5.0, "there")
    assert list(points.near("tub-2", 5.0, 5.0)) == []
