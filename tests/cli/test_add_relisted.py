"""A list imported again some evenings later: who is on record is not recorded twice, and who is new is."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from cli_world import call
from listed_world import lives

SETTINGS = """\
season: Porch
timezone: Europe/Lisbon
temperature: {constant: 23}
profiles: {monarch: {lower: 10, requirement: 130}}
places:
  - {line: north, length: 400, height: 150, clips_every: 4}
  - {lid: tub-2, width: 40, length: 28}
  - {lid: tub-3, width: 40, length: 28}
"""
HEAD = "pupated,place,count\n"
FIRST = HEAD + "2027-07-01,tub-2,3\n2027-07-03,tub-2,5\n2027-07-03,tub-3,2\n"
LATER = ("--on", "2027-07-06T20:00")
NOBODY = "nobody new: nothing was written\nNext: hangplan plan\n"


@pytest.fixture
def porch(tmp_path, monkeypatch):
    """m1 to m3 of 1 July and m4 to m8 of 3 July from tub-2, m9 and m10 from tub-3; m1 to m5 hang by now."""
    monkeypatch.chdir(tmp_path)
    Path("season.yaml").write_text(SETTINGS)
    Path("pupae.csv").write_text("id,pupated,place\n")
    add(FIRST)
    for i in range(1, 6):
        assert call("done", f"m{i}", "--to", "north", str(20 * i), *LATER).code == 0
    assert call("mark", "m6", "failed", *LATER).code == 0
    return tmp_path


def add(text, *more, file="list.csv"):
    Path(file).write_text(text)
    return call("add", "--csv", file, *more, *LATER)


def recorded():
    return len(Path("pupae.csv").read_text().splitlines()) - 1


@pytest.mark.usefixtures("porch")
def test_the_same_list_again_records_nobody_though_they_hang_elsewhere_or_died():
    said = add(FIRST)
    known = "on record already, and left as they are: m1 to m10\n"
    assert (said.code, said.out, said.err) == (0, known + NOBODY, "")
    assert recorded() == 10


@pytest.mark.usefixtures("porch")
def test_rows_in_another_order_and_without_counts_are_the_same():
    rows = ["2027-07-03,tub-3"] * 2 + ["2027-07-03,tub-2"] * 5 + ["2027-07-01,tub-2"] * 3
    said = add("pupated,place\n" + "\n".join(rows) + "\n")
    assert (said.code, recorded()) == (0, 10)
    assert said.err == (
        "taken for the same by lid and day: m1 to m10. If the list means others,\n"
        "'hangplan add 2 tub-3 2027-07-03' records them\n"
    )


@pytest.mark.usefixtures("porch")
def test_rows_of_a_new_day_are_recorded():
    said = add(FIRST + "2027-07-05,tub-2,2\n")
    assert said.code == 0
    assert said.out.startswith(
        "on record already, and left as they are: m1 to m10\nrecorded 2 pupae on lid tub-2: m11, m12\n"
    )


@pytest.mark.usefixtures("porch")
def test_a_day_that_is_partly_on_record_is_asked_back_and_typing_the_rest_settles_it():
    grown = FIRST.replace("07-03,tub-2,5", "07-03,tub-2,7")
    said = add(grown)
    assert (said.code, said.out, recorded()) == (1, "", 10)
    assert said.err == (
        "the list: 5 on record already, 0 new, 7 unclear: nothing was recorded\n"
        "list.csv:3:0: the list has 7 of 3 Jul on tub-2; 5 of them are on record: m4 to m8, hung on north "
        "since or failed or recorded on tub-2. If only 2 more: 'hangplan add 2 tub-2 2027-07-03'\n"
        "then add the list again; or leave out who is on record; or --anyway to record all 7 as new\n"
    )
    assert call("add", "2", "tub-2", "2027-07-03", *LATER).code == 0
    said = add(grown)
    assert (said.code, recorded()) == (0, 12)
    assert said.out == "on record already, and left as they are: m1 to m12\n" + NOBODY


@pytest.mark.usefixtures("porch")
def test_anyway_records_all_of_the_unclear_day_and_nobody_of_the_others():
    said = add(FIRST.replace("07-03,tub-2,5", "07-03,tub-2,7"), "--anyway")
    assert (said.code, recorded()) == (0, 10 + 7)


@pytest.mark.usefixtures("porch")
def test_anyway_records_a_list_again_that_is_wholly_on_record():
    assert (add(FIRST, "--anyway").code, recorded()) == (0, 20)


@pytest.mark.usefixtures("porch")
def test_a_row_whose_date_was_mended_is_asked_back():
    said = add(FIRST.replace("07-01,tub-2,3", "07-02,tub-2,3"))
    assert (said.code, recorded()) == (1, 10)
    assert said.err == (
        "the list: 7 on record already, 0 new, 3 unclear: nothing was recorded\n"
        "list.csv:2:0: the list has 3 of 2 Jul on tub-2; on record, and not in the list, are m1 to m3, hung "
        "on north since. If they are the same, write in pupae.csv what the list says\n"
        "then add the list again; or leave out who is on record; or --anyway to record all 3 as new\n"
    )


@pytest.mark.usefixtures("porch")
def test_a_second_supplier_with_the_same_day_and_more_of_them_is_asked_back():
    said = add(
        "date,tub,n\n2027-07-03,tub-3,4\n", "--columns", "date=pupated,tub=place,n=count", file="b.csv"
    )
    assert (said.code, recorded()) == (1, 10)
    assert "4 of 3 Jul on tub-3; 2 of them are on record: m9, m10, recorded on tub-3" in said.err


@pytest.mark.usefixtures("porch")
def test_a_second_supplier_told_by_its_notes_is_asked_back():
    said = add("pupated,place,note\n2027-07-03,tub-3,box B\n2027-07-03,tub-3,box B\n")
    assert (said.code, recorded()) == (1, 10)


def test_who_has_no_lid_of_origin_on_record_is_asked_back(porch):
    table = Path("pupae.csv").read_text().replace("formed_at", "of_old")
    (porch / "pupae.csv").write_text(table)
    said = add(HEAD + "2027-07-01,tub-2,3\n")
    assert (said.code, recorded()) == (1, 10)
    assert said.err == (
        "the list: 0 on record already, 0 new, 3 unclear: nothing was recorded\n"
        "list.csv:2:0: the list has 3 of 1 Jul on tub-2; on record are m1 to m3, hung on north since, but "
        "not from which lid. If these are the same, write 'tub-2 ?' under formed_at in pupae.csv\n"
        "then add the list again; or leave out who is on record; or --anyway to record all 3 as new\n"
    )


@pytest.mark.usefixtures("porch")
def test_measured_ones_are_known_by_their_points_after_they_were_hung():
    text = "pupated,place,x,y\n2027-07-04,tub-3,5,5\n2027-07-04,tub-3,15.5,5\n"
    assert add(text).code == 0
    assert call("done", "m12", "--to", "north", "200", "--anyway", *LATER).code == 0
    said = add(text + "2027-07-04,tub-3,25,5\n")
    assert said.out.startswith(
        "on record already, and left as they are: m11, m12\nrecorded 1 pupa on lid tub-3: m13\n"
    )


def test_a_quantity_that_was_overlooked_once_is_asked_about_again(porch):
    head = "pupated,place,heads\n"
    add(head + "2027-07-05,tub-3,1\n2027-07-05,tub-3,2\n")  # just running on, as if they were numbered
    kept = porch / ".hangplan" / "columns.json"
    assert "heads" not in json.loads(kept.read_text())["pupated|place|heads"]["columns"]
    said = add(head + "2027-07-04,tub-3,4\n2027-07-06,tub-3,9\n")
    plain = "pupated=pupated,place=place"
    how = f'then say --columns "{plain},heads=count"; if not, --columns "{plain}"'
    assert (said.code, said.err) == (1, f"list.csv: is 'heads' how many? If so, {how}\n")
    assert add(head + "2027-07-04,tub-3,4\n", "--columns", plain, file="b.csv").code == 0
    assert add(head + "2027-07-06,tub-3,9\n", file="c.csv").code == 0  # said once, remembered


def test_a_list_read_again_records_just_the_new_ones_or_asks_back():
    told = lives(range(150))
    assert told.faults == []
    assert told.read > 500
    assert told.recorded > 1000
    assert told.asked < told.read / 2
    assert told.plain_asked < told.plain / 5  # a list that only grew by days of its own is hardly asked about
