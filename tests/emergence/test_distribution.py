"""The easy species emerges 10 ± 1 days after pupation at 20 °C, between 6:00 and 12:00."""

from datetime import date, datetime, time, timedelta

import numpy as np
import pytest
from emergence_world import at, easy_season, pupa, ready_by
from hypothesis import given
from hypothesis import strategies as st
from tries import tries

from planner.emergence import emergence, emergences, known_species, predict
from planner.emergence.conditional import WEIGHT
from planner.emergence.distribution import STRAY
from planner.season.reading.when import When

JULY = [date(2027, 7, 1) + timedelta(days=i) for i in range(62)]


def _of(pupated="2027-07-03T12:00", now=None, celsius=20.0, **what):
    found = emergence(easy_season(celsius=celsius), pupa(pupated=pupated, **what), now and at(now))
    assert found is not None
    return found


def test_chances_of_days_are_those_of_the_requirement_and_add_up_to_one_with_the_strays():
    # Ready 10 ± 1 days from noon of the 3rd, and the room's weather. It emerges on the 13th if ready between
    # 9.5 and 10.5 days.
    chances = _of().chances(JULY)
    for day, low, high in ((13, 9.5, 10.5), (12, 8.5, 9.5), (15, 11.5, 12.5)):
        of_day = ready_by(high) - ready_by(low)
        assert chances[date(2027, 7, day)] == pytest.approx((1 - STRAY) * of_day, abs=1e-5)
    assert sum(chances.values()) + _of().never == pytest.approx(1, abs=1e-12)
    assert _of().never == pytest.approx(STRAY, abs=1e-5)


def test_a_bare_date_spreads_the_chances_by_its_day():
    # Pupated evenly over the 3rd: the mean of the above over shifts of half a day each way.
    shifts = (np.arange(1000) + 0.5) / 1000 - 0.5
    exact = np.mean([ready_by(10.5 - s) - ready_by(9.5 - s) for s in shifts])
    assert _of("2027-07-03").chances(JULY)[date(2027, 7, 13)] == pytest.approx((1 - STRAY) * exact, abs=1e-4)


def test_the_day_not_asked_for_is_not_told_and_one_far_off_has_no_chance():
    assert _of().chances([date(2031, 1, 1), date(1999, 1, 1)]) == {date(2031, 1, 1): 0, date(1999, 1, 1): 0}


def test_the_median_is_at_an_hour_at_which_they_emerge():
    # Ready at noon of the 13th, half through the day of the clock: half through 6:00 to 12:00. The interval:
    # 5 %
    # are ready 8.291 days after noon, at 0.791 of the 11th (6 h + 0.791 × 6 h = 10:45), and 95 % after 11.745
    # days, at 0.245 of the 15th (7:28).
    assert (ready_by(8.2914), ready_by(11.7454)) == pytest.approx((0.05, 0.95), abs=1e-4)
    found = _of()
    assert abs(found.median - datetime(2027, 7, 13, 9)) < timedelta(minutes=1)
    low, high = found.interval()
    assert abs(low - datetime(2027, 7, 11, 10, 45)) < timedelta(minutes=2)
    assert abs(high - datetime(2027, 7, 15, 7, 28)) < timedelta(minutes=2)


def test_not_emerged_by_now_takes_the_past_away_and_shares_the_rest_out():
    before, after = _of().chances(JULY), _of(now="2027-07-13T00:00").chances(JULY)
    assert sum(chance for day, chance in after.items() if day < date(2027, 7, 13)) == 0
    left = 1 - sum(chance for day, chance in before.items() if day < date(2027, 7, 13))
    assert after[date(2027, 7, 14)] == pytest.approx(before[date(2027, 7, 14)] / left, rel=1e-9)


def test_when_the_hours_of_a_day_are_over_nobody_is_expected_that_day():
    assert _of(now="2027-07-13T12:00").chances([date(2027, 7, 13)]) == {date(2027, 7, 13): 0}
    early = _of(now="2027-07-13T05:59").chances([date(2027, 7, 13)])
    assert early == _of(now="2027-07-13T00:00").chances([date(2027, 7, 13)])


def test_in_the_midst_of_the_hours_what_is_left_of_the_day_is_left():
    # At 9:00 those ready by noon are out: half of all, and the strays are left. Today's are ready until
    # midnight.
    found = _of(now="2027-07-13T09:00")
    today = (1 - STRAY) * (ready_by(10.5) - 0.5) / ((1 - STRAY) * 0.5 + STRAY)
    assert found.chances([date(2027, 7, 13)])[date(2027, 7, 13)] == pytest.approx(today, abs=1e-4)


def test_the_longer_overdue_the_likelier_never():
    never = [_of(now=f"2027-07-{day:02}T00:00").never for day in (5, 13, 15, 16, 17, 30)]
    assert never == sorted(never)
    assert never[0] == pytest.approx(STRAY, abs=1e-5)
    # At midnight of the 17th, after 13.5 days, 0.00055 × 0.99 is left of the rest and 0.01 of the strays.
    left = (1 - STRAY) * (1 - ready_by(13.5))
    assert never[4] == pytest.approx(STRAY / (STRAY + left), abs=1e-4)
    assert never[5] > 0.999


def test_long_overdue_it_is_still_foretold_for_no_earlier_than_now():
    found = _of(now="2027-08-20T13:00")
    assert at("2027-08-20T13:00") <= found.median <= at("2027-08-21T07:00")
    assert sum(found.chances([date(2027, 8, 20), date(2027, 8, 21)]).values()) < 1e-3


def test_darkening_seen_as_foretold_leaves_a_day():
    # Darkening began on the 12th; a day (± 8 h) later it emerges: the 13th, or else the 14th.
    chances = _of(darkening="2027-07-12").chances(JULY)
    assert chances[date(2027, 7, 13)] > 0.8
    assert chances[date(2027, 7, 13)] + chances[date(2027, 7, 14)] > 0.95


@pytest.mark.parametrize("seen", ["2027-07-06", "2027-07-25"])
def test_darkening_at_quite_another_time_is_believed(seen):
    found = _of(darkening=seen)
    days = (found.median.date() - date.fromisoformat(seen)).days
    assert days == 1
    low, high = found.interval()
    assert high - low < timedelta(days=2)
    assert (
        sum(found.chances([date.fromisoformat(seen) + timedelta(days=i) for i in range(4)]).values()) > 0.98
    )


def test_an_hour_of_darkening_means_the_day_before_it():
    assert _of(darkening="2027-07-13T00:00").median == _of(darkening="2027-07-12").median


def test_darkening_seen_later_than_now_is_not_known_yet():
    known = _of(now="2027-07-12T00:00", darkening="2027-07-13")
    assert known.chances(JULY) == _of(now="2027-07-12T00:00").chances(JULY)


def test_dark_and_overdue_it_may_be_dead():
    assert _of(now="2027-07-13T00:00", darkening="2027-07-12").never < 0.02
    assert _of(now="2027-07-17T00:00", darkening="2027-07-12").never > 0.9


def test_no_date_no_distribution():
    season = easy_season(celsius=9.0)
    assert emergences(season, [pupa("cold"), pupa("j", pupated=None)]) == {"cold": None, "j": None}


def test_pupae_of_which_the_same_is_known_share_one_distribution():
    found = emergences(easy_season(), [pupa("a"), pupa("b"), pupa("c", darkening="2027-07-12")])
    assert found["a"] is found["b"]
    assert found["a"] is not found["c"]


def test_both_ways_of_sharing_errors_have_the_same_mean():
    found = _of("2027-07-03")
    np.testing.assert_allclose(WEIGHT @ found.apart, WEIGHT @ found.near, atol=2e-4)


moments = st.builds(
    When,
    st.dates(date(2027, 3, 1), date(2027, 10, 31)),
    st.none() | st.builds(time, st.integers(0, 23), st.integers(0, 59)),
)


@tries(40)
@given(st.sampled_from(known_species()), moments, st.floats(14, 32), st.floats(0.01, 0.99))
def test_the_distribution_and_the_date_agree_for_every_species(species, when, celsius, level):
    season, one = easy_season(celsius=celsius), pupa(species=species, pupated=str(when))
    due, found = predict(season, one), emergence(season, one)
    assert due is not None
    assert found is not None
    # A due time is given on the even clock. Half an hour: the hour of pupation is not evenly in degree-days.
    clock = float(found.clock(np.array((found.median - datetime(2000, 1, 1)) / timedelta(days=1))))
    due_clock = (due.median - datetime(2000, 1, 1)) / timedelta(days=1)
    assert clock == pytest.approx(due_clock, abs=0.02)
    low, high = found.interval(level)
    assert low <= found.median <= high
    days = [low.date() + timedelta(days=i) for i in range((high.date() - low.date()).days + 1)]
    assert sum(found.chances(days).values()) >= level * (1 - STRAY) - 1e-6


@tries(40)
@given(moments, st.integers(0, 40 * 24))
def test_whatever_is_known_chances_and_never_make_one(when, hours):
    now = when.earliest + timedelta(hours=hours)
    found = emergence(easy_season(), pupa(pupated=str(when)), now)
    assert found is not None
    days = [when.day + timedelta(days=i) for i in range(60)]
    assert sum(found.chances(days).values()) + found.never == pytest.approx(1, abs=1e-9)
    assert found.median >= now - timedelta(seconds=1)


def test_ten_thousand_pupae_of_a_hundred_days_share_a_hundred_distributions():
    pupae = [pupa(f"p{i}", pupated=str(date(2027, 3, 1) + timedelta(days=i % 100))) for i in range(10_000)]
    found = emergences(easy_season(), pupae)
    assert (len(found), len({id(one) for one in found.values()})) == (10_000, 100)
