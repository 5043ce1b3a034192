"""A lid drawn again some evenings later: who is on record is not recorded twice, and who is new is."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli_world import call
from redrawn_world import ByCommand, InMemory, evenings

SETTINGS = """\
season: Porch
timezone: Europe/Lisbon
temperature: {constant: 23}
profiles: {monarch: {lower: 10, requirement: 130}}
places:
  - {line: north, length: 400, height: 150, clips_every: 4}
  - {lid: tub-2, width: 40, length: 28}
"""
LATER = "2027-07-06T20:00"


@pytest.fixture
def porch(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("season.yaml").write_text(SETTINGS)
    Path("pupae.csv").write_text("id,pupated,place\n")
    return tmp_path


def add(sketch, *more, on="2027-07-04T20:00"):
    Path("lid.txt").write_text(sketch)
    return call("add", "--sketch", "lid.txt", "--on", on, *more)


def ids():
    return [line.split(",")[0] for line in Path("pupae.csv").read_text().splitlines()[1:]]


THREE = "lid: tub-2\na = 2027-07-03\n.aaa....\n........\n"


def test_an_unchanged_sketch_is_known_after_one_was_moved(porch):
    add(THREE)
    assert call("done", "m2", "--to", "north", "36", "--on", LATER).code == 0
    assert add(THREE, on=LATER).out == (
        "on record already, and left as they are: m1 to m3\nnobody new: nothing was written\n"
        "Next: hangplan plan\n"
    )
    assert ids() == ["m1", "m2", "m3"]


@pytest.mark.parametrize("outcome", ["failed", "parasitised", "removed", "escaped"])
def test_an_unchanged_sketch_is_known_after_one_is_gone_from_lid_or_line(porch, outcome):
    add(THREE)
    call("done", "m2", "--to", "north", "36", "--on", LATER)
    assert call("mark", "m1", "m2", outcome, "--on", "2027-07-12").code == 0
    assert add(THREE, on="2027-07-12T20:00").code == 0
    assert ids() == ["m1", "m2", "m3"]


def test_an_added_letter_is_the_only_new_one_whether_or_not_those_hung_away_are_still_drawn(porch):
    add(THREE)
    call("done", "m2", "--to", "north", "36", "--on", LATER)
    added = THREE.replace("a = ", "b = 2027-07-06\na = ").replace("........", ".....b..")
    assert add(added, on=LATER).out.splitlines()[1] == "recorded 1 pupa on lid tub-2: m4"
    # Its letter deleted, and one where it formed: pupated after m2 was hung away, it is another one.
    again = added.replace(".aaa", ".aca").replace("b = ", "c = 2027-07-07\nb = ")
    assert add(again, on="2027-07-07T20:00").out.splitlines()[1] == "recorded 1 pupa on lid tub-2: m5"
    assert add(again, on="2027-07-07T20:00").out.splitlines()[1] == "nobody new: nothing was written"
    assert add(again.replace("c", "."), on="2027-07-07T20:00").code == 1  # c has a date and is not drawn


def test_an_x_where_one_formed_that_hangs_elsewhere_is_asked_back(porch):
    add("lid: tub-2\n.xx.\n")
    call("done", "m2", "--to", "north", "36", "--on", LATER)
    said = add("lid: tub-2\n.xx.\n", on=LATER)
    assert (said.code, said.out) == (1, "")
    assert said.err == (
        "tub-2: m1 on record already, 0 new, 1 letter unclear: nothing was recorded\n"
        "lid.txt:2:3 (x): may be m2, hung on north since\n"
        "delete the letters of those on record; where x is new, write its date above (x = 2027-07-03). "
        "If all these are new, --anyway records them as drawn\n"
    )
    assert ids() == ["m1", "m2"]
    assert add("lid: tub-2\n.xx.\n", "--anyway", on=LATER).code == 0
    assert ids() == ["m1", "m2", "m3"]


def test_another_grid_is_asked_back_for_those_hung_away_as_well(porch):
    add(THREE)
    call("done", "m1", "--to", "north", "36", "--on", LATER)
    assert add("lid: tub-2\na = 2027-07-03\n.aaa.\n.....\n", on=LATER).code == 1
    assert ids() == ["m1", "m2", "m3"]


def test_who_was_recorded_without_a_point_is_asked_back_when_drawn(porch):
    call("add", "tub-2", "3", "2027-07-03", "--on", "2027-07-04")
    assert add(THREE).err.splitlines()[1] == (
        "lid.txt:3:2 and 2 more letters (of 2027-07-03): may be m1 to m3, recorded on tub-2"
    )
    assert ids() == ["m1", "m2", "m3"]


def test_who_was_hung_before_origins_were_kept_is_asked_back_by_its_date(porch):
    Path("pupae.csv").write_text("id,pupated,place,spot\nm1,2027-07-03,north,36\n")
    assert add(THREE).err.splitlines()[1] == (
        "lid.txt:3:2 and 2 more letters (of 2027-07-03): may be m1, hung on north since"
    )
    assert add(THREE.replace("07-03", "07-04")).code == 0


def test_two_letters_near_one_on_record_are_not_both_it(porch):
    # Forty pieces across 40 cm are 1 cm wide: m1 is in the first, its neighbour is 1 cm away.
    add("lid: tub-2\na = 2027-07-03\na" + "." * 39 + "\n")
    said = add("lid: tub-2\na = 2027-07-03\naa" + "." * 38 + "\n")
    assert said.out.splitlines()[1] == "recorded 1 pupa on lid tub-2: m2"


def test_a_point_typed_where_one_formed_that_was_moved_is_asked_back(porch):
    call("add", "tub-2", "2027-07-03", "2,3", "--on", "2027-07-04")
    call("done", "m1", "--to", "north", "36", "--on", LATER)
    again = ("add", "tub-2", "2027-07-03", "2,3", "--on", LATER)
    said = call(*again)
    assert (said.code, said.err) == (
        1,
        "--at 2,3: m1 of 2027-07-03 was recorded there, hung on north since. If this is another one, "
        "--anyway records it\n",
    )
    assert call(*again, "--anyway").code == 0
    assert ids() == ["m1", "m2"]
    assert (
        call("add", "tub-2", "2027-07-06", "2.5,3", "--on", LATER).code == 0
    )  # another day's is another one


def test_where_one_formed_is_kept_from_lid_to_line_to_lid_and_taken_back_by_undo(porch):
    before = add(THREE) and Path("pupae.csv").read_text()
    call("done", "m2", "--to", "north", "36", "--on", LATER)
    assert Path("pupae.csv").read_text().splitlines()[2].endswith(",tub-2 12.5 21")
    call("done", "m2", "--to", "tub-2", "30,5", "--on", LATER)
    assert Path("pupae.csv").read_text().splitlines()[2].endswith(",tub-2 12.5 21")
    assert add(THREE, on=LATER).out.splitlines()[1] == "nobody new: nothing was written"
    call("undo")
    call("undo")
    assert Path("pupae.csv").read_text() == before


@pytest.mark.parametrize(
    ("kind", "lives"), [(ByCommand, range(8)), (InMemory, [*range(200), 1257, 5122, 5285, 5938])]
)
def test_random_evenings_record_each_new_letter_once_or_ask(porch, kind, lives):
    told = evenings(porch, lives, kind)
    assert told.faults == []
    assert told.added > told.drawn / 2
    assert 0 < told.asked < told.drawn / 2
