"""Many equal faults of one file are told once, with how many rows have them and which; others stay apart."""

import pytest

from planner.season import FaultyFiles
from planner.season.reading.problems import Problem, equal_lines_once

SETTINGS = "places: [{lid: tub, width: 40, length: 28}]\n"


def told(season_of, rows, settings=SETTINGS):
    with pytest.raises(FaultyFiles) as caught:
        season_of(settings, "id,pupated,place\n" + rows)
    return [str(problem) for problem in caught.value.told()]


def test_two_thousand_equal_faults_are_one_line_with_their_number_and_rows(season_of):
    # Rows 2 to 2001 of the file, the header being row 1; the first is named, 1,999 are left.
    rows = "".join(f"m{n},2027-02-30,tub\n" for n in range(2000))
    assert told(season_of, rows) == [
        "pupae.csv:2:4: m0: pupated: '2027-02-30': there is no such day (and 1,999 more rows: 3-2001)"
    ]


def test_other_faults_among_them_all_remain(season_of):
    rows = "".join(f"m{n},2027-02-30,tub\n" for n in range(4)) + "m9,2027-02-31,tub\nm9,2027-07-03,tub\n"
    assert told(season_of, rows) == [
        "pupae.csv:2:4: m0: pupated: '2027-02-30': there is no such day (and 3 more rows: 3-5)",
        "pupae.csv:6:4: m9: pupated: '2027-02-31': there is no such day",
        "pupae.csv:7:1: m9: id: the id is taken by 'm9' in row 6: each is given once",
    ]


def test_up_to_three_equal_faults_keep_a_line_each(season_of):
    rows = "".join(f"m{n},2027-02-30,tub\n" for n in range(3))
    assert told(season_of, rows) == [
        f"pupae.csv:{n + 2}:4: m{n}: pupated: '2027-02-30': there is no such day" for n in range(3)
    ]


def test_of_rows_far_apart_the_first_runs_are_named():
    # Rows 2, 4, ... 14: behind the first are six runs of one row, of which five are named.
    found = FaultyFiles([Problem("pupae.csv", n, 4, f"m{n}", "pupated: ?") for n in range(2, 15, 2)])
    assert [str(problem) for problem in found.told()] == [
        "pupae.csv:2:4: m2: pupated: ? (and 6 more rows: 4, 6, 8, 10, 12, ...)"
    ]


def test_equal_faults_of_places_are_one_line_and_those_of_another_key_another():
    what = "-1 cm: must be more than 0"
    wrong = [Problem("season.yaml", n, 5, f"places[{n}].length", what) for n in range(1, 9)]
    wrong.append(Problem("season.yaml", 20, 5, "places[9].width", what))
    assert [str(problem) for problem in FaultyFiles(wrong).told()] == [
        "season.yaml:1:5: places[1].length: -1 cm: must be more than 0 (and 7 more lines: 2-8)",
        "season.yaml:20:5: places[9].width: -1 cm: must be more than 0",
    ]


def test_equal_faults_of_two_files_stay_two():
    found = [Problem(file, n, 1, "", "?") for file in ("a.csv", "b.csv") for n in range(1, 6)]
    assert [str(problem) for problem in FaultyFiles(found).told()] == [
        "a.csv:1:1: ? (and 4 more rows: 2-5)",
        "b.csv:1:1: ? (and 4 more rows: 2-5)",
    ]


def test_for_programs_each_is_there(season_of):
    rows = "".join(f"m{n},2027-02-30,tub\n" for n in range(900))
    with pytest.raises(FaultyFiles) as caught:
        season_of(SETTINGS, "id,pupated,place\n" + rows)
    assert [problem.line for problem in caught.value.problems] == [*range(2, 902)]


def test_many_different_faults_are_a_thousand_lines_and_the_rest_is_counted(season_of):
    # 1,500 names of places that are not there: each is another fault. Row 1002 is "m1000,2027-07-03,x1000y":
    # its third cell begins behind 5 + 1 + 10 + 1 letters.
    rows = "".join(f"m{n},2027-07-03,x{n}y\n" for n in range(1500))
    lines = told(season_of, rows)
    assert len(lines) == 1001
    assert lines[-1] == "pupae.csv:1002:18: and 500 more"


def test_refusals_that_are_text_are_told_once_too_in_their_order():
    same = [f"mine.csv:{n}:0: there is no lid 'x'" for n in range(2, 7)]
    lines = ["say when", *same[:3], "mine.csv:4:0: there is no lid 'y'", *same[3:], "say when", "12:30"]
    assert list(equal_lines_once(lines)) == [
        "say when",
        "mine.csv:2:0: there is no lid 'x' (and 4 more rows: 3-6)",
        "mine.csv:4:0: there is no lid 'y'",
        "say when",
        "12:30",
    ]


def test_three_equal_refusals_keep_a_line_each():
    lines = [f"mine.csv:{n}:0: there is no lid 'x'" for n in range(2, 5)]
    assert list(equal_lines_once(lines)) == lines
