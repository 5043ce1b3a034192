"""Two of one pupation day: how often they emerge on one day, by the profile and by the records."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from as_read import as_read
from emergence_world import FIRST, at, easy_season, emerged, pupa

from planner.emergence import accept, emergence, emergences, learn, same_day, together
from planner.emergence.conditional import WEIGHT
from planner.emergence.profiles import profile_of
from planner.emergence.siblings import PRIOR_PAIRS

LATER = at("2027-12-01T00:00")


def of_days(days, alike):
    """Pupae of so many pupation days, ten each: a share ``alike`` take 10 days, the others 11."""
    rows = []
    for k in range(days):
        first = FIRST + timedelta(days=2 * k)
        for i in range(10):
            took = 10 if i < round(10 * alike) else 11
            rows.append(
                pupa(f"p{k}-{i}", str(first), outcome="emerged", ended=str(first + timedelta(days=took)))
            )
    return rows


def said(season):
    both = emergences(season, [pupa("a", "2027-09-01"), pupa("b", "2027-09-01")])
    return same_day(both["a"], both["b"])


def test_what_siblings_share_changes_nothing_of_a_single_one():
    usual = easy_season()
    alike = {spread: _with(usual, spread) for spread in (0.3, 1.0)}
    for found in alike.values():
        np.testing.assert_allclose(WEIGHT @ found.apart, WEIGHT @ found.near, atol=3e-3)
    np.testing.assert_allclose(alike[0.3].marginal.hours, alike[1.0].marginal.hours)


def _with(season, spread):
    from planner.emergence.curve import curve_of
    from planner.emergence.distribution import unconditional

    one = replace(profile_of(season, "easy"), sibling_spread=spread)
    return unconditional(one, curve_of(season, one), "easy", pupa().pupated)


def test_the_less_they_differ_the_more_often_they_emerge_on_one_day_and_dry_together():
    found = [_with(easy_season(), spread) for spread in (1.0, 0.6, 0.2)]
    shares, drying = [same_day(f, f) for f in found], [together(f, f) for f in found]
    assert shares == sorted(shares)
    assert drying == sorted(drying)
    assert shares[0] < 0.5
    assert shares[2] > 0.8


@pytest.mark.parametrize("alike", [1.0, 0.7])
def test_what_is_foretold_after_learning_is_what_was_seen(tmp_path, alike):
    # Of ten siblings all on one day: 45 of 45 pairs; seven and three: 21 + 3 of 45. Six days of them: 270
    # pairs, and ten more as the profile has them.
    season = easy_season(of_days(6, alike), tmp_path)
    (found,) = learn(season, LATER)
    seen = {1.0: 1.0, 0.7: 24 / 45}[alike]
    assert (found.siblings.pairs, found.siblings.same) == (270, round(270 * seen))
    wanted = (270 * seen + PRIOR_PAIRS * found.siblings.before) / (270 + PRIOR_PAIRS)
    assert found.siblings.after == pytest.approx(wanted, abs=0.02)
    accept(tmp_path, [found], date(2027, 12, 1))
    assert said(as_read(season)) == pytest.approx(wanted, abs=0.05)


def test_nine_pairs_are_too_few_to_learn_from(tmp_path):
    # Three days with three pupae each: 9 pairs, all on one day.
    (found,) = learn(easy_season(emerged([10] * 9, batch=3), tmp_path), LATER)
    assert (found.siblings.pairs, found.siblings.same) == (9, 9)
    assert found.siblings.spread == profile_of(easy_season(), "easy").sibling_spread
    assert found.siblings.after == found.siblings.before


def test_without_a_pair_there_is_nothing_to_tell(tmp_path):
    (found,) = learn(easy_season(emerged([10, 11, 12]), tmp_path), LATER)
    assert found.siblings.pairs == 0


def test_an_entry_from_before_keeps_the_profiles_spread(tmp_path):
    season = easy_season(of_days(6, 1.0), tmp_path)
    accept(tmp_path, learn(season, LATER), date(2027, 12, 1))
    learned = (tmp_path / "learned.yaml").read_text()
    before = learned[: learned.index(", sibling_spread")] + "}\n"
    (tmp_path / "learned.yaml").write_text(before)
    assert profile_of(as_read(season), "easy").sibling_spread == 0.8


def test_what_is_known_of_one_narrows_the_other_of_its_day():
    season = easy_season()
    a, b = (emergence(season, pupa(name), at("2027-07-14T00:00")) for name in "ab")
    assert 0 <= together(a, b) <= 1
