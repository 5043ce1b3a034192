"""How often two pupae emerge on one day, against the field study.

DuBose, monarch field study of 2023, open data repository w3mp: 60 monarchs outdoors, checked daily, mean
26.9 °C. Chance that two emerge on one day, by days between their pupations: 330, 425, 454, 561 pairs.
"""

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from planner.emergence import emergences, same_day
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season


def _share(apart):
    """Mean over 26.5 to 27.5 °C: over a season the middle of the distribution falls on all hours alike.

    The daily check is in it: pupation is known to the day and anywhere in it, and an emergence counts for
    the day on which it is found. Emergences keep to the morning, so that it is the day itself.
    """
    found = []
    for celsius in np.linspace(26.5, 27.5, 9):
        season = Season(folder=Path("/nowhere"), name="constant", constant=float(celsius))
        pupae = [
            Pupa(
                id=str(i), species="monarch", place="lid", pupated=When(date(2027, 7, 3) + timedelta(days=i))
            )
            for i in (0, apart)
        ]
        both = emergences(season, pupae)
        one, other = both["0"], both[str(apart)]
        assert one is not None
        assert other is not None
        found.append(same_day(one, other))
    return float(np.mean(found))


# Tolerance 0.10. Pairs of one animal are not independent: 60 animals of some twenty days give about 30
# independent pairs of one day, and so a standard error of √(0.58 × 0.42 / 30) = 0.09 for the first share and
# less for the others.
@pytest.mark.parametrize(("apart", "published"), [(0, 0.58), (1, 0.25), (2, 0.06), (3, 0.00)])
def test_neighbours_emerge_on_one_day_as_often_as_in_the_field_study(apart, published):
    assert _share(apart) == pytest.approx(published, abs=0.10)


def test_each_day_between_pupations_makes_it_rarer():
    shares = [_share(apart) for apart in range(6)]
    assert shares == sorted(shares, reverse=True)
    assert shares[5] < 0.001
