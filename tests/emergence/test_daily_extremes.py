"""What is known less where only the extremes of each day are measured."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from planner.emergence import predict, profile_of, shipped
from planner.emergence.daily_extremes import EXTREMES_SPREAD
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season, SpeciesEntry

MONARCH = shipped()["monarch"]
DAYS = [date(2027, 6, 1) + timedelta(days=i) for i in range(40)]
# 22.5 °C all the time, told by the extremes of each day and by a logger.
EXTREMES = "date,min,max\n" + "".join(f"{day},22.5,22.5\n" for day in DAYS)
LOGGED = "time,temperature\n" + "".join(
    f"{day}T{hour:02}:00,22.5\n" for day in DAYS for hour in range(0, 24, 3)
)


def season(table: str, **more: object) -> Season:
    return replace(
        Season(folder=Path("/nowhere"), name="porch", constant=None),
        temperature_file="temperatures.csv",
        readings=table.encode(),
        **more,  # type: ignore[arg-type]
    )


def test_by_a_logger_the_profile_is_as_it_was():
    assert profile_of(season(LOGGED), "monarch") == MONARCH
    assert profile_of(Season(folder=Path("/nowhere"), name="room"), "monarch") == MONARCH


def test_by_daily_extremes_all_pupae_share_another_error():
    # 0.08² + 0.05² = 0.0943². What is each pupa's own, and what those of one day share, stays as it was:
    # of 0.0064 it was 0.34 and 0.33, of 0.0089 it is 0.34 × 0.0064 / 0.0089 and 0.33 × 0.0064 / 0.0089.
    found = profile_of(season(EXTREMES), "monarch")
    assert found.requirement == MONARCH.requirement
    assert found.spread == pytest.approx(0.0943, abs=1e-4)
    assert found.spread**2 * found.day_share == pytest.approx(0.0064 * 0.33)
    assert found.spread**2 * (1 - found.season_share - found.day_share) == pytest.approx(0.0064 * 0.34)
    assert found.spread**2 * found.season_share == pytest.approx(0.0064 * 0.33 + EXTREMES_SPREAD**2)


def test_so_the_same_day_has_a_wider_interval_by_extremes_than_by_a_logger():
    # 126 / (22.5 - 11.5) = 11.45 days, of which 5 % are 0.57 days: √(sd² + 0.57²). All of it is measured.
    pupa = Pupa(id="m1", species="monarch", place="lid", pupated=When.parse("2027-06-05T12:00"))
    logged, daily = predict(season(LOGGED), pupa), predict(season(EXTREMES), pupa)
    assert logged is not None
    assert daily is not None
    assert abs(daily.median - logged.median) < timedelta(minutes=1)
    assert logged.sd == pytest.approx(0.08 * 11.4545, abs=1e-3)
    assert daily.sd == pytest.approx((logged.sd**2 + (0.05 * 11.4545) ** 2) ** 0.5, abs=1e-3)


def test_a_spread_that_the_keeper_states_stays_as_stated():
    stated = {"monarch": SpeciesEntry(spread=0.07)}
    assert profile_of(season(EXTREMES, profiles=stated), "monarch").spread == 0.07


def test_a_faulty_table_changes_nothing_here():
    assert profile_of(season("date,min,max\n2027-06-31,1,2\n"), "monarch") == MONARCH
