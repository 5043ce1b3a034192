"""Predicted durations of the pupal stage against published ones."""

from datetime import datetime, timedelta
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pytest

from planner.emergence import predict, profile_of
from planner.season.pupae import Pupa
from planner.season.reading.when import When
from planner.season.season import Season, SpeciesEntry


def _due(species, celsius):
    season = Season(folder=Path(), name="constant", constant=celsius)
    pupa = Pupa(id="one", species=species, pupated=When.parse("2027-07-03T12:00"), place="lid")
    due = predict(season, pupa)
    assert due is not None
    return due


def _days(species, celsius):
    return (_due(species, celsius).median - datetime(2027, 7, 3, 12)).total_seconds() / 86400


# David, Gardiner, Bull. Entomol. Res. 53 (1962), doi 10.1017/S0007485300048227, abstract: "7.5" days at 30
# °C and "about 40" at 12.5 °C. The first is printed to 0.1 and the threshold to 0.01 of 21 °C: 0.1. The
# second is a round number: 5 %.
@pytest.mark.parametrize(("celsius", "observed", "tolerance"), [(30, 7.5, 0.1), (12.5, 40, 2.0)])
def test_large_whites_take_as_long_as_david_and_gardiner_saw(celsius, observed, tolerance):
    assert _days("large-white", celsius) == pytest.approx(observed, abs=tolerance)


# Parker et al., INTBio Pieris project, open data repository (2024): Pieris rapae from North Carolina, mean
# ± sd. Tolerance: half of the published sd. A forecast that is off by half a standard deviation is not told
# from a right one by a single pupa, and widens the scatter about the forecast by no more than √1.25, 12 %.
@pytest.mark.parametrize(
    ("celsius", "observed", "sd"), [(16, 17.91, 1.22), (21, 11.06, 1.22), (26, 7.33, 0.92), (30, 6.43, 0.68)]
)
def test_cabbage_whites_take_as_long_as_in_the_data_of_2024(celsius, observed, sd):
    assert _days("cabbage-white", celsius) == pytest.approx(observed, abs=sd / 2)


def test_above_the_optimum_cabbage_whites_take_longer_again_as_in_the_data_of_2024():
    # Same data: 7.92 ± 0.84 days at 34 °C, longer than the 6.43 at 30 °C, where the line would go on to 5.3.
    # Not
    # independent: the fall of the rate was computed from this figure; this holds the two together. What is
    # told
    # with it is a warning all the same.
    due = _due("cabbage-white", 34)
    assert _days("cabbage-white", 34) == pytest.approx(7.92, abs=0.05)
    assert due.low < datetime(2027, 7, 3, 12) + timedelta(days=7.92 - 0.84)
    assert due.high > datetime(2027, 7, 3, 12) + timedelta(days=7.92 + 0.84)
    assert due.note == "above 30 °C development slows and pupae suffer: no reliable date"


def test_without_a_rate_above_the_optimum_the_interval_still_holds_what_cabbage_whites_took_there():
    # Same data, held back: a species of which no more is known than cabbage whites up to 30 °C. At 34 °C the
    # median is 136 / (30 - 8.4) = 6.3 days, 1.6 too early; of N(7.92, 0.84) 96 % lie within the interval.
    known = SpeciesEntry(lower=8.4, upper=30, requirement=136, spread=0.12)
    season = Season(folder=Path(), name="hot", constant=34, profiles={"white": known})
    due = predict(season, Pupa(id="p", species="white", pupated=When.parse("2027-07-03T12:00"), place="lid"))
    took, seen = datetime(2027, 7, 3, 12), NormalDist(7.92, 0.84)
    low, median, high = ((end - took) / timedelta(days=1) for end in (due.low, due.median, due.high))
    assert median == pytest.approx(6.30, abs=0.01)
    assert seen.cdf(high) - seen.cdf(low) == pytest.approx(0.96, abs=0.01)


@pytest.mark.parametrize("species", ["monarch", "painted-lady", "indian-fritillary"])
def test_where_no_rate_above_the_optimum_is_published_the_time_stays_and_the_interval_widens(species):
    # Upper threshold 33 °C. At 36 °C the rate may be what it is at 33 °C, or less by 3 degree-days a day (one
    # standard deviation), of 21 to 23.5: by a seventh.
    assert _days(species, 36) == _days(species, 33)
    assert _due(species, 36).sd > 1.3 * _due(species, 33).sd


def test_monarchs_outdoors_take_as_long_as_in_the_field_study_of_2023():
    # DuBose, monarch field study of 2023, data w3mp: 60 pupae, mean 26.9 °C, 8.62 ± 0.66 days. Tolerance
    # 0.5: afternoons above the cutoff made 128.6 / 8.62 = 14.9 degree-days a day of what the mean
    # temperature alone counts as 26.9 - 11.5 = 15.4 (3 %, 0.28 d), and our requirement is 2 % (0.17 d)
    # below theirs because it has a second source.
    assert _days("monarch", 26.9) == pytest.approx(8.62, abs=0.5)


def test_the_monarchs_interval_is_as_wide_as_the_scatter_of_the_field_study():
    # Same: 54 of 60 within 8 and 9 days, sd 0.66 with both ends noted by the day. Ours, for a pupation
    # noted by the day, may be wider by what another population adds, but not by more than a fifth.
    season = Season(folder=Path(), name="constant", constant=26.9)
    pupa = Pupa(id="one", species="monarch", pupated=When.parse("2027-07-03"), place="lid")
    due = predict(season, pupa)
    assert due is not None
    assert 0.6 <= due.sd <= 0.66 * 1.2


@pytest.mark.parametrize("celsius", [22, 22.5, 23])
def test_monarchs_at_room_temperature_take_the_11_to_12_days_of_the_trade(celsius):
    # Common practice, no source: whole days at "room temperature", so half a day each way.
    assert 10.5 <= _days("monarch", celsius) <= 12.5


def test_the_monarchs_requirement_lies_between_its_two_sources():
    # 120: egg to adult (352, Zalucki 1982) less egg to pupation (231.9, Grant et al. 2020); 128.6: DuBose
    # 2023.
    season = Season(folder=Path(), name="any")
    assert 352 - 231.9 <= profile_of(season, "monarch").requirement <= 128.6


@pytest.mark.parametrize("celsius", [22, 23.5, 25])
def test_painted_ladies_take_the_7_to_10_days_of_the_teaching_page(celsius):
    # University of Illinois teaching page: 7 to 10 days at 22 to 25 °C. Not independent: the requirement was
    # derived from it with a guessed threshold; this holds the two together.
    assert 7 <= _days("painted-lady", celsius) <= 10


@pytest.mark.parametrize("left_out", [16, 21, 26, 30])
def test_a_line_through_three_temperatures_foretells_the_fourth_within_0_6_days(left_out):
    # Same data of cabbage whites: rates 1 / days, a line through three of them, and the fourth held back. 0.6
    # days is half of the published scatter of a single pupa, 0.68 to 1.22 days, or less.
    days = {16: 17.91, 21: 11.06, 26: 7.33, 30: 6.43}
    known = [t for t in days if t != left_out]
    slope, rate_at_0 = np.polyfit(known, [1 / days[t] for t in known], 1)
    line = SpeciesEntry(lower=-rate_at_0 / slope, upper=34, requirement=1 / slope, spread=0.12)
    season = Season(folder=Path(), name="line", constant=left_out, profiles={"white": line})
    due = predict(season, Pupa(id="p", species="white", pupated=When.parse("2027-07-03T12:00"), place="lid"))
    took = (due.median - datetime(2027, 7, 3, 12)) / timedelta(days=1)
    assert took == pytest.approx(days[left_out], abs=0.6)


def test_a_line_through_the_coldest_and_the_warmest_foretells_spicebush_swallowtails_between():
    # Papilio troilus after its rest, Deering, Haslitt, Scriber, Holarctic Lepidoptera, abstract: 13 to 24
    # days at 26 °C, 18 to 36 at 22 °C, 36 to 69 at 18 °C. The middles are 18.5, 27 and 52.5 days; the line of
    # 1 / days through the first and the last has L = 13.6 °C and K = 228.5, and 27.4 days at 22 °C. Half a
    # day is to what a middle of whole days is known. Only the rate after the rest is tested: of those that
    # rest nothing is foretold.
    slope = (1 / 18.5 - 1 / 52.5) / (26 - 18)
    line = SpeciesEntry(lower=18 - 1 / 52.5 / slope, upper=34, requirement=1 / slope, spread=0.12)
    season = Season(folder=Path(), name="line", constant=22, profiles={"troilus": line})
    pupated = When.parse("2027-07-03T12:00")
    due = predict(season, Pupa(id="p", species="troilus", pupated=pupated, place="lid"))
    assert due is not None
    assert (due.median - datetime(2027, 7, 3, 12)) / timedelta(days=1) == pytest.approx(27, abs=0.5)
