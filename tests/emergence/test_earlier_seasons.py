"""What earlier seasons taught: ``earlier.yaml``, and what a season begins with by it.

The easy species: 100 degree-days, spread 0.1, 0.33 of its square in common to a season: sd 5.74. Three
quarters of that variance, 24.75, are between keepers; 8.25 between the seasons of one.
"""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from emergence_world import at, easy_season, emerged

from planner.emergence import accept, faults, forget, learn, predict_all, profile_of, told, warnings
from planner.emergence.earlier_seasons import EarlierSeason, dump, parse
from planner.emergence.prior import Estimate, Summary, carried
from planner.season.reading.problems import FaultyFiles
from planner.season.store import StoreError

EASY = Summary(100, 0.1, 0.33, 0.33)
LATER = at("2027-12-01T00:00")


def estimate(requirement, error=1.0, spread=0.08, spread_error=0.2):
    return Estimate(requirement, error, spread, spread_error)


def season(requirement=90.0, name="Porch 2026", until=date(2026, 8, 1), **changes):
    values = {"error": 1.0, "spread": 0.08, "spread_error": 0.2, "lower": 10.0, "upper": 30.0, "records": 30}
    return EarlierSeason(
        season=name, species="easy", until=until, requirement=requirement, **{**values, **changes}
    )


def begun(*seasons, **entry):
    return replace(easy_season(**entry), earlier=dump(seasons))


def test_without_earlier_seasons_it_is_the_profile():
    begins = carried(EASY, [])
    assert (begins.requirement, begins.ratio) == (100, pytest.approx(0.33 / 0.67))
    assert begins.summary.spread == pytest.approx(0.1)


def test_a_season_as_the_profile_says_makes_the_next_one_surer():
    begins = carried(EASY, [estimate(100)])
    assert begins.requirement == pytest.approx(100)
    # Between the seasons 8.25 stay however well the keeper is known; the profile alone has 33.
    assert 8.25 < begins.error**2 < 33 - 8.25


def test_seasons_that_agree_are_believed_over_the_profile():
    once, often = carried(EASY, [estimate(85)]), carried(EASY, [estimate(85)] * 4)
    # Were the keepers' distribution normal, one season would weigh 24.75 / (24.75 + 8.25 + 1) = 0.73: 89.1.
    # So far off it has longer tails, which pull less.
    assert 85 < once.requirement < 89.1
    assert 85 < often.requirement < once.requirement
    assert often.error < once.error


def test_the_latest_season_counts_most():
    assert carried(EASY, [estimate(90), estimate(110)]).requirement > 100
    assert carried(EASY, [estimate(110), estimate(90)]).requirement < 100


def test_a_season_that_says_next_to_nothing_changes_next_to_nothing():
    begins = carried(EASY, [estimate(150, error=60, spread_error=9)])
    assert begins.requirement == pytest.approx(100, abs=0.8)
    assert begins.summary.spread == pytest.approx(0.1, rel=0.03)


def test_a_narrow_spread_is_carried_over_too():
    narrow = carried(EASY, [estimate(100, spread=0.04, spread_error=0.1)])
    assert narrow.own / narrow.requirement < carried(EASY, []).own / 100 - 0.02


def test_a_season_begins_its_dates_from_those_before():
    late = begun(season(90))
    assert profile_of(late, "easy").requirement == pytest.approx(carried(EASY, [season(90)]).requirement)
    assert profile_of(late, "easy").basis["requirement"].status == "learned"
    first = emerged([10])[0]
    early, usual = (predict_all(s, [first])[0].median for s in (late, easy_season()))
    assert early < usual


@pytest.mark.parametrize(
    "one", [season(species := 90.0, lower=9.0), season(90.0, upper=33.0)], ids=["lower", "upper"]
)
def test_degree_days_above_another_threshold_are_not_taken_and_that_is_told(one):
    assert profile_of(begun(one), "easy").requirement == 100
    assert warnings(begun(one)) == (
        "earlier.yaml: of easy Porch 2026 is not used: its degree-days were counted between other thresholds "
        "than 10 °C and 30 °C",
    )


def test_what_season_yaml_states_of_a_shipped_species_comes_before():
    one = replace(season(110), species="monarch", lower=11.5, upper=33.0)
    plain = replace(easy_season(), earlier=dump([one]))
    assert profile_of(plain, "monarch").requirement < 126
    stated = replace(plain, profiles={"monarch": replace(plain.profiles["easy"], requirement=130)})
    assert profile_of(stated, "monarch").requirement == 130


def test_what_is_accepted_comes_before_and_starts_from_them(tmp_path):
    rows = emerged([9, 9, 9, 9])
    here = replace(easy_season(rows, folder=tmp_path), earlier=dump([season(90)]))
    (tmp_path / "earlier.yaml").write_bytes(here.earlier)
    alone, after = learn(easy_season(rows), LATER)[0], learn(here, LATER)[0]
    assert after.after.requirement < alone.after.requirement
    # Its records say the same, wherever it began; but for the grid.
    assert after.alone.requirement == pytest.approx(alone.alone.requirement, abs=0.01)
    accept(tmp_path, [after], date(2027, 12, 1))
    accepted = replace(here, learned=(tmp_path / "learned.yaml").read_bytes())
    assert profile_of(accepted, "easy").requirement == pytest.approx(after.after.requirement, abs=1e-3)


def test_a_season_tells_the_next_one_of_itself_and_of_those_before():
    here = replace(easy_season(emerged([9] * 6)), earlier=dump([season(95)]))
    first, own = told(here)
    assert first == season(95)
    assert (own.season, own.species, own.records) == ("test", "easy", 6)
    assert own.until == date(2027, 7, 17)  # the last of six days from 3 July, and 9 more
    assert own.requirement == pytest.approx(90, abs=0.5)


def test_nothing_recorded_tells_nothing_new():
    assert told(easy_season()) == ()
    assert told(begun(season(95))) == (season(95),)


def test_forgetting_puts_the_profile_in_force(tmp_path):
    here = easy_season(emerged([9] * 6), folder=tmp_path)
    accept(tmp_path, learn(here, LATER), date(2027, 12, 1))
    (tmp_path / "earlier.yaml").write_bytes(dump([season(90), replace(season(91), species="other")]))
    from planner.season.store.disk import digest

    files = {name: (tmp_path / name).read_bytes() for name in ("learned.yaml", "earlier.yaml")}
    read = replace(
        here, learned=files["learned.yaml"], earlier=files["earlier.yaml"],
        digests={name: digest(data) for name, data in files.items()},
    )  # fmt: skip
    assert forget(tmp_path, ["easy"], date(2027, 12, 2), read)
    now = replace(
        here,
        learned=(tmp_path / "learned.yaml").read_bytes(),
        earlier=(tmp_path / "earlier.yaml").read_bytes(),
    )
    assert profile_of(now, "easy").requirement == 100
    assert [one.species for one in parse(now.earlier)] == ["other"]
    with pytest.raises(StoreError):  # another program was faster
        forget(tmp_path, ["easy"], date(2027, 12, 2), read)


def test_what_is_written_reads_back():
    seasons = (season(90.123, name='Anna\'s "porch": 2026'), season(95, until=date(2027, 8, 1)))
    assert parse(dump(seasons)) == seasons
    assert parse(dump([])) == ()


LINE = season().line


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("earlier: 2\nseasons: []\n",
         "earlier.yaml:1:10: earlier: 2: written by a newer hangplan; this one reads up to 1"),
        (f"earlier: 1\nseasons:\n{LINE.replace('90', '-1', 1)}\n",
         "earlier.yaml:3:77: seasons[0].requirement: -1 degree-days: must be more than 0 and at most 5000 "
         "degree-days"),
        (f"earlier: 1\nseasons:\n{LINE.replace('2026-08-01', '2026-02-30')}\n",
         "earlier.yaml:3:52: seasons[0].until: '2026-02-30': there is no such day"),
        (f"earlier: 1\nseasons:\n{LINE.replace(', records: 30', '')}\n",
         "earlier.yaml:3:5: seasons[0].records: is missing"),
    ],
)  # fmt: skip
def test_faults_are_told_with_their_line(text, told):
    with pytest.raises(FaultyFiles) as faulty:
        parse(text.encode())
    assert str(faulty.value.problems[0]) == told
    here = replace(easy_season(), earlier=text.encode())
    assert told in [str(p) for p in faults(here)]
    assert here.folder == Path("/nowhere")
