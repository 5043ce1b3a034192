import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.season.pupae import COLUMNS
from planner.season.pupae.table import read_table, texts
from planner.season.pupae.table_edits import append, change

BYTES = {
    "commas": b"id,pupated,place\nm1,2027-07-03,tub\n",
    "semicolons, CRLF and a byte order mark": b"\xef\xbb\xbfid;pupated;place\r\nm1;2027-07-03;tub\r\n",
    "tabs": b"id\tpupated\tplace\nm1\t2027-07-03\ttub\n",
    "old line ends": b"id,pupated,place\rm1,2027-07-03,tub\r",
    "mixed line ends and none at the end": b"id,pupated,place\r\nm1,2027-07-03,tub\nm2,,tub",
    "quotes where none are needed": b'"id","pupated",place\n"m1",2027-07-03,"tub"\n',
    "the keeper's own columns, formulas and spaces": (
        b'weight, id ,pupated,place,note\n1.20, m1 ,2027-07-03,tub,=A2*2\n-1,m2,,tub,"+1 ""x"", @y\nz"\n'
    ),
    "empty rows here and there": b"id,pupated,place\n\nm1,2027-07-03,tub\n,,\n\n,,,,\n",
    "short and long rows": b"id,pupated,place,note\nm1\nm2,,,,,,\n",
}


@pytest.mark.parametrize("data", BYTES.values(), ids=BYTES)
def test_a_table_comes_back_byte_for_byte(data):
    assert read_table(data).to_bytes() == data


@pytest.mark.parametrize("data", BYTES.values(), ids=BYTES)
def test_changing_nothing_changes_nothing(data):
    assert append(data, []) == data
    assert change(data, {}) == data


def test_a_cell_is_changed_and_nothing_beside_it():
    data = b'\xef\xbb\xbfID;"pupated";place;note;mine\r\nm1;2027-07-03;tub;"a;b";=1+1\r\n"m2";;tub;;\r\n'
    assert change(data, {"m2": {"place": "north", "pupated": "2027-07-04"}}) == (
        b'\xef\xbb\xbfID;"pupated";place;note;mine\r\nm1;2027-07-03;tub;"a;b";=1+1\r\n"m2";2027-07-04;north;;\r\n'
    )


def test_a_change_adds_the_columns_it_needs_in_their_usual_order_behind_the_others():
    data = b"id,pupated,place,mine\nm1,2027-07-03,tub,7\nm2,,tub\n\n"
    assert change(data, {"m2": {"hung": "2027-07-05", "spot": "36"}}) == (
        b"id,pupated,place,mine,spot,hung\nm1,2027-07-03,tub,7,,\nm2,,tub,,36,2027-07-05\n\n"
    )


def test_a_change_can_empty_a_cell():
    assert change(b"id,pupated,place,x\nm1,,tub,3\n", {"m1": {"x": ""}}) == b"id,pupated,place,x\nm1,,tub,\n"


def test_a_new_text_is_quoted_where_it_must_be():
    data = b"id,pupated,place,note\nm1,,tub,\n"
    assert change(data, {"m1": {"note": 'green, "small"\nleft '}}) == (
        b'id,pupated,place,note\nm1,,tub,"green, ""small""\nleft "\n'
    )


def test_changing_a_pupa_that_is_not_there_is_refused():
    with pytest.raises(KeyError, match=r"no such pupa in pupae\.csv: m7, m8"):
        change(b"id,pupated,place\nm1,,tub\n", {"m8": {}, "m7": {}, "m1": {}})


def test_changing_a_column_that_is_unknown_is_refused():
    with pytest.raises(KeyError, match="no such column: colour"):
        change(b"id,pupated,place\nm1,,tub\n", {"m1": {"colour": "green"}})


def test_new_rows_follow_the_order_delimiter_and_line_ends_of_the_file():
    data = b"place;mine;id;pupated\r\ntub;=1;m1;2027-07-03\r\n"
    row = {"id": "m2", "pupated": "2027-07-04", "place": "a;b", "note": ""}
    assert append(data, [row]) == data + b'"a;b";;m2;2027-07-04\r\n'


def test_new_rows_begin_on_a_line_of_their_own():
    data = b"id,pupated,place\nm1,2027-07-03,tub"
    assert append(data, [{"id": "m2", "place": "tub"}]) == data + b"\nm2,,tub\n"


def test_new_rows_go_before_the_empty_ones_that_a_spreadsheet_left():
    data = b"id,pupated,place\nm1,2027-07-03,tub\n,,\n,,\n"
    assert append(data, [{"id": "m2"}]) == b"id,pupated,place\nm1,2027-07-03,tub\nm2,,\n,,\n,,\n"


def test_new_rows_add_the_columns_they_need():
    data = b"id,pupated,place\nm1,2027-07-03,tub\n"
    assert append(data, [{"id": "m2", "place": "tub", "y": "4", "x": "3"}]) == (
        b"id,pupated,place,x,y\nm1,2027-07-03,tub,,\nm2,,tub,3,4\n"
    )


def test_rows_for_a_file_that_is_not_there_make_one_with_all_columns():
    data = append(b"", [{"id": "m1", "pupated": "2027-07-03", "place": "tub"}])
    assert data.decode() == ",".join(COLUMNS) + "\nm1,,2027-07-03,tub,,,,,,,,,\n"


def test_columns_count_characters_and_not_bytes():
    table = read_table('id,note,pupated,place\nm1,"é, ü",soon,tub\n'.encode())
    cell = table.cell(table.rows[0], "pupated")
    # m1 and a comma are 3 characters, the quoted cell 6, and one more comma.
    assert (cell.line, cell.column) == (2, 11)


text = st.text(st.characters(codec="utf-8", exclude_characters="\0\ufeff"), max_size=8)


@given(
    rows=st.lists(st.lists(text, min_size=2, max_size=2), max_size=4),
    delimiter=st.sampled_from(",;\t"),
    end=st.sampled_from(["\n", "\r\n"]),
    quoting=st.sampled_from([csv.QUOTE_ALL, csv.QUOTE_MINIMAL]),
)
def test_what_the_standard_library_writes_is_read_the_same(rows, delimiter, end, quoting):
    if quoting == csv.QUOTE_MINIMAL:  # which leaves a lone \r bare, and a bare one ends the row
        rows = [[c.replace("\r", "") for c in row] for row in rows]
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter, lineterminator=end, quoting=quoting)
    writer.writerow(["id", "pupated", "place", "note", "mine"])
    writer.writerows([f"m{i}", "", "tub", *row] for i, row in enumerate(rows))
    data = out.getvalue().encode()
    table = read_table(data)
    assert [[c.value for c in r.cells[3:]] for r in table.rows] == rows
    assert table.to_bytes() == data


@given(
    notes=st.lists(text, min_size=1, max_size=4),
    new=text,
    which=st.integers(0, 3),
    delimiter=st.sampled_from(",;\t"),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
)
def test_a_changed_note_is_read_back_and_all_others_are_as_before(notes, new, which, delimiter, end):
    header = delimiter.join(["id", "pupated", "place", "note"]) + end
    data = append(header.encode(), [{"id": f"m{i}", "place": "tub", "note": n} for i, n in enumerate(notes)])
    which %= len(notes)
    notes[which] = new
    after = read_table(change(data, {f"m{which}": {"note": new}}))
    assert [after.cell(r, "note").value for r in after.rows] == notes


COMMAS = b"id;pupated;place;spot;x;y\nm1;;tub;;5,5;6\nm2;;tub;;;\n"


@pytest.mark.parametrize(
    ("data", "written"),
    [
        (COMMAS, "12,5"),
        (COMMAS.replace(b"5,5", b"5"), "12,5"),  # none yet: with semicolons a spreadsheet has commas
        (COMMAS.replace(b"5,5", b"5.5"), "12.5"),
        (COMMAS.replace(b"5,5", b"5.5").replace(b";6", b";6,5"), "12,5"),  # as most likely meant
        (COMMAS.replace(b";", b"\t"), "12,5"),
        (COMMAS.replace(b"5,5", b"5").replace(b";", b"\t"), "12.5"),
        (COMMAS.replace(b"5,5", b"5.5").replace(b";", b","), "12.5"),
    ],
)
def test_numbers_are_written_as_those_in_the_table_are(data, written):
    changed = change(data, {"m2": {"spot": "12.5"}})
    assert read_table(changed).rows[1].cells[3].value == written
    added = append(data, [{"id": "m3", "y": "12.5", "spot": "r1p2"}])
    assert [cell.value for cell in read_table(added).rows[2].cells[3:]] == ["r1p2", "", written]
    assert (texts(changed)["m2"]["spot"], texts(added)["m3"]["y"]) == ("12.5", "12.5")


def test_a_date_or_a_note_keeps_its_point():
    data = b"id;pupated;place;note\nm1;;tub;\n"
    assert change(data, {"m1": {"note": "3.5"}}) == b"id;pupated;place;note\nm1;;tub;3.5\n"
