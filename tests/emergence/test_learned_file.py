from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from as_read import as_read
from emergence_world import at, easy_season, emerged

from planner.emergence import accept, faults, learn, profile_of, warnings
from planner.emergence.learned_file import COUNTED, Entry, dump, entries_of, parse
from planner.season.reading.problems import FaultyFiles
from planner.season.season import Season, SpeciesEntry
from planner.season.store import Store, StoreError
from planner.season.store.disk import digest

ENTRY = Entry(
    accepted=date(2027, 8, 1), species="monarch", requirement=128.125, spread=0.0625, season_share=0.02,
    day_share=0.49, lower=11.5, upper=33.0, from_requirement=126.0, from_spread=0.08, records=31, hanging=4,
    counted=COUNTED,
)  # fmt: skip
SOUND = dump([ENTRY]).decode()


def _write(folder, *entries):
    (folder / "learned.yaml").write_bytes(dump(entries))
    return as_read(Season(folder=folder, name="test"))


def _refused(text):
    with pytest.raises(FaultyFiles) as refusal:
        parse(text.encode())
    return [str(p) for p in refusal.value.problems]


def test_the_file_is_as_it_is_described():
    assert SOUND.splitlines()[3:] == [
        "learned: 1",
        "entries:",
        '  - {accepted: 2027-08-01, species: "monarch", requirement: 128.125, spread: 0.0625, '
        "season_share: 0.02, day_share: 0.49, lower: 11.5, upper: 33, from_requirement: 126, "
        "from_spread: 0.08, records: 31, hanging: 4, counted: 2}",
    ]


@pytest.mark.parametrize("species", ["monarch", "no", "ärger", 'say "so"', "a: b", "12"])
def test_what_was_written_is_read(species):
    entries = (replace(ENTRY, species=species, replaced_by=date(2027, 8, 9)), replace(ENTRY, species=species))
    assert parse(dump(entries)) == entries
    assert parse(dump([])) == ()


def test_the_entry_that_is_not_replaced_is_in_force(tmp_path):
    season = _write(tmp_path, replace(ENTRY, requirement=120.0, replaced_by=date(2027, 8, 1)), ENTRY)
    profile = profile_of(season, "monarch")
    assert (profile.requirement, profile.spread, profile.season_share) == (128.125, 0.0625, 0.02)
    assert profile_of(season, "painted-lady").requirement == 115


def test_what_the_keeper_states_of_a_shipped_species_has_the_last_word(tmp_path):
    season = replace(_write(tmp_path, ENTRY), profiles={"monarch": SpeciesEntry(requirement=122)})
    assert profile_of(season, "monarch").requirement == 122
    assert warnings(season) == (
        "learned.yaml: what was learned of monarch is not applied: season.yaml states the requirement",
    )


def test_another_statement_does_not_put_it_out_of_force(tmp_path):
    season = replace(_write(tmp_path, ENTRY), profiles={"monarch": SpeciesEntry(firm_after=48)})
    assert (profile_of(season, "monarch").requirement, profile_of(season, "monarch").firm_after) == (
        128.125,
        48,
    )
    assert warnings(season) == ()


def test_learned_with_another_threshold_it_is_not_applied(tmp_path):
    season = replace(_write(tmp_path, ENTRY), profiles={"monarch": SpeciesEntry(upper=31)})
    assert profile_of(season, "monarch").requirement == 126
    assert warnings(season) == (
        "learned.yaml: what was learned of monarch is not applied: "
        "it was learned with upper 33, which is now 31",
    )


@pytest.mark.parametrize("counted", [None, COUNTED + 1])
def test_what_was_counted_in_another_way_stays_in_force_and_is_told(tmp_path, counted):
    # None: as versions before wrote it.
    season = _write(tmp_path, replace(ENTRY, counted=counted))
    assert profile_of(season, "monarch").requirement == 128.125
    assert warnings(season) == (
        "learned.yaml: what was learned of monarch was counted in another way: 'hangplan learn --accept' "
        "counts it anew",
    )


def test_what_is_accepted_now_is_counted_as_now(tmp_path):
    season = easy_season(emerged([12, 13, 14] * 4), folder=tmp_path)
    (entry,) = accept(tmp_path, learn(season, at("2027-12-01T00:00")), date(2027, 12, 1))
    assert entry.counted == COUNTED
    assert warnings(as_read(season)) == ()


def test_a_keepers_own_species_learns_from_what_is_stated_until_something_else_is(tmp_path):
    season = easy_season(emerged([12, 13, 14] * 4), folder=tmp_path)
    accept(tmp_path, learn(season, at("2027-12-01T00:00")), date(2027, 12, 1))
    assert profile_of(as_read(season), "easy").requirement > 120
    stated = easy_season(folder=tmp_path, requirement=110)
    assert profile_of(stated, "easy").requirement == 110
    assert warnings(stated) == (
        "learned.yaml: what was learned of easy is not applied: "
        "it was learned with requirement 100, which is now 110",
    )


def test_accepting_again_keeps_the_history_and_can_be_taken_back(tmp_path):
    season = easy_season(emerged([12] * 3), folder=tmp_path)
    first = accept(tmp_path, learn(season, at("2027-12-01T00:00")), date(2027, 12, 1))
    more = easy_season(emerged([12] * 6), folder=tmp_path)
    second = accept(tmp_path, learn(more, at("2027-12-02T00:00")), date(2027, 12, 2))
    assert second[0] == replace(first[0], replaced_by=date(2027, 12, 2))
    assert second[1].records == 6
    assert entries_of(as_read(more)) == second
    kept = [path.name for _, path in Store(tmp_path).versions()]
    assert kept == ["000001-learned.yaml.none", "000002-learned.yaml"]


def test_accepting_the_same_again_changes_nothing(tmp_path):
    season = easy_season(emerged([12] * 3), folder=tmp_path)
    learned = learn(season, at("2027-12-01T00:00"))
    first = accept(tmp_path, learned, date(2027, 12, 1))
    assert accept(tmp_path, learned, date(2027, 12, 5)) == first


def test_what_was_edited_by_hand_since_is_not_written_over(tmp_path):
    season = easy_season(emerged([12] * 3), folder=tmp_path)
    accept(tmp_path, learn(season, at("2027-12-01T00:00")), date(2027, 12, 1), season)
    by_hand = (tmp_path / "learned.yaml").read_bytes() + b"# by hand\n"
    more = easy_season(emerged([12] * 6), folder=tmp_path)
    more = replace(more, digests={"learned.yaml": digest((tmp_path / "learned.yaml").read_bytes())})
    (tmp_path / "learned.yaml").write_bytes(by_hand)
    with pytest.raises(StoreError, match="changed"):
        accept(tmp_path, learn(more, at("2027-12-02T00:00")), date(2027, 12, 2), more)
    assert (tmp_path / "learned.yaml").read_bytes() == by_hand


def test_accepting_nothing_writes_no_file(tmp_path):
    assert accept(tmp_path, [], date(2027, 12, 1)) == ()
    assert not (tmp_path / "learned.yaml").exists()


def test_a_faulty_file_is_not_written_over(tmp_path):
    (tmp_path / "learned.yaml").write_text("learned: 1\nentries: 7\n", encoding="utf-8")
    season = easy_season(emerged([12] * 3), folder=tmp_path)
    with pytest.raises(FaultyFiles):
        accept(tmp_path, learn(season, at("2027-12-01T00:00")), date(2027, 12, 1))
    assert (tmp_path / "learned.yaml").read_text(encoding="utf-8") == "learned: 1\nentries: 7\n"


def test_a_folder_that_is_not_there_is_said(tmp_path):
    with pytest.raises(StoreError, match="there is no such folder"):
        accept(tmp_path / "gone", [], date(2027, 12, 1))


def test_every_fault_is_told_with_its_place(tmp_path):
    text = SOUND.replace("spread: 0.0625", "spread: 7").replace("hanging: 4", "hanging: few")
    assert _refused(text) == [
        "learned.yaml:6:78: entries[0].spread: 7: must be more than 0 and at most 0.5",
        "learned.yaml:6:206: entries[0].hanging: 'few' is not a whole number from 0 to 10000000",
    ]
    (tmp_path / "learned.yaml").write_text(text, encoding="utf-8")
    assert [str(p) for p in faults(as_read(Season(folder=tmp_path, name="test")))] == _refused(text)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            SOUND.replace("learned: 1", "learned: 2"),
            "learned.yaml:4:10: learned: 2: written by a newer hangplan; this one reads up to 1",
        ),
        (
            SOUND.replace("lower: 11.5", "lower: 29").replace("upper: 33", "upper: 29"),
            "upper: must be above lower, 29 °C",
        ),
        (
            SOUND.replace("season_share: 0.02", "season_share: 0.6"),
            "day_share: season_share and day_share together must be at most 0.99",
        ),
        (SOUND + SOUND.splitlines()[-1] + "\n", "the entry in line 6 is in force already: only one can be"),
        (SOUND.replace("species:", "spcies:"), "unknown key 'spcies' (did you mean 'species'?)"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused(text, message):
    assert any(message in problem for problem in _refused(text))


def test_no_file_nothing_learned():
    assert entries_of(easy_season(folder=Path("/nowhere"))) == ()
