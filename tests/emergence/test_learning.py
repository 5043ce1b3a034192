"""The easy species again: the profile says 100 degree-days, 10 days at 20 °C; spread 0.1, a third of its
square each for season, day and pupa. Records are days, so a duration of 10 means 10 ± 1.
"""

import math
from dataclasses import replace
from datetime import date, datetime, timedelta

import numpy as np
import pytest
from as_read import as_read
from emergence_world import FIRST, at, easy_season, emerged, pupa
from hypothesis import given
from hypothesis import strategies as st
from tries import tries

from planner.emergence import accept, learn, predict, profile_of
from planner.emergence.clock import days_from_epoch
from planner.emergence.curve import curve_of
from planner.emergence.posterior import posterior
from planner.emergence.prior import prior_of
from planner.emergence.records import evidence_of, ready_between, records_of
from planner.season.reading.looks import Looks
from planner.season.reading.when import When, between

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
    # A mean that may drift is known as its last weeks have it, whatever came before: with steps of sd
    # q = 0.8 degree-days a day and one record a day of variance 66.7, its variance comes to q × √66.7 = 6.5,
    # 0.12 of all. That it has stood still so long speaks for smaller steps, so less.
    assert found.after.season_share < 0.12


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
        ("new", "pupated too recently to tell anything"),
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


@tries(8)
@given(st.lists(st.integers(6, 16), min_size=1, max_size=12), st.integers(1, 4))
def test_what_is_learned_lies_between_the_profile_and_the_records(days, batch):
    found = _learn(emerged(days, batch=batch)).after
    low, high = min(100, min(days) * 10), max(100, max(days) * 10)
    assert low - 1 <= found.requirement <= high + 1
    assert 0 < found.spread < 0.5
    assert 0 <= found.season_share + found.day_share <= 0.99


@tries(5)
@given(st.permutations(emerged([9, 9, 10, 11, 12, 10], batch=2)))
def test_the_order_of_rows_does_not_matter(rows):
    one, other = _learn(rows).after, _learn(emerged([9, 9, 10, 11, 12, 10], batch=2)).after
    assert one.requirement == pytest.approx(other.requirement, rel=1e-9)
    assert one.spread == pytest.approx(other.spread, rel=1e-9)


def test_the_grid_agrees_with_the_closed_form_where_there_is_one():
    # Hours known to the minute and many degree-days a day would leave a conjugate normal model if the spread
    # were known; integrate that over the prior of the spread by brute force on a fine grid of its own.
    # Without drift: the closed form has none.
    days = [9, 10, 10, 12]
    found = _without_drift(emerged(days)).summary()
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


def _without_drift(pupae):
    season = easy_season(pupae)
    profile = profile_of(season, "easy")
    curve = curve_of(season, profile)
    evidence = evidence_of(records_of(pupae, profile, curve, None, LATER), curve)
    return posterior(prior_of(profile.summary), evidence, FIRST, {0.0: 1.0})


def test_a_drift_is_followed_and_what_came_before_is_forgotten():
    # Twenty days of pupae that take 10 days, then twenty of such that take 12: a mean that stands still is
    # 11 days, 110 degree-days; by the last ones it is 120.
    rows = emerged([10] * 20 + [12] * 20)
    still = _without_drift(rows).summary()
    now = _learn(rows).after
    assert still.requirement == pytest.approx(110, abs=1.5)
    assert now.requirement == pytest.approx(120, abs=3)


def test_what_the_records_say_by_themselves_leaves_out_the_profile():
    # 130 degree-days of 13 days each: the profile's 100 does not count, nor its spread.
    alone = _learn(emerged([12, 13, 14] * 20)).alone
    assert alone.requirement == pytest.approx(130, abs=0.5)
    # Variance of a duration 0.667 days², of 100 degree-days² each: √(66.7 / 60) = 1.05, and what they share
    # by the day.
    assert 1.05 <= alone.error <= 1.5
    assert alone.spread == pytest.approx(0.0544, abs=0.01)


def test_what_could_not_be_forecast_is_a_miss_and_is_counted():
    from planner.emergence.learning import _accuracy

    due = predict(easy_season(), pupa("p", "2027-07-03T12:00"))  # noon of the 13th, 11.6 to 15.4 July
    day = at("2027-07-13T00:00"), at("2027-07-14T00:00")
    found = _accuracy([(*day, due), (*day, None), (*day, None)])
    assert found.covered == pytest.approx(1 / 3)
    assert found.error == pytest.approx(0)


def test_looks_every_third_day_do_not_lengthen_what_is_learned():
    # Each needs exactly 10 days. Looked for every third day at 8 it is noted up to three days late, as its
    # pupation was: by the dates alone they took 9 or 12 days, by the looks 6 to 12 and 9 to 15.
    looks = Looks.parse("every 3 days at 8")
    rows = []
    for i in range(60):
        pupated = datetime(2027, 7, 1, 8) + timedelta(hours=13 * i + 5)
        noted = [_next_look(moment) for moment in (pupated, pupated + timedelta(days=10))]
        rows.append(pupa(f"p{i}", str(noted[0]), outcome="emerged", ended=str(noted[1])))
    read = [replace(p, pupated=looks.read(p.pupated), ended=looks.read(p.ended)) for p in rows]
    (found,) = learn(replace(easy_season(read), looks=looks), LATER)
    assert found.after.requirement == pytest.approx(100, abs=1.5)


def _next_look(moment):
    """The day of the next look at 8 on every third day from the first of July on."""
    days = -(-(moment - datetime(2027, 7, 1, 8)) // timedelta(days=3)) * 3
    return date(2027, 7, 1) + timedelta(days=days)


def test_an_emergence_between_two_looks_says_so_much_and_no_more():
    # Between the looks of the evening and of the morning, at 7:00 of a morning on which adults emerge from 6
    # to 12 h: it was ready by 4:00 of the clock on which they get ready, or else by 7:00.
    one = between(When.parse("2027-07-12T20:00"), When.parse("2027-07-13T07:00"))
    day = days_from_epoch(datetime(2027, 7, 13))
    profile = profile_of(easy_season(), "easy")
    assert ready_between(profile, one) == pytest.approx((day - 4 / 24, day + 7 / 24))
    assert ready_between(profile, When.parse("2027-07-13T07:00")) == (day, day + 1)


def test_those_hanging_are_known_to_have_hung_at_the_last_look_only():
    # On the 13th at noon, looked after every third day: on the 11th at 8 at the earliest.
    season = easy_season([*emerged([9]), pupa("h", pupated="2027-07-03")])
    by_day, by_looks = (
        learn(replace(season, looks=looks), at("2027-07-13T12:00"))[0].after.requirement
        for looks in (None, Looks.parse("every 3 days at 8"))
    )
    assert by_day > by_looks
