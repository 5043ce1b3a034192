"""One faulty place per error: what stands in season.yaml, and the exact line that is reported."""

import pytest

PLACES = {
    "no list": ("north", "1:9: places: 'north' where a list is expected: begin each item with '- '"),
    "an empty list": ("[]", "1:9: places: at least one place is needed: a line, a board or a lid"),
    "a place without a kind": (
        "[{width: 40}]",
        "1:10: places[0]: a mapping: a place is one of line: NAME, board: NAME, lid: NAME",
    ),
    "a kind of place that there is not": (
        "[{rope: north, length: 180, height: 150}]",
        "1:11: places[0]: unknown key 'rope': a place is one of line: NAME, board: NAME, lid: NAME",
    ),
    "a misspelt kind of place": (
        "[{lien: north, length: 180, height: 150}]",
        "1:11: places[0]: unknown key 'lien' (did you mean 'line'?): a place is one of line: NAME, "
        "board: NAME, lid: NAME",
    ),
    "a place of two kinds": (
        "[{line: a, lid: b}]",
        "1:10: places[0]: has line and lid: a place is one of line: NAME, board: NAME, lid: NAME",
    ),
    "a word for a place": (
        "[north]",
        "1:10: places[0]: 'north': a place is one of line: NAME, board: NAME, lid: NAME",
    ),
    "a place without a name": (
        "[{lid: '', width: 40, length: 28}]",
        "1:16: places[0].lid: is empty",
    ),
    "a name of two lines": (
        '[{lid: "a\\nb", width: 40, length: 28}]',
        "1:16: places[0].lid: 'a\N{REPLACEMENT CHARACTER}b': write one line of visible characters",
    ),
    "a letter o for a zero": (
        "[{line: a, length: 18o, height: 150, clips_every: 4}]",
        "1:28: places[0].length: '18o' is not a number of cm",
    ),
    "a negative length": (
        "[{line: a, length: -3, height: 150, clips_every: 4}]",
        "1:28: places[0].length: -3 cm: must be more than 0 and at most 5000 cm",
    ),
    "a line as long as a street": (
        "[{line: a, length: 5001, height: 150, clips_every: 4}]",
        "1:28: places[0].length: 5001 cm: must be more than 0 and at most 5000 cm",
    ),
    "a line without a length": (
        "[{line: a, height: 150, clips_every: 4}]",
        "1:10: places[0].length: is missing",
    ),
    "a line on the floor": (
        "[{line: a, length: 9, height: 0, clips_every: 4}]",
        "1:39: places[0].height: 0 cm: must be more than 0 and at most 5000 cm",
    ),
    "a line of two kinds": (
        "[{line: a, length: 9, height: 9, clips_every: 4, clip_width: 3}]",
        "1:10: places[0]: has both clips_every and clip_width: "
        "write clips_every for fixed marks, or clip_width for clips that slide",
    ),
    "a line of no kind": (
        "[{line: a, length: 9, height: 9}]",
        "1:10: places[0]: has neither clips_every nor clip_width: "
        "write clips_every for fixed marks, or clip_width for clips that slide",
    ),
    "a line too short for a clip": (
        "[{line: a, length: 9, height: 9, clips_every: 9}]",
        "1:55: places[0].clips_every: must be less than the line's length, or there is no room for a clip",
    ),
    "clips within a hair of each other": (
        "[{line: a, length: 9, height: 9, clips_every: 0.01}]",
        "1:55: places[0].clips_every: 0.01 cm: must be 0.5 to 5000 cm",
    ),
    "a shelf above the line": (
        "[{line: a, length: 9, height: 50, below: 50, clips_every: 3}]",
        "1:50: places[0].below: must be less than the height: it is the surface beneath",
    ),
    "an unknown key of a line": (
        "[{line: a, lenght: 9, length: 9, height: 50, clips_every: 3}]",
        "1:20: places[0]: unknown key 'lenght' (did you mean 'length'?)",
    ),
    "an unknown pattern": (
        "[{board: a, width: 9, height: 9, pins_every: 3, bottom: 9, pattern: staggerd}]",
        "1:77: places[0].pattern: 'staggerd': write square or staggered (did you mean 'staggered'?)",
    ),
    "a board without a pin": (
        "[{board: a, width: 9, height: 60, pins_every: 18, bottom: 9}]",
        "1:55: places[0].pins_every: must be less than twice the board's width and height: it has no pin",
    ),
    "a board with a million pins": (
        "[{board: a, width: 500, height: 500, pins_every: 0.5, bottom: 9}]",
        "1:58: places[0].pins_every: makes more than 100000 pins on this board",
    ),
    "a board that stands nowhere": (
        "[{board: a, width: 9, height: 9, pins_every: 3}]",
        "1:10: places[0].bottom: is missing",
    ),
    "a shelf above a board": (
        "[{board: a, width: 9, height: 9, pins_every: 3, bottom: 9, below: 10}]",
        "1:75: places[0].below: must not be above the board's bottom edge",
    ),
    "a lid without a length": ("[{lid: a, width: 9}]", "1:10: places[0].length: is missing"),
    "a round lid that is square too": (
        "[{lid: a, diameter: 9, width: 9}]",
        "1:39: places[0].width: diameter is given too: a round lid has that alone",
    ),
    "a round lid of no size": (
        "[{lid: a, diameter: 0}]",
        "1:29: places[0].diameter: 0 cm: must be more than 0 and at most 5000 cm",
    ),
    "a lid that is perhaps to be cleared": (
        "[{lid: a, width: 9, length: 9, clear: soon}]",
        "1:47: places[0].clear: 'soon': write yes or no",
    ),
    "a place as hot as an oven": (
        "[{lid: a, width: 9, length: 9, temperature: {constant: 73}}]",
        "1:64: places[0].temperature.constant: 73: as °C that kills (0 to 45 °C are allowed); "
        "for Fahrenheit write '73 F'",
    ),
    "a temperature of a place that is none": (
        "[{lid: a, width: 9, length: 9, temperature: warm}]",
        "1:53: places[0].temperature: 'warm' where 'key: value' pairs are expected",
    ),
    "a file of a place that lies elsewhere": (
        "[{lid: a, width: 9, length: 9, temperature: {file: ../shed.csv}}]",
        "1:60: places[0].temperature.file: '../shed.csv': the file must lie in the season's folder",
    ),
    "a place left of the rack": (
        "[{lid: a, width: 9, length: 9, left: -1}]",
        "1:46: places[0].left: -1 cm: must be 0 to 5000 cm",
    ),
    "a name used twice": (
        "[{lid: a, width: 9, length: 9}, {lid: A, width: 9, length: 9}]",
        "1:47: places[1].lid: 'A' is also the name of places[0]: each place needs its own",
    ),
}


@pytest.mark.parametrize(("text", "line"), PLACES.values(), ids=PLACES)
def test_a_faulty_place_is_one_problem(faults_of, text, line):
    assert faults_of(f"places: {text}\n") == [f"season.yaml:{line}"]


def test_without_places_there_is_nothing_to_plan(faults_of):
    line = "season.yaml:1:1: places: at least one place is needed: a line, a board or a lid"
    assert faults_of("units: cm\n") == [line]


def test_what_is_allowed_is_said_in_the_keepers_unit(faults_of):
    # 5000 cm / 2.54 = 1968.50 in
    assert faults_of("units: in\nplaces: [{lid: a, width: 2000, length: 9}]\n") == [
        "season.yaml:2:26: places[0].width: 2000 in: must be more than 0 and at most 1968.5 in"
    ]
