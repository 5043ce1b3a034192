"""Chances that neighbours dry their wings together, against simulation and simple cases."""

from datetime import datetime, timedelta
from itertools import combinations

import numpy as np
import pytest
from emergence_world import FIRST, easy_season, pupa
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.emergence import emergences, expected_together, same_day, together
from planner.emergence.drying import together_each
from planner.emergence.profiles import profile_of


def _two(one, other, **season):
    found = emergences(easy_season(**season), [pupa("a", **one), pupa("b", **other)])
    return found["a"], found["b"]


def test_those_that_need_all_day_to_dry_are_together_when_on_one_day_and_hardly_otherwise():
    # All emerge within 6 of 24 hours: 6 h hold any two of one day and no two of neighbouring days.
    a, b = _two({}, {"pupated": "2027-07-04"})
    assert together(a, b, 6) == pytest.approx(same_day(a, b), abs=1e-3)
    assert together(a, b, 6.5) <= same_day(a, b) + 1e-3


def test_no_time_no_meeting_and_endless_time_always():
    a, b = _two({}, {"pupated": "2027-07-05"})
    assert together(a, b, 0) == 0
    assert together(a, b, 24 * 60) == pytest.approx(1)


def test_who_is_dark_now_does_not_meet_who_pupated_yesterday():
    a, b = _two({"darkening": "2027-07-12"}, {"pupated": "2027-07-12"})
    assert together(a, b) < 1e-3


def test_the_seasons_error_changes_a_pairs_chance_little_because_both_share_it():
    # The difference of two dates has only their own errors. If it were counted twice, two of one day would
    # meet as rarely as two strangers with the whole spread.
    a, b = _two({}, {})
    own = a.profile.spread * np.sqrt(1 - a.profile.season_share - a.profile.day_share) * 10  # days
    # Siblings differ by 0.8 of their own errors and hours of pupation.
    simple = a.profile.sibling_spread * np.hypot(own, np.sqrt(1 / 12)) * np.sqrt(2)
    lag = np.random.default_rng(1).normal(0, simple, 200_000)
    assert same_day(a, b) == pytest.approx(np.maximum(0, 1 - np.abs(lag)).mean(), abs=0.03)


def test_without_a_time_each_hangs_as_long_as_its_species_says():
    a, b = _two({"species": "painted-lady"}, {"species": "painted-lady"}, celsius=23.0)
    assert together(a, b) == together(a, b, 2.0)


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 6), st.integers(0, 6), st.floats(0, 24))
def test_it_is_the_same_both_ways_and_a_chance(one, other, hours):
    a, b = _two(
        {"pupated": str(FIRST + timedelta(days=one))}, {"pupated": str(FIRST + timedelta(days=other))}
    )
    assert 0 <= together(a, b, hours) <= 1 + 1e-9
    assert together(a, b, hours) == pytest.approx(together(b, a, hours), abs=2e-3)
    assert same_day(a, b) == pytest.approx(same_day(b, a), abs=1e-12)


def test_a_pair_with_no_date_counts_nothing():
    found = emergences(easy_season(), [pupa("a"), pupa("b"), pupa("j", pupated=None)])
    both = together(found["a"], found["b"])
    assert expected_together([("a", "b"), ("b", "a"), ("a", "j"), ("a", "gone")], found) == pytest.approx(
        2 * both
    )


def test_the_expected_number_agrees_with_a_simulation():
    # 24 pupae of six days, all pairs. Drawn as the profile says: the season's error once for all, each day's
    # once for that day, each one's own and the hour of pupation, of which siblings share all but a part;
    # emergence within 6:00 to 12:00. The weather in the room is common to all, and changes no difference.
    days = [i // 4 for i in range(24)]
    pupae = [pupa(f"p{i}", pupated=str(FIRST + timedelta(days=d))) for i, d in enumerate(days)]
    season = easy_season()
    profile = profile_of(season, "easy")
    pairs = [(a.id, b.id) for a, b in combinations(pupae, 2)]
    expected = expected_together(pairs, emergences(season, pupae))
    rng, runs = np.random.default_rng(20270703), 20_000
    share = np.sqrt([profile.season_share, profile.day_share, 1 - profile.season_share - profile.day_share])
    error = share[0] * rng.normal(size=(runs, 1)) + share[1] * rng.normal(size=(runs, 6))[:, days]
    own = 10 * profile.spread * share[2] * rng.normal(size=(runs, 24)) + rng.random((runs, 24)) - 0.5
    apart = profile.sibling_spread
    alike = np.sqrt((1 - apart**2) * own.var()) * rng.normal(size=(runs, 6))[:, days]
    ready = np.array(days) + 10.5 + 10 * profile.spread * error + apart * own + alike
    hour = np.floor(ready) * 24 + 6 + 6 * (ready % 1)
    counts = np.zeros(runs)
    for i, j in combinations(range(24), 2):
        counts += np.abs(hour[:, i] - hour[:, j]) < 3
    assert abs(expected - counts.mean()) < 4 * counts.std() / np.sqrt(runs)


def test_many_at_once_are_as_likely_as_two_by_two():
    dates = ("2027-07-03", "2027-07-03T08:30", "2027-07-03T20:00", "2027-07-05", "2027-07-07T06:00")
    season = easy_season()
    one_each = [pupa(f"p{k}", pupated=text) for k, text in enumerate(dates)]
    one_each += [pupa("dark", pupated="2027-07-02", darkening="2027-07-12"), pupa("else", species="monarch")]
    found = emergences(season, one_each, datetime(2027, 7, 12, 9))
    those = [one for one in found.values() if one is not None]
    assert len(those) == len(one_each)
    found = together_each(those)
    for i, j in combinations(range(len(those)), 2):
        assert found[i, j] == found[j, i] == pytest.approx(together(those[i], those[j]), abs=1e-12)
