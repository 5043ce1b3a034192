"""The easy species again: the profile says 100 degree-days, 10 days at 20 °C; spread 0.1, a third of its
square each for season, day and pupa. Records are days, so a duration of 10 means 10 ± 1.
"""

import math
import time
from dataclasses import replace
from datetime import date, datetime, timedelta

import numpy as np
import pytest
from as_read import as_read
from emergence_world import at, easy_season, emerged, pupa
from hypothesis import given
from hypothesis import strategies as st
from tries import tries

from planner.emergence import accept, learn, predict, profile_of

LATER = at("2027-12-01T00:00")


def _learn(pupae, on=LATER, **season):
    found = learn(easy_season(pupae, **season), on)
    assert len(found) == 1
    return found[0]


def test_without_an_emergence_nothing_is_learned():
    hanging = pupa("h", pupated="2027-07-03")
    failed = pupa("f", outcome="failed", ended="2027-07-09")
    assert learn(easy_season(), LATER) == []
    assert learn(easy_season([hanging, failed]), at("2027-07-10T08:00")) == []


def test_one_record_as_foretold_leaves_the_requirement_and_makes_it_surer():
    found = _learn(emerged([10]))
    assert found.after.requirement == pytest.approx(100, abs=0.05)
    assert found.after.spread < found.before.spread
    assert (found.records, found.hanging) == (1, 0)


def test_one_record_moves_the_requirement_as_far_as_its_share_of_the_knowledge():
    # A record of 11 days: 110 degree-days. The season's part has variance 0.33 × 100 = 33. The record has
    # that of day and pupa, 67 on the mean and 67 × exp(-2 × 0.09) = 56 at the median of what is possible,
    # and of two days not known to the hour, 100/12 each: 72.7. So it weighs 33 / (33 + 72.7) = 0.312: 103.1.
    assert _learn(emerged([11])).after.requirement == pytest.approx(103.1, abs=0.2)


def test_five_of_one_day_weigh_little_more_than_one_for_they_share_its_error():
    # Their mean has 28 of the day, and a fifth of 28 + 16.7 of their own: 37. Weight 33 / 70 = 0.47: 104.7.
    # If they were of five days 33 / (33 + 72.7 / 5) = 0.69: 106.9. Five equal ones speak for a small spread,
    # too, so a little more: up to 0.8.
    of_one = _learn(emerged([11] * 5, batch=5)).after.requirement
    of_five = _learn(emerged([11] * 5)).after.requirement
    assert 104.7 <= of_one <= 105.5
    assert 106.9 <= of_five <= 107.7


def test_many_records_are_believed_over_the_profile():
    # 12, 13 and 14 days in equal parts: mean 130 degree-days. Their variance, 66.7, less 16.7 for the unknown
    # hours: 50, so sd 7.07, 0.0544 of 130.
    found = _learn(emerged([12, 13, 14] * 60))
    assert found.after.requirement == pytest.approx(130, abs=1.0)
    assert found.after.spread == pytest.approx(0.0544, abs=0.006)
    assert found.after.season_share < 0.02


def test_more_records_make_the_season_surer():
    shares = [_learn(emerged([9, 10, 11] * n)).after.season_share for n in (1, 3, 10, 30)]
    assert shares == sorted(shares, reverse=True)


def test_one_wrong_date_does_not_spoil_thirty_right_ones():
    right = emerged([9, 10, 11] * 10)
    wrong = pupa("w", pupated="2027-07-03", outcome="emerged", ended="2027-09-03")
    without, with_it = _learn(right).after, _learn([*right, wrong]).after
    assert with_it.requirement == pytest.approx(without.requirement, rel=0.01)
    assert with_it.spread == pytest.approx(without.spread, rel=0.05)


def test_those_still_hanging_make_the_requirement_longer_than_those_that_came_early_alone():
    # On the 13th two of six that pupated on the 3rd to the 5th have emerged after 8 days; counted alone they
    # would say 80.
    early = emerged([8, 8, 8])
    late = [pupa(f"h{i}", pupated="2027-07-03") for i in range(3)]
    on = at("2027-07-13T08:00")
    alone, all_of_them = _learn(early, on), _learn([*early, *late], on)
    assert all_of_them.after.requirement > alone.after.requirement + 2
    assert (all_of_them.records, all_of_them.hanging) == (3, 3)


def test_one_dead_and_not_noticed_does_not_go_on_pulling_for_ever():
    right = emerged([9, 10, 11] * 10)
    dead = pupa("d", pupated="2027-07-03")
    soon = _learn([*right, dead], at("2027-08-15T08:00")).after
    late = _learn([*right, dead], LATER).after
    assert late.requirement == pytest.approx(soon.requirement, rel=1e-3)
    assert late.requirement == pytest.approx(_learn(right).after.requirement, rel=0.01)


def test_what_had_not_happened_yet_is_not_known_yet():
    # On the 13th the second pupa was still hanging, though the file now says it emerged on the 15th.
    rows = [
        pupa("a", outcome="emerged", ended="2027-07-12"),
        pupa("b", outcome="emerged", ended="2027-07-15"),
    ]
    hanging = [rows[0], pupa("b")]
    on = at("2027-07-13T08:00")
    assert _learn(rows, on).after == _learn(hanging, on).after


def test_every_outcome_says_what_it_can():
    rows = [
        *emerged([10]),
        pupa("crooked", outcome="deformed", ended="2027-07-13"),
        pupa("let-go", outcome="released", ended="2027-07-15"),
        pupa("fled", outcome="escaped", ended="2027-07-15"),
        pupa("given", outcome="removed", ended="2027-07-09"),
        pupa("dead", outcome="failed", ended="2027-07-09"),
        pupa("wasp", outcome="parasitised", ended="2027-07-20"),
        pupa("undated", outcome="emerged"),
        pupa("new", pupated="2027-11-30"),
        pupa("j", pupated=None),
    ]
    found = _learn(rows)
    assert (found.records, found.hanging) == (4, 1)
    assert found.unused == (
        ("dead", "failed: how far it had come is not known"),
        ("wasp", "parasitised: how far it had come is not known"),
        ("undated", "emerged, but not when"),
        ("new", "pupated too lately to tell anything"),
    )
    # Only those whose day of emergence is known are compared with their forecast.
    assert {c.pupa for c in found.compared} == {"p0", "crooked"}


def test_released_means_by_then_and_no_later_day_is_made_of_it():
    # Let go 5 days after they must have emerged: that says nothing of lateness.
    rows = [*emerged([10, 10, 10]), pupa("let-go", outcome="released", ended="2027-07-20")]
    assert _learn(rows).after.requirement == pytest.approx(_learn(rows[:3]).after.requirement, abs=0.2)


def test_records_through_days_not_measured_are_left_out(tmp_path):
    rows = "".join(f"2027-07-{day:02},20,20\n" for day in range(10, 31))
    (tmp_path / "temperatures.csv").write_text("date,min,max\n" + rows, encoding="utf-8")
    season = easy_season(
        [
            pupa("before", pupated="2027-07-03", outcome="emerged", ended="2027-07-13"),
            pupa("within", pupated="2027-07-12", outcome="emerged", ended="2027-07-23"),
        ],
        folder=tmp_path,
    )
    season = as_read(replace(season, temperature_file="temperatures.csv"))
    (found,) = learn(season, LATER)
    assert found.unused == (("before", "too little of its time is measured"),)
    assert found.records == 1


def test_errors_are_reckoned_by_hand_for_two_days():
    # The profile says noon of the 10th day: both 11 are a day late. Before: 1.0. After: each is forecast from
    # the other alone, which is the forecast of the test with one record.
    found = _learn(emerged([11, 11]))
    assert found.accuracy_before.error == pytest.approx(1.0)
    alone = _learn(emerged([11])).after.requirement / 10
    assert found.accuracy_after.error == pytest.approx(11 - alone, abs=0.01)


def test_a_single_day_is_forecast_from_the_profile_alone():
    found = _learn(emerged([11, 11, 11], batch=3))
    assert found.accuracy_after.error == pytest.approx(1.0, abs=0.01)


def test_covered_is_how_much_of_the_days_lies_in_the_interval():
    # Noon + 10 ± 1.645 × √(1 + 1/12 + 0.32²) days, the last by the weather in the room: 8.219 and 11.801
    # days,
    # where √(100 + 100 / 12 + sum_sd²) is 10.83 and 10.95 degree-days. That is from 8.719 to 12.301 after the
    # start of the day of pupation. Of the days 8, 9 and 12: 0.281, 1 and 0.301.
    found = _learn(emerged([8, 9, 12]))
    assert found.accuracy_before.covered == pytest.approx((0.281 + 1 + 0.301) / 3, abs=1e-3)


def test_pupae_that_need_no_time_at_all_are_not_believed():
    found = _learn([*emerged([10, 10, 10]), pupa("same-day", outcome="emerged", ended="2027-07-03")])
    assert found.after.requirement == pytest.approx(_learn(emerged([10, 10, 10])).after.requirement, rel=0.02)


def test_accepted_values_are_in_force_and_nothing_is_before(tmp_path):
    season = easy_season(emerged([12, 13, 14] * 4), folder=tmp_path)
    learned = learn(season, LATER)
    assert profile_of(season, "easy").requirement == 100
    assert list(tmp_path.iterdir()) == []
    accept(tmp_path, learned, date(2027, 12, 1))
    season = as_read(season)
    profile = profile_of(season, "easy")
    assert profile.requirement == pytest.approx(learned[0].after.requirement, abs=1e-3)
    assert profile.spread == pytest.approx(learned[0].after.spread, abs=1e-5)
    assert profile.basis["requirement"].status == "learned"
    assert profile.basis["requirement"].source == (
        "learned.yaml, accepted 2027-12-01: 12 emergences, 0 still hanging"
    )
    due = predict(season, pupa("next", pupated="2027-12-02T12:00"))
    assert due is not None
    expected = datetime(2027, 12, 2, 12) + timedelta(days=profile.requirement / 10)
    assert abs(due.median - expected) < timedelta(seconds=1)


def test_learning_again_starts_from_the_profile_and_counts_nothing_twice(tmp_path):
    season = easy_season(emerged([12, 13, 14] * 4), folder=tmp_path)
    first = learn(season, LATER)
    accept(tmp_path, first, date(2027, 12, 1))
    assert learn(as_read(season), LATER)[0].after == first[0].after


@tries(20)
@given(st.lists(st.integers(6, 16), min_size=1, max_size=12), st.integers(1, 4))
def test_what_is_learned_lies_between_the_profile_and_the_records(days, batch):
    found = _learn(emerged(days, batch=batch)).after
    low, high = min(100, min(days) * 10), max(100, max(days) * 10)
    assert low - 1 <= found.requirement <= high + 1
    assert 0 < found.spread < 0.5
    assert 0 <= found.season_share + found.day_share <= 0.99


@tries(10)
@given(st.permutations(emerged([9, 9, 10, 11, 12, 10], batch=2)))
def test_the_order_of_rows_does_not_matter(rows):
    one, other = _learn(rows).after, _learn(emerged([9, 9, 10, 11, 12, 10], batch=2)).after
    assert one.requirement == pytest.approx(other.requirement, rel=1e-9)
    assert one.spread == pytest.approx(other.spread, rel=1e-9)


def test_the_grid_agrees_with_the_closed_form_where_there_is_one():
    # Hours known to the minute and many degree-days a day would leave a conjugate normal model if the spread
    # were known; integrate that over the prior of the spread by brute force on a fine grid of its own.
    days = [9, 10, 10, 12]
    found = _learn(emerged(days)).after
    mean = np.linspace(50, 160, 1101)[:, None]
    log = np.linspace(-1.2, 1.2, 161)
    spread = math.sqrt(67) * np.exp(log - 0.09)
    post = -((mean - 100) ** 2) / (2 * 33) - log**2 / (2 * 0.09)
    half = np.linspace(-1, 1, 2001)  # difference of the two unknown hours, days: a triangle
    triangle = (1 - np.abs(half)) / (1 - np.abs(half)).sum()
    for took in days:
        value = (took + half) * 10
        density = np.zeros(post.shape)
        for v, w in zip(value[::20], triangle[::20] / triangle[::20].sum(), strict=True):
            density += w * np.exp(-((v - mean) ** 2) / (2 * spread**2)) / (spread * math.sqrt(2 * math.pi))
        post = post + np.log(0.99 * density * 10 + 0.01 * 10 / 200)
    chance = np.exp(post - post.max())
    chance /= chance.sum()
    requirement = float((chance.sum(axis=1) * mean[:, 0]).sum())
    assert found.requirement == pytest.approx(requirement, abs=0.1)
    shared = float((chance.sum(axis=1) * (mean[:, 0] - requirement) ** 2).sum())
    own = float((chance.sum(axis=0) * spread**2).sum())
    assert found.spread == pytest.approx(math.sqrt(shared + own) / requirement, rel=0.01)


def test_two_hundred_records_through_a_season_are_learned_from_in_two_seconds():
    rng = np.random.default_rng(3)
    rows = emerged([int(d) for d in np.floor(rng.normal(10.5, 1, 200))], batch=6)
    begun = time.process_time()
    _learn(rows)
    assert time.process_time() - begun < 2


def test_what_could_not_be_forecast_is_a_miss_and_is_counted():
    from planner.emergence.learning import _accuracy

    due = predict(easy_season(), pupa("p", "2027-07-03T12:00"))  # noon of the 13th, 11.6 to 15.4 July
    found = _accuracy([(date(2027, 7, 13), due), (date(2027, 7, 13), None), (date(2027, 7, 13), None)])
    assert found.covered == pytest.approx(1 / 3)
    assert found.error == pytest.approx(0)
