"""Which of two moments was certainly first, and when the last wings are dry."""

from datetime import datetime

import pytest
from verify_world import pupa, season

from planner.record.marks import certainly_before, dry_from
from planner.season.places import Lid
from planner.season.reading.when import When

HERE = season((Lid(name="tub-2", width=40, length=28),), (pupa("m1", "2027-07-01", "tub-2"),))


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ("2027-07-10", "2027-07-11", True),  # all of the day before is over by then
        ("2027-07-11", "2027-07-11", False),
        ("2027-07-11T07:30", "2027-07-11T07:31", True),
        ("2027-07-11T07:30", "2027-07-11T07:30", False),  # typed one after the other
        ("2027-07-12", "2027-07-11T07:30", False),
    ],
)
def test_before_is_what_no_reading_of_the_two_dates_contradicts(one, other, expected):
    assert certainly_before(When.parse(one), When.parse(other)) is expected


def test_wings_dry_only_after_an_emergence_whose_hour_is_known():
    # A monarch's wings dry in 3 h by its profile in planner/emergence/profiles.
    at = When.parse("2027-07-11T07:30")
    assert dry_from(HERE, HERE.pupae, "emerged", at) == datetime(2027, 7, 11, 10, 30)
    assert dry_from(HERE, HERE.pupae, "emerged", When.parse("2027-07-11")) is None
    assert dry_from(HERE, HERE.pupae, "failed", at) is None
