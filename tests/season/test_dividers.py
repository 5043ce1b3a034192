"""Cards between two spots: what season.yaml may say, and the exact line that is reported."""

import pytest

from planner.season.places.dividers import Divider

PLACES = """\
places:
  - {line: north, length: 60, height: 150, clips_every: 4, left: 0, front: 10}
  - {line: south, length: 60, height: 145, clips_every: 4, left: 0, front: 14}
  - {line: big yarn, length: 60, height: 150, clip_width: 3}
  - {board: cork, width: 60, height: 40, pins_every: 5, bottom: 90}
  - {lid: tub, width: 40, length: 28}
"""
PUPAE = "id,pupated,place,spot\nm1,2027-07-03,north,14\nm2,2027-07-03,tub,\n"


def cards(*ends):
    return PLACES + "dividers:\n" + "".join(f"  - between: [{end}]\n" for end in ends)


def test_a_card_stands_between_spots_of_one_place_or_of_two(season_of):
    season = season_of(
        cards("north 36, north 40.0", "big yarn 5.5, Big Yarn 12", "North 8, south 8", "cork r2p5, cork r2p6")
    )
    assert season.dividers == (
        Divider(("north", "36"), ("north", "40")),
        Divider(("big yarn", "5.5"), ("big yarn", "12")),
        Divider(("north", "8"), ("south", "8")),
        Divider(("cork", "r2p5"), ("cork", "r2p6")),
    )


def test_who_hangs_between_marks_makes_a_spot_of_it(season_of):
    season = season_of(cards("north 14, north 20"), PUPAE)
    assert season.dividers == (Divider(("north", "14"), ("north", "20")),)


def test_without_dividers_there_are_none(season_of):
    assert season_of(PLACES).dividers == ()


FAULTS = {
    "one spot": ("north 36", "1 spots: write the two spots it stands between, such as [north 36, north 40]"),
    "no such place": (
        "nroth 36, north 40",
        "'nroth 36': write a place and a spot on it, such as north 36 (did you mean 'north'?)",
    ),
    "a place alone": (
        "north, north 40",
        "'north': write where on line north, more than 0 and less than 60",
    ),
    "no such mark": (
        "north 37, north 40",
        "'north 37': there is no mark, and nobody hangs there; marks are every 4 cm",
    ),
    "beyond the end": (
        "north 60, north 56",
        "'north 60': write where on line north, more than 0 and less than 60",
    ),
    "no such pin": (
        "cork r2p13, cork r2p12",
        "'cork r2p13': there is no such pin on board cork; write one such as r2p5",
    ),
    "a lid": (
        "tub 5, tub 6",
        "'tub 5': a lid has no spots; a card stands between spots of lines and boards",
    ),
    "one spot twice": (
        "north 36, north 36.0",
        "'north 36' is named twice: a card stands between two spots",
    ),
    # 12 cm along one line, a wing reach is 10.
    "no neighbours": (
        "north 36, north 48",
        "north 36 and north 48 are no neighbours: there is nothing to divide",
    ),
    # it is not known where cork stands: far from north
    "places far from each other": (
        "north 4, cork r1p1",
        "north 4 and cork r1p1 are no neighbours: there is nothing to divide",
    ),
    # rows are 5 cm apart; a card between them leaves the upper one 5 cm at most, and it needs 11
    "one under another": (
        "cork r1p1, cork r2p1",
        "cork r1p1 and cork r2p1 hang under one another, 5 cm apart: "
        "a card between leaves less free below the upper one than clearance, 11 cm",
    ),
    "too near for a card": (
        "big yarn 5, big yarn 6.5",
        "big yarn 5 and big yarn 6.5 are 1.5 cm apart: a card needs 2 cm",
    ),
}


@pytest.mark.parametrize(("ends", "message"), FAULTS.values(), ids=FAULTS)
def test_each_faulty_card_is_reported(faults_of, ends, message):
    wrong = [line for line in faults_of(cards(ends)) if "dividers" in line]
    assert wrong[0] == f"season.yaml:8:14: dividers[0].between: {message}"


def test_a_card_is_given_once_whichever_way_round(faults_of):
    assert faults_of(cards("north 36, north 40", "north 40, north 36")) == [
        "season.yaml:9:14: dividers[1].between: there is such a card already, dividers[0]: each is given once"
    ]


def test_a_card_one_clearance_below_the_upper_spot_may_stand(season_of):
    # Rows 1 and 4 are 15 cm apart: 11 and more are free below the upper one.
    assert len(season_of(cards("cork r1p1, cork r4p1")).dividers) == 1


def test_other_keys_and_forms_are_faulty(faults_of):
    assert faults_of(PLACES + "dividers:\n  - {place: north}\n  - north 36\n") == [
        "season.yaml:8:6: dividers[0]: unknown key 'place'",
        "season.yaml:9:5: dividers[1]: 'north 36' where 'key: value' pairs are expected",
    ]


def test_a_card_on_a_faulty_place_is_passed_over(faults_of):
    text = cards("north 36, north 40").replace(
        "length: 60, height: 150, clips_every: 4", "length: -1, height: 150, clips_every: 4"
    )
    assert [line for line in faults_of(text) if "dividers" in line] == []
