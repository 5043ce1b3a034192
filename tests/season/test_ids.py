from dataclasses import replace

import pytest

from planner.season import Store, StoreError
from planner.season.ids import next_ids

LID = "places: [{lid: tub, width: 40, length: 28}]\n"


@pytest.fixture
def store(tmp_path):
    return Store(tmp_path)


def test_ids_are_the_species_letter_and_one_number_for_the_whole_season(season_of, store):
    season = season_of(LID)
    assert next_ids(store, season, "monarch", 2) == ["m1", "m2"]
    assert next_ids(store, season, "painted-lady", 1) == ["p3"]


def test_an_id_whose_row_was_taken_out_is_not_given_again(season_of, store):
    season = season_of(LID)
    next_ids(store, season, "monarch", 5)
    assert next_ids(store, replace(season, pupae=()), "monarch", 1) == ["m6"]


def test_numbers_go_on_after_the_highest_in_the_record(season_of, store):
    season = season_of(LID, "id,pupated,place\nm41,,tub\nm7,,tub\nnote-x,,tub\n")
    assert next_ids(store, season, "monarch", 1) == ["m42"]


def test_a_keepers_own_ids_count_whatever_stands_before_their_number(season_of, store):
    season = season_of(LID, "id,pupated,place\nA-007,,tub\nB2x13,,tub\n")
    assert next_ids(store, season, "monarch", 1) == ["m14"]


def test_a_record_older_than_what_was_given_does_not_count_back(season_of, store):
    (store.folder / ".hangplan").mkdir()
    (store.folder / ".hangplan" / "ids").write_text("99\n")
    assert next_ids(store, season_of(LID, "id,pupated,place\nm3,,tub\n"), "monarch", 1) == ["m100"]


@pytest.mark.parametrize(("species", "first"), [("Écaille", "e1"), ("8-spot", "s1"), ("蝶", "p1")])
def test_the_letter_is_one_that_every_keyboard_has(season_of, store, species, first):
    assert next_ids(store, season_of(LID), species, 1) == [first]


def test_a_damaged_note_of_the_last_id_is_refused_and_not_guessed(season_of, store):
    path = store.folder / ".hangplan" / "ids"
    path.parent.mkdir()
    path.write_text("4\0\0")
    with pytest.raises(StoreError) as caught:
        next_ids(store, season_of(LID), "monarch", 1)
    assert str(caught.value) == (
        f"{path}: '4\N{REPLACEMENT CHARACTER}\N{REPLACEMENT CHARACTER}' is not a number: "
        "write there the highest number ever given to a pupa"
    )
