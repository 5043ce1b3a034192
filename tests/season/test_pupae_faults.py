"""One faulty pupae.csv per error: what stands in the file, and the exact line that is reported."""

import pytest

PLACES = """\
places:
  - {line: north, length: 180, height: 150, clips_every: 4}
  - {board: cork, width: 20, height: 15, pins_every: 5, pattern: staggered, bottom: 90}
  - {lid: tub, width: 40, length: 28}
"""
ALL = "id,species,pupated,place,spot,x,y,hung,stay,darkening,outcome,ended,note\n"

FORM = {
    "an empty file": (
        b"",
        " the file is empty: its first line must name the columns, at least id, pupated, place",
    ),
    "only line ends": (
        b"\n\n",
        " the file is empty: its first line must name the columns, at least id, pupated, place",
    ),
    "zeros, as a power cut leaves": (
        b"\0\0\0",
        "1:1: a NUL byte: this is not a text file, or it was damaged",
    ),
    "an old code page": (
        b"id,pupated,place,note\nm1,2027-07-03,tub,sch\xf6n\n",
        "2:22: byte 0xf6 is not UTF-8: save the file as UTF-8",
    ),
    "UTF-16": ("id,pupated,place\n".encode("utf-16"), " the file is written in UTF-16: save it as UTF-8"),
    "no column for ids": (
        b"name,pupated,place\n",
        "1:1: column 'id' is missing: the first line must name the columns",
    ),
    "a misspelt column": (
        b"id,pupatd,place\n",
        "1:1: column 'pupated' is missing: the first line must name the columns (is it 'pupatd'?)",
    ),
    "a column twice": (b"id,pupated,place,Place\n", "1:18: column 'place' is there twice"),
    "a cell too many": (
        b"id,pupated,place,note\nm1,2027-07-03,tub,small, green\n",
        "2:25: ' green' stands beyond the last of 4 columns: put text that holds ',' in double quotes",
    ),
    "a quote that is never closed": (
        b'id,pupated,place,note\nm1,2027-07-03,tub,"small\nm2,2027-07-03,tub,\n',
        "2:19: this double quote is never closed",
    ),
    "text behind a quote": (
        b'id,pupated,place,note\nm1,2027-07-03,tub,"the "big" one"\n',
        "2:25: 'big\" one\"' behind a closing quote: double the quotes within a cell",
    ),
    "a place behind a quoted line end": (
        b'id,note,pupated,place\nm1,"a\nb",soon,tub\n',
        "3:4: m1: pupated: 'soon' is not a date: write 2027-07-03 or 2027-07-03T14:30",
    ),
}


@pytest.mark.parametrize(("data", "line"), FORM.values(), ids=FORM)
def test_what_is_no_table_is_one_problem_with_its_place(faults_of, data, line):
    assert faults_of(PLACES, data) == [f"pupae.csv:{line}"]


DATE = "is not a date: write 2027-07-03 or 2027-07-03T14:30"
ROWS = {
    "no id": (",,2027-07-03,tub", "2:1: id: is missing"),
    "an id that begins with a digit": (
        "1m,,2027-07-03,tub",
        "2:1: 1m: id: '1m': allowed is a letter and up to 11 letters, digits, - or _",
    ),
    "an id too long": (
        "m234567890123,,2027-07-03,tub",
        "2:1: m234567890123: id: 'm234567890123': allowed is a letter and up to 11 letters, digits, - or _",
    ),
    "an unknown species": (
        "m1,monark,2027-07-03,tub",
        "2:4: m1: species: 'monark' is not a known species (did you mean 'monarch'?); "
        "more can be given under profiles: in season.yaml",
    ),
    "day and month in another order": ("m1,,03/07/2027,tub", f"2:5: m1: pupated: '03/07/2027' {DATE}"),
    "a date with points": ("m1,,3.7.2027,tub", f"2:5: m1: pupated: '3.7.2027' {DATE}"),
    "a day that does not exist": (
        "m1,,2027-02-30,tub",
        "2:5: m1: pupated: '2027-02-30': there is no such day",
    ),
    "an hour that does not exist": (
        "m1,,2027-07-03T24:10,tub",
        "2:5: m1: pupated: '2027-07-03T24:10': there is no such hour (00:00 to 23:59)",
    ),
    "a year far ahead": (
        "m1,,3027-07-03,tub",
        "2:5: m1: pupated: '3027-07-03': the year must be 1990 to 2200",
    ),
    "no place": (
        "m1,,2027-07-03,",
        "2:16: m1: place: is missing: write the name of the line, board or lid where it is",
    ),
    "a misspelt place": (
        "m1,,2027-07-03,Nort",
        "2:16: m1: place: there is no place 'Nort' (did you mean 'north'?)",
    ),
    "a place like no other": (
        "m1,,2027-07-03,attic",
        "2:16: m1: place: there is no place 'attic': places are north, cork, tub",
    ),
    "a spot on a lid": (
        "m1,,2027-07-03,tub,3",
        "2:20: m1: spot: '3': lid tub has no spots: write x and y instead, or nothing",
    ),
    "x without y": (
        "m1,,2027-07-03,tub,,3,",
        "2:23: m1: y: is missing, but x is given: write both or neither",
    ),
    "y without x": (
        "m1,,2027-07-03,tub,,,3",
        "2:21: m1: x: is missing, but y is given: write both or neither",
    ),
    "x beyond the lid": ("m1,,2027-07-03,tub,,40.1,3", "2:21: m1: x: 40.1 cm is not on lid tub: 0 to 40 cm"),
    "y beyond the lid": ("m1,,2027-07-03,tub,,3,29", "2:23: m1: y: 29 cm is not on lid tub: 0 to 28 cm"),
    "x before the lid": ("m1,,2027-07-03,tub,,-1,3", "2:21: m1: x: -1 cm is not on lid tub: 0 to 40 cm"),
    "a decimal comma, quoted": ('m1,,2027-07-03,tub,,"3,5",3', "2:21: m1: x: '3,5' is not a number"),
    "a line without a spot": (
        "m1,,2027-07-03,north",
        "2:16: m1: spot: is missing: it hangs on line north, write where, more than 0 and less than 180 cm",
    ),
    "a spot at the end of a line": (
        "m1,,2027-07-03,north,180",
        "2:22: m1: spot: 180 cm is not on line north: more than 0 and less than 180 cm",
    ),
    "a spot at the beginning of a line": (
        "m1,,2027-07-03,north,0",
        "2:22: m1: spot: 0 cm is not on line north: more than 0 and less than 180 cm",
    ),
    "a pin on a line": (
        "m1,,2027-07-03,north,r2p5",
        "2:22: m1: spot: 'r2p5' is not a position on line north: "
        "write a number, more than 0 and less than 180 cm",
    ),
    "a board without a pin": (
        "m1,,2027-07-03,cork",
        "2:16: m1: spot: is missing: it hangs on board cork, write the pin, such as r2p5",
    ),
    "a number on a board": (
        "m1,,2027-07-03,cork,36",
        "2:21: m1: spot: '36' is not a pin on board cork: write row and pin, such as r2p5",
    ),
    # Pins every 5 on a width of 20: at 2.5, 7.5, 12.5, 17.5; in staggered rows at 5, 10, 15 (20 is the edge).
    "a pin beyond the board's width": (
        "m1,,2027-07-03,cork,r1p5",
        "2:21: m1: spot: there is no pin r1p5 on board cork",
    ),
    "a pin on the edge of a shifted row": (
        "m1,,2027-07-03,cork,r2p4",
        "2:21: m1: spot: there is no pin r2p4 on board cork",
    ),
    # Height 15: rows at 2.5, 7.5, 12.5 below the top.
    "a row below the board": (
        "m1,,2027-07-03,cork,r4p1",
        "2:21: m1: spot: there is no pin r4p1 on board cork",
    ),
    "hung before it was a pupa": (
        "m1,,2027-07-03,tub,,,,2027-07-02",
        "2:23: m1: hung: 2027-07-02 is before it pupated, 2027-07-03",
    ),
    "darkening an hour too soon": (
        "m1,,2027-07-03T14:00,tub,,,,,,2027-07-03T13:00",
        "2:31: m1: darkening: 2027-07-03T13:00 is before it pupated, 2027-07-03T14:00",
    ),
    "ended before it began": (
        "m1,,2027-07-03,tub,,,,,,,emerged,2027-07-01",
        "2:34: m1: ended: 2027-07-01 is before it pupated, 2027-07-03",
    ),
    "ended, but how": (
        "m1,,2027-07-03,tub,,,,,,,,2027-07-14",
        "2:27: m1: ended: 2027-07-14, but the outcome is missing: write how it ended",
    ),
    "an unknown outcome": (
        "m1,,2027-07-03,tub,,,,,,,emergd,2027-07-14",
        "2:26: m1: outcome: 'emergd' is not known: write one of emerged, failed, deformed, parasitised, "
        "escaped, released, removed (did you mean 'emerged'?)",
    ),
    "perhaps to stay": ("m1,,2027-07-03,tub,,,,,maybe", "2:24: m1: stay: 'maybe': write yes or no"),
    "an id taken twice": (
        "m1,,2027-07-03,tub\nM1,,2027-07-03,tub",
        "3:1: M1: id: the id is taken by 'm1' in row 2: each is given once",
    ),
    "an id of one that is gone": (
        "m1,,2027-07-03,tub,,,,,,,emerged,\nm1,,2027-07-03,tub",
        "3:1: m1: id: the id is taken by 'm1' in row 2: each is given once",
    ),
    "two on one clip": (
        "m1,,2027-07-03,north,36\nm2,,2027-07-03,North,36.0",
        "3:22: m2: spot: m1 in row 2 hangs there already",
    ),
    "two on one pin": (
        "m1,,2027-07-03,cork,r1p1\nm2,,2027-07-03,cork,r1p1",
        "3:21: m2: spot: m1 in row 2 hangs there already",
    ),
    "two in one point of a lid": (
        "m1,,2027-07-03,tub,,12,5\nm2,,2027-07-03,tub,,12.0,5.0",
        "3:21: m2: x: m1 in row 2 hangs there already",
    ),
}


@pytest.mark.parametrize(("rows", "line"), ROWS.values(), ids=ROWS)
def test_a_faulty_row_is_one_problem(faults_of, rows, line):
    assert faults_of(PLACES, ALL + rows + "\n") == [f"pupae.csv:{line}"]


def test_a_missing_column_is_pointed_at_in_the_last_cell_of_the_row(faults_of):
    # The place stands in column 15; there is no column for the spot that a line needs.
    assert faults_of(PLACES, "id,pupated,place\nm1,2027-07-03,north\n") == [
        "pupae.csv:2:15: m1: spot: is missing: it hangs on line north, write where, "
        "more than 0 and less than 180 cm"
    ]


def test_a_faulty_row_is_still_checked_for_everything_else(faults_of):
    assert faults_of(PLACES, ALL + "m1,,2027-07-03,tub\nm1,,soon,attic,,,,,maybe\n") == [
        "pupae.csv:3:1: m1: id: the id is taken by 'm1' in row 2: each is given once",
        f"pupae.csv:3:5: m1: pupated: 'soon' {DATE}",
        "pupae.csv:3:10: m1: place: there is no place 'attic': places are north, cork, tub",
        "pupae.csv:3:20: m1: stay: 'maybe': write yes or no",
    ]


def test_a_place_with_a_fault_of_its_own_is_not_called_missing(faults_of):
    settings = "places: [{lid: tub, width: x, length: 28}]\n"
    assert faults_of(settings, "id,pupated,place\nm1,2027-07-03,tub\n") == [
        "season.yaml:1:28: places[0].width: 'x' is not a number of cm"
    ]


def test_an_unknown_default_species_is_told_once_and_not_for_every_row(faults_of):
    settings = PLACES + "species: monark\n"
    assert faults_of(settings, "id,pupated,place\nm1,2027-07-03,tub\nm2,2027-07-03,tub\n") == [
        "season.yaml:5:10: species: 'monark' is not a known species (did you mean 'monarch'?); "
        "more can be given under profiles: in season.yaml"
    ]


def test_text_that_would_break_a_terminal_is_made_visible(faults_of):
    (line,) = faults_of(PLACES, ALL + "m1,,\x1b[2J,tub\n")
    assert line == f"pupae.csv:2:5: m1: pupated: '\N{REPLACEMENT CHARACTER}[2J' {DATE}"
