"""One pupa's own distribution in closed form, against that which is conditional on a shared error."""

import random
from datetime import datetime, timedelta

import pytest
from emergence_world import easy_season, pupa

from planner.emergence import emergence, marginals

PUPATED = datetime(2027, 7, 3)


@pytest.mark.parametrize("seed", range(24))
def test_in_closed_form_it_is_that_of_the_distribution_shared_with_others(seed):
    # The shared error is summed over in 37 steps to 4.5 standard deviations: to a ten thousandth.
    chance = random.Random(seed)
    seen = f"{PUPATED + timedelta(days=chance.randint(5, 25)):%Y-%m-%d}" if seed % 3 == 0 else None
    hour = f"T{chance.randint(0, 23):02}:00" if seed % 2 else ""
    one = pupa(pupated=f"2027-07-03{hour}", darkening=seen)
    season = easy_season([one], celsius=chance.uniform(15, 33))
    shared, alone = emergence(season, one), marginals(season, [one])["p"]
    assert shared is not None
    assert alone is not None
    if seed % 4:
        now = PUPATED + timedelta(hours=chance.randint(0, 24 * 25))
        shared, alone = shared.not_before(now), alone.not_before(now)
    days = [(PUPATED + timedelta(days=k)).date() for k in range(80)]
    assert alone.chances(days) == pytest.approx(shared.chances(days), abs=1e-4)
    assert alone.never == pytest.approx(shared.never, abs=1e-4)
    assert abs(alone.median - shared.median) < timedelta(hours=1)
    assert abs(alone.interval()[1] - shared.interval()[1]) < timedelta(hours=1)
