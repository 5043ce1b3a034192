"""The easy species of tests/emergence: 100 degree-days above 10 °C, spread 0.1, so 10 ± 1 days at 20 °C."""

import math
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from as_read import as_read
from scipy import stats

from planner.emergence import Due, accept, learn
from planner.report.texts.judgement import Gain, covered_if_right, few, gain, pace
from planner.report.texts.learning import history, sheet
from planner.report.texts.text import columns
from planner.season.pupae import Pupa
from planner.season.reading.looks import Looks
from planner.season.reading.when import When
from planner.season.season import Season, SpeciesEntry

FIRST, NOW = date(2027, 7, 3), datetime(2027, 12, 1)


def season_of(pupae=(), folder=Path("/nowhere"), **more):
    stated = SpeciesEntry(lower=10, upper=30, requirement=100, spread=0.1)
    settings = {"constant": 20.0, "profiles": {"easy": stated}, **more}
    return as_read(Season(folder=folder, name="test", species="easy", pupae=tuple(pupae), **settings))


def pupa(name, pupated=FIRST, took=None, outcome="emerged", species="easy"):
    return Pupa(
        id=name, species=species, place="lid", pupated=When(pupated),
        outcome=None if took is None else outcome,
        ended=None if took is None else When(pupated + timedelta(days=took)),
    )  # fmt: skip


def emerged(days, batch=1):
    return [pupa(f"p{i + 1}", FIRST + timedelta(days=i // batch), took) for i, took in enumerate(days)]


def said(season, now=NOW, **how):
    report = str(sheet(season, learn(season, now), now, **how))
    assert all(columns(line) <= 80 for line in report.splitlines())
    return report


def rows_of(report):
    return [line.split() for line in report.splitlines()]


def test_two_records_are_shown_and_nothing_is_made_of_them():
    # The requirement of two emergences after 11 days is checked where it is reckoned, in tests/emergence.
    season = season_of(emerged([11, 11]))
    (found,) = learn(season, NOW)
    report = said(season)
    assert "Used: 2 emergences (of 2 pupation days)." in report
    assert ["requirement,", "degree-days", "100.0", f"{found.after.requirement:.1f}"] in rows_of(report)
    assert (
        "  Too few records to say how good the forecasts are: 2 days of emergence known,\n"
        "  of 2 pupation days; needed are at least 5, of 3 pupation days. The learned\n"
        "  values are weighed by how few the records are.\n"
    ) in report
    assert "mean error" not in report
    assert "90 % interval  " not in report
    assert "better" not in report


def test_five_of_two_pupation_days_are_few_and_of_three_are_not():
    two, three = season_of(emerged([10] * 5, batch=3)), season_of(emerged([10] * 5, batch=2))
    assert few(two, learn(two, NOW)[0])
    assert not few(three, learn(three, NOW)[0])
    assert gain(two, learn(two, NOW)[0]) is None


def test_four_of_four_pupation_days_are_few():
    season = season_of(emerged([10] * 4))
    assert few(season, learn(season, NOW)[0])


def test_days_are_those_of_the_stated_temperature():
    # 100 degree-days at 20 - 10 a day: 10 days, and 1.645 × 10 % of that either way.
    season = season_of(emerged([10]))
    (found,) = learn(season, NOW)
    speed = pace(season, found)
    assert speed is not None
    assert speed.words == "20 °C"
    assert speed.days(found.before) == pytest.approx((10, 8.355, 11.645))
    assert "days it takes             10.0 (8.4 to 11.6)" in said(season)


def test_days_are_those_of_the_temperatures_measured_while_they_hung(tmp_path):
    # 18 °C for five days and 22 °C from the 8th on. The last emergence is on the 15th, so 5 days at 8 and 8
    # at 12 degree-days: 136 / 13 = 10.46 a day.
    rows = "".join(f"2027-07-{d:02},{t},{t}\n" for d in range(1, 20) for t in [18 if d < 8 else 22])
    (tmp_path / "temperatures.csv").write_text("date,min,max\n" + rows, encoding="utf-8")
    season = season_of(emerged([10, 11]), tmp_path, constant=None, temperature_file="temperatures.csv")
    speed = pace(season, learn(season, NOW)[0])
    assert speed is not None
    assert speed.rate == pytest.approx(136 / 13)
    assert speed.words == "10.5 degree-days a day, the mean from 3 Jul to 15 Jul"


def test_the_gain_is_the_mean_and_its_uncertainty_that_of_pupation_days():
    # The profile says 10 days; all took 12, two of each of six days. So the errors are 2 before; after, each
    # day's forecast is made from ten others'. For the first and the last day these lie on one side only, so
    # that a drift makes some of a tenth of a day's difference: the gain is all but certain.
    season = season_of(emerged([12] * 12, batch=2))
    (found,) = learn(season, NOW)
    better = gain(season, found)
    assert better is not None
    assert better.mean == pytest.approx(2 - found.accuracy_after.error)
    assert 0 < better.uncertain < 0.1
    told = f"by {better.mean:.2f} days (give or take {better.uncertain:.2f})."
    assert f"Learning made these forecasts better, {told}" in said(season)


def test_a_gain_within_its_uncertainty_is_not_claimed():
    season = season_of(emerged([9, 11, 10, 12, 9, 11]))
    better = gain(season, learn(season, NOW)[0])
    assert better is not None
    assert abs(better.mean) < better.uncertain
    report = said(season)
    side = "smaller" if better.mean >= 0 else "larger"
    assert f"Errors are {side} by" in report
    assert "learning makes a difference." in report.replace("\n  ", " ")
    assert "Learning made" not in report


def test_a_clear_loss_is_told(monkeypatch):
    season = season_of(emerged([10] * 6))
    monkeypatch.setattr("planner.report.texts.learning.gain", lambda *_: Gain(-0.5, 0.2))
    assert (
        "Learning made these forecasts worse, by 0.50 days (give or take 0.20): record\n"
        "  more before you accept." in said(season)
    )


@pytest.mark.parametrize(("sd", "hour"), [(0.2, 12), (0.8, 0), (0.8, 9), (3.0, 17)])
def test_what_right_forecasts_reach_agrees_with_drawing_by_lot(sd, hour):
    median = datetime(2027, 7, 13, hour)
    due = Due(median, median - timedelta(days=1.645 * sd), median + timedelta(days=1.645 * sd), sd)
    ended = hour / 24 + np.random.default_rng(5).normal(0, sd, 100_000)
    day = np.floor(ended)
    low, high = hour / 24 - 1.645 * sd, hour / 24 + 1.645 * sd
    reached = np.maximum(0, np.minimum(day + 1, high) - np.maximum(day, low))
    # Four standard errors: each lies in 0 to 1, its sd is at most 0.5.
    assert covered_if_right([due, None]) == pytest.approx(reached.mean(), abs=4 * 0.5 / math.sqrt(100_000))


def test_without_a_forecast_it_is_not_known_what_right_ones_reach():
    assert math.isnan(covered_if_right([None]))


@pytest.mark.parametrize("days", [3, 4, 5, 10, 30, 300])
def test_the_factor_of_the_uncertainty_is_no_less_than_students(days):
    factor = 2 * days / (days - 2)
    student = stats.t.ppf(0.975, days - 1)
    assert student <= factor <= 1.5 * student


def test_the_uncertainty_by_hand():
    # Single records of three days and two more of the first: with errors before and after d apart per record,
    # (d1, d1, d1, d2, d3), the mean is their mean, each day's total is taken about its share of it.
    season = season_of(
        [*emerged([11, 9, 12]), pupa("q1", took=11), pupa("q2", took=11)]
    )  # fmt: skip
    (found,) = learn(season, NOW)
    better = gain(season, found)
    assert better is not None

    def error(due, ended):
        return abs((due.median - datetime.combine(ended, datetime.min.time())) / timedelta(days=1) - 0.5)

    d = {c.pupa: error(c.before, c.ended) - error(c.after, c.ended) for c in found.compared}
    mean = sum(d.values()) / 5
    totals = (3 * d["p1"] - 3 * mean, d["p2"] - mean, d["p3"] - mean)
    assert d["p1"] == pytest.approx(d["q1"])
    assert better.mean == pytest.approx(mean)
    # J = 3: the factor is 2 × 3 / 1 = 6, the square 3 / 2 of the sum.
    assert better.uncertain == pytest.approx(6 * math.sqrt(1.5 * sum(t * t for t in totals)) / 5)


def test_records_of_one_day_and_one_forecast_share_a_row():
    # Noon of the 3rd and 10 days: the 13th, noon. After 10 days it is off by 0, after 13 by 3, and the
    # interval, 1.645 × √(1 + 1/12) = 1.71 days, ends on the 15th at 5 h: the 16th is outside.
    rows = [pupa("a", took=10), pupa("b", took=10), pupa("c", took=13)]
    report = said(season_of(rows))
    assert (
        "  pupated  emerged  pupae  profile  off     learned  9 in 10          off\n"
        "  3 Jul    13 Jul   a, b   13 Jul   +0.0    13 Jul   11 Jul - 15 Jul  +0.0\n"
        "  3 Jul    16 Jul   c      13 Jul   +3.0 *  13 Jul   11 Jul - 15 Jul  +3.0 *\n"
    ) in report


def test_a_long_table_is_cut_and_shown_on_request():
    season = season_of(emerged([10] * 20))
    assert "  and 4 more: --all shows them\n" in said(season)
    assert "more: --all" not in said(season, everything=True)
    assert "p20" in said(season, everything=True)


def test_what_may_be_a_slip_of_the_pen_is_pointed_at():
    season = season_of([*emerged([10] * 8), pupa("slip", took=20)])
    assert "Far off: slip. Look whether the dates in pupae.csv are right." in said(season)
    assert "Far off" not in said(season_of(emerged([10] * 8)))


def test_what_was_not_used_is_named_with_its_reason():
    rows = [
        *emerged([10, 10]),
        pupa("a", took=6, outcome="failed"),
        pupa("b", took=6, outcome="failed"),
        pupa("c", took=9, outcome="parasitised"),
        pupa("h"),
    ]
    report = said(season_of(rows))
    assert "Used: 2 emergences (of 2 pupation days) and 1 that had not emerged when last" in report
    assert (
        "  Not used:\n"
        "    a, b  failed: how far it had come is not known\n"
        "    c     parasitised: how far it had come is not known\n"
    ) in report


def test_with_nobody_emerged_there_is_nothing_to_learn():
    assert said(season_of([pupa("a"), pupa("b")])) == (
        "test: what the records teach, Wed 1 Dec 2027\n\n"
        "easy: 2 pupae, no emergence recorded that can be used. Nothing to learn from\nyet.\n"
    )
    assert said(season_of()).endswith("\n\nNo pupa is recorded: nothing to learn from yet.\n")


def test_one_species_that_emerged_and_one_that_did_not():
    report = said(season_of([*emerged([10]), pupa("m", species="monarch")]))
    assert "\n\neasy\n" in report
    assert "monarch: 1 pupa, no emergence recorded that can be used." in report


def test_released_ones_alone_have_no_forecast_to_compare(tmp_path):
    rows = [pupa("a", took=12, outcome="released")]
    report = said(season_of(rows))
    assert "Used: 1 emergence.\n" in report
    assert "No day of emergence is known, so there is no forecast to compare." in report
    # Nor is there a time over which to take the mean of measured temperatures.
    days = "".join(f"2027-07-{d:02},20,20\n" for d in range(1, 20))
    (tmp_path / "temperatures.csv").write_text("date,min,max\n" + days, encoding="utf-8")
    season = season_of(rows, tmp_path, constant=None, temperature_file="temperatures.csv")
    assert pace(season, learn(season, NOW)[0]) is None
    assert "days it takes" not in said(season)


def test_a_released_one_beside_an_emerged_one_is_counted_apart():
    report = said(season_of([*emerged([10]), pupa("a", took=12, outcome="released")]))
    assert "Used: 2 emergences (1 on a known day, of 1 pupation day)." in report


def test_it_is_said_which_values_are_in_force(tmp_path):
    season = season_of(emerged([11] * 6), tmp_path)
    assert "In force: the profile, until the learned values are accepted." in said(season)
    accept(tmp_path, learn(season, NOW), date(2027, 12, 1))
    assert "In force: these learned values, accepted 2027-12-01." in said(as_read(season))
    more = season_of(emerged([11] * 7), tmp_path)
    assert "learned from 6 emergences and accepted\n  2027-12-01." in said(more)


def test_what_would_not_come_into_force_is_said():
    season = season_of(
        [pupa("m", took=11, species="monarch")], profiles={"monarch": SpeciesEntry(requirement=120)}
    )
    assert (
        "In force: the profile. Accepting would change nothing: season.yaml states the\n  requirement."
        in said(season)
    )


def test_the_temperatures_are_said():
    assert said(season_of(emerged([10]))).endswith(
        "\n\nTemperatures: 20 °C throughout, as stated in season.yaml.\n"
    )


def test_the_history_lists_what_was_accepted(tmp_path):
    one = season_of(emerged([11] * 3), tmp_path)
    accept(tmp_path, learn(one, NOW), date(2027, 12, 1))
    entries = accept(
        tmp_path, learn(season_of(emerged([11] * 6), tmp_path), NOW), date(2027, 12, 3)
    )  # fmt: skip
    a, b = (f"{e.requirement:.1f}" for e in entries)
    x, y = (f"{e.spread * 100:.1f}" for e in entries)
    assert str(history(entries)) + "\n" == (
        "accepted    species  requirement     spread         emergences  hanging  until\n"
        f"2027-12-01  easy     100.0 -> {a}  10.0 -> {x} %  3           0        2027-12-03\n"
        f"2027-12-03  easy     100.0 -> {b}  10.0 -> {y} %  6           0        now\n"
    )


def test_without_history_that_is_said():
    assert str(history(())) == "Nothing was ever accepted: the profiles are in force as shipped or stated."


def test_emergences_on_every_third_day_only_make_one_ask_for_the_looks():
    rows = emerged(
        [10 + (-(i + 10)) % 3 for i in range(15)]
    )  # each noted on the third day, or up to two late
    report = " ".join(said(season_of(rows)).split())
    assert (
        "Emergences are on record on every third day only. If you look only then, write 'looks: every 3 days "
        "at 8' (your hour) into season.yaml: else it seems to take longer than it does."
    ) in report
    told = replace(season_of(rows), looks=Looks.parse("every 3 days at 8"))
    assert "on every" not in said(told)


def test_a_day_less_than_the_profile_says_makes_one_ask_when_pupations_were_noted():
    report = " ".join(said(season_of(emerged([9] * 12))).split())
    assert (
        "They took 1.0 days less than the profile says. It looks the same where pupations are noted the day "
        "after: 'hangplan mark m1 pupated /nowhere --between' with the two looks says so."
    ) in report
    assert "less than the profile says" not in said(season_of(emerged([10] * 12)))
    assert "less than the profile says" not in said(season_of(emerged([7] * 12)))
