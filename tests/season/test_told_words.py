import pytest

from planner.season.reading.told_words import in_keepers_words, one_and_several, tell_pupae_as


@pytest.fixture(autouse=True)
def _pupae_afterwards():
    yield
    tell_pupae_as(None)


def test_one_and_several_are_told_by_the_keepers_word_at_the_beginning_too():
    tell_pupae_as("chrysalis")
    assert in_keepers_words("Pupae: 1 pupa, 2 pupae. Never move a soft pupa.") == (
        "Chrysalises: 1 chrysalis, 2 chrysalises. Never move a soft chrysalis."
    )


@pytest.mark.parametrize(
    "text",
    [
        "pupae.csv:12: pupated: there is no such day",
        "plan.yaml:3:5: hangs[1].pupa: must be text",
        "--pupa: 'x' is not on record",
        "a prepupa that pupated, and its pupal skin",
        "/home/pupa/season and pupa-box",
    ],
)
def test_files_options_fields_and_other_words_stay(text):
    tell_pupae_as("chrysalis")
    assert in_keepers_words(text) == text


def test_a_name_with_the_word_in_it_is_not_told_otherwise_than_it_is():
    tell_pupae_as("chrysalis", ["north", "the pupa shelf"])
    assert in_keepers_words("2 pupae on the pupa shelf") == "2 pupae on the pupa shelf"


def test_nobody_says_so_and_pupae_stay_pupae():
    tell_pupae_as(None)
    assert in_keepers_words("2 pupae") == "2 pupae"


@pytest.mark.parametrize(
    ("word", "both"),
    [
        ("cocoon", ("cocoon", "cocoons")),
        ("chrysalis", ("chrysalis", "chrysalises")),
        ("chrysalis, chrysalids", ("chrysalis", "chrysalids")),
        ("Puppe, Puppen", ("Puppe", "Puppen")),
    ],
)
def test_a_plural_is_made_or_taken_as_it_is_stated(word, both):
    assert one_and_several(word) == both
