from pathlib import Path

import pytest
from cli_world import PUPAE, SETTINGS, call, full_disk

from planner.season import Store

NO_POINT = " not a point: write x,y in cm, such as 12,5 or 12.5,5"
THREE = ("--pupated", "2027-07-04", "--lid", "tub-2", "--count", "3")


def test_added_pupae_get_the_next_ids_and_are_said_to_be_soft_until(world):
    said = world.call("add", *THREE)
    assert (said.code, said.err) == (0, "")
    # Firm 24 h after 4 July has ended; due ten days after its noon. The profile's sd in days of a monarch is
    # kept by its coefficient of variation, so that the interval is not derived here but read.
    first, soft, due, *rest = said.out.splitlines()
    assert first == "recorded 3 pupae on lid tub-2: m4 to m6"
    assert soft == "soft until the end of Mon 5 Jul: not to be touched before"
    assert due.startswith("due Wed 14 Jul; 9 in 10 emerge from ")
    assert rest == [
        "Without a point such as 12,5 each counts as a neighbour of everybody on its lid.",
        "Next: hangplan plan porch",
    ]
    row = ",2027-07-04,tub-2,,\n"
    assert world.read("pupae.csv") == PUPAE + "".join(f"m{n}{row}" for n in (4, 5, 6))


def test_points_species_and_note_are_written_with_the_columns_they_need(world):
    said = world.call(
        "add", "--pupated", "2027-07-04T14:30", "--lid", "TUB-2", "--at", "20,5", "--at", "30.5,6",
        "--species", "Painted-Lady", "--note", "from nettles, two",
    )  # fmt: skip
    assert said.code == 0
    assert world.read("pupae.csv") == (
        "id,pupated,place,x,y,species,note\n"
        "m1,2027-07-01,tub-2,5,5,,\n"
        "m2,2027-07-01,tub-2,8,5,,\n"
        "m3,2027-07-03,tub-3,5,5,,\n"
        'p4,2027-07-04T14:30,tub-2,20,5,painted-lady,"from nettles, two"\n'
        'p5,2027-07-04T14:30,tub-2,30.5,6,painted-lady,"from nettles, two"\n'
    )


def test_one_pupa_is_meant_where_no_number_is_given(world):
    assert world.call("add", "--pupated", "2027-07-04", "--lid", "tub-2").out.startswith("recorded 1 pupa on")


def test_a_prepupa_has_no_date_yet(world):
    said = world.call("add", "--prepupa", "--lid", "tub-2", "--at", "20,20")
    assert said.out == (
        "recorded 1 pupa on lid tub-2: m4\n"
        "prepupa, hanging in a J: not to be touched; 'hangplan mark m4 pupated porch'\n"
        "  once its skin is shed\n"
        "Next: hangplan plan porch\n"
    )
    assert world.read("pupae.csv").endswith("\nm4,,tub-2,20,20\n")


def test_a_firm_one_that_is_past_its_time_is_doubted(world):
    lines = world.call("add", "--pupated", "2027-06-01", "--lid", "tub-2").out.splitlines()
    assert lines[1] == "firm since Thu 3 Jun"
    assert lines[3] == "that is past already: look at them, and whether the date is right"


def test_points_are_in_the_season_s_unit(world):
    world.write("season.yaml", SETTINGS.replace("timezone", "units: in\ntimezone"))
    assert world.call("add", *THREE[:4], "--at", "30,20", "--json").data["added"][0]["x"] == pytest.approx(
        76.2
    )
    assert world.read("pupae.csv").endswith("\nm4,2027-07-04,tub-2,30,20\n")
    said = world.call("add", *THREE[:4], "--at", "41,20")
    assert said.err == "--at: 41 in is not on lid tub-2: 0 to 40 in\n"


def test_a_table_with_decimal_commas_stays_one(world):
    world.write("pupae.csv", "id;pupated;place;x;y;my notes\nm1;2027-07-01;tub-2;5,5;5;=A1\n")
    assert world.call("add", *THREE[:4], "--at", "20.5,5").code == 0
    assert world.read("pupae.csv") == (
        "id;pupated;place;x;y;my notes\nm1;2027-07-01;tub-2;5,5;5;=A1\nm2;2027-07-04;tub-2;20,5;5;\n"
    )


def test_a_season_without_pupae_csv_gets_one(world):
    (world.folder / "pupae.csv").unlink()
    assert world.call("add", *THREE).code == 0
    assert world.read("pupae.csv").splitlines()[1] == "m1,,2027-07-04,tub-2,,,,,,,,,"


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (("--pupated", "2027-07-04", "--prepupa", "--lid", "tub-2"),
         "give either a date or, for one still hanging in a J, --prepupa"),
        (("--pupated", "2027-07-04"), "which lid? Name it: hangplan add porch 3 tub-2"),
        (("--pupated", "2027-02-30", "--lid", "tub-2"), "--pupated: '2027-02-30': there is no such day"),
        (("--pupated", "3.7.2027", "--lid", "tub-2"),
         '--pupated: "3.7.2027" could be 3 July or 7 March: write 2027-07-03 or 2027-03-07, '
         "or set date_style: us or eu in season.yaml"),
        (("--pupated", "1027-07-04", "--lid", "tub-2"),
         "--pupated: '1027-07-04': the year must be 1990 to 2200"),
        ((*THREE[:4], "--count", "0"), "--count: 0: allowed is 1 to 5000"),
        ((*THREE[:4], "--count", "5001"), "--count: 5001: allowed is 1 to 5000"),
        ((*THREE, "--at", "12,5"), "--at: given 1 times for --count 3: give one point for each, or none"),
        ((*THREE[:4], "--at", "12;5"), "--at: '12;5' is" + NO_POINT),
        ((*THREE[:4], "--at", "12"), "--at: '12' is" + NO_POINT),
        ((*THREE[:4], "--at", "nan,5"), "--at: 'nan,5' is" + NO_POINT),
        ((*THREE[:4], "--at", "12,5", "--at", "12,5"), "--at: 12,5 is given twice"),
        ((*THREE[:4], "--note", "two\nlines"), "--note: write one line of at most 500 visible characters"),
    ],
)  # fmt: skip
def test_a_wrong_call_is_refused(world, args, message):
    before = world.files()
    said = world.call("add", *args)
    assert (said.code, said.out, said.err) == (2, "", message + "\n")
    assert world.files() == before


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (("--lid", "tub3"), "--lid: there is no lid 'tub3' (did you mean 'tub-3'?)"),
        (("--lid", "box"), "--lid: there is no lid 'box': lids are tub-2, tub-3"),
        (("--lid", "north"), "--lid: north is a line; lids are tub-2, tub-3"),
        (("--lid", "tub-2", "--at", "41,5"), "--at: 41 cm is not on lid tub-2: 0 to 40 cm"),
        (("--lid", "tub-2", "--at", "5,-1"), "--at: -1 cm is not on lid tub-2: 0 to 28 cm"),
        (("--lid", "tub-2", "--at", "8,5"), "--at: m2 in row 3 hangs there already"),
        (("--lid", "tub-2", "--species", "monark"),
         "--species: 'monark' is not a known species (did you mean 'monarch'?); "
         "more can be given under profiles: in season.yaml"),
    ],
)  # fmt: skip
def test_what_the_season_does_not_allow_is_refused_once_and_nothing_is_written(world, args, message):
    before = world.files()
    # Several pupae with one fault: it is told once.
    said = world.call("add", "--pupated", "2027-07-04", *args, *(() if "--at" in args else ("--count", "2")))
    assert (said.code, said.out, said.err) == (1, "", message + "\n")
    assert world.files() == before


def test_a_refused_call_uses_up_no_id(world):
    world.call("add", *THREE[:4], "--at", "41,5")
    assert "m4" in world.call("add", *THREE[:4]).out.splitlines()[0]


def test_all_that_speaks_against_it_is_told_together(world):
    said = world.call("add", *THREE[:4], "--at", "41,29", "--species", "monark")
    assert said.err.splitlines() == [
        "--species: 'monark' is not a known species (did you mean 'monarch'?); more can be given under "
        "profiles: in season.yaml",
        "--at: 41 cm is not on lid tub-2: 0 to 40 cm",
        "--at: 29 cm is not on lid tub-2: 0 to 28 cm",
    ]


def test_a_date_to_come_is_refused_and_today_is_not(world):
    said = world.call("add", "--pupated", "2027-07-06", "--lid", "tub-2")
    assert (said.code, said.err) == (
        1,
        "--pupated: 6 Jul is still to come: now is Mon 5 Jul 08:00 (--on)\n",
    )
    said = world.call("add", "--pupated", "2027-07-05T08:01", "--lid", "tub-2")
    assert said.err == "--pupated: 5 Jul 08:01 is still to come: now is Mon 5 Jul 08:00 (--on)\n"
    assert world.call("add", "--pupated", "2027-07-05", "--lid", "tub-2").code == 0


def test_now_is_by_the_season_s_own_clock(world):
    said = world.call("add", "--pupated", "2199-01-01", "--lid", "tub-2", on=None)
    assert said.err.startswith("--pupated: 1 Jan 2199 is still to come: now is ")
    assert said.err.endswith("(time zone Europe/Lisbon)\n")


def test_faults_that_are_in_the_files_already_come_first(world):
    world.write("season.yaml", SETTINGS.replace("clips_every: 4", "clips_every: four"))
    world.write("pupae.csv", PUPAE.replace("tub-3", "tub-4"))
    said = world.call("add", *THREE)
    assert said.code == 1
    assert said.err.splitlines() == [
        "pupae.csv:4:15: m3: place: there is no place 'tub-4': places are north, tub-2, tub-3",
        "season.yaml:6:57: places[0].clips_every: 'four' is not a number of cm",
    ]


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (
            b"",
            "pupae.csv: the file is empty: its first line must name the columns, at least id, pupated, place",
        ),
        (
            b'id,pupated,place,x,y\nm1,2027-07-01,"tub-2,5,5\n',
            "pupae.csv:2:15: this double quote is never closed",
        ),
    ],
)
def test_an_empty_or_half_written_file_is_told_and_left(world, content, message):
    world.write("pupae.csv", content)
    said = world.call("add", *THREE)
    assert (said.code, said.err) == (1, message + "\n")
    assert world.read("pupae.csv").encode() == content


def test_a_full_disk_is_told_and_loses_nothing(world, monkeypatch):
    monkeypatch.setattr(Store, "write", full_disk)
    said = world.call("add", *THREE)
    assert (said.code, said.out) == (1, "")
    assert said.err == "porch/pupae.csv: cannot be written: No space left on device. Nothing was changed\n"
    assert world.read("pupae.csv") == PUPAE


def test_a_file_saved_by_another_program_meanwhile_is_not_written_over(world, monkeypatch):
    real = Store.write

    def late(self, name, data, expect):
        world.write("pupae.csv", PUPAE + "m9,2027-07-01,tub-2,,\n")
        real(self, name, data, expect)

    monkeypatch.setattr(Store, "write", late)
    said = world.call("add", *THREE)
    assert said.code == 1
    assert (
        said.err
        == "porch/pupae.csv: somebody else has changed it meanwhile: nothing was written, try again\n"
    )
    assert world.read("pupae.csv").endswith("m9,2027-07-01,tub-2,,\n")


def test_two_thousand_rows_take_another_three(world):
    world.write("pupae.csv", PUPAE + "".join(f"m{n},2027-07-01,tub-2,,\n" for n in range(4, 2001)))
    assert world.call("add", *THREE).out.startswith("recorded 3 pupae on lid tub-2: m2001 to m2003\n")
    assert world.read("pupae.csv").count("\n") == 1 + 2003


@pytest.mark.usefixtures("world")
def test_a_folder_that_is_no_season_is_told_and_left_empty():
    Path("empty").mkdir()
    said = call("add", "empty", *THREE)
    assert said.code == 1
    assert said.err == (
        "season.yaml: there is no season in empty: 'hangplan new FOLDER' writes one to start from\n"
    )
    assert list(Path("empty").iterdir()) == []


def test_add_for_programs(world):
    added = world.call("add", *THREE[:4], "--at", "20,5", "--json").data["added"]
    low, high = added[0].pop("low"), added[0].pop("high")
    assert "2027-07-13" < low < "2027-07-14T12:00" < high < "2027-07-16"
    assert added == [
        {
            "id": "m4", "species": "monarch", "pupated": "2027-07-04", "place": "tub-2", "x": 20.0, "y": 5.0,
            "firm_from": "2027-07-06T00:00:00", "due": "2027-07-14T12:00",
        }
    ]  # fmt: skip


def test_a_refusal_for_programs(world):
    said = world.call("add", *THREE[:4], "--at", "41,5", "--json")
    assert (said.code, said.err) == (1, "")
    what = "--at: 41 cm is not on lid tub-2: 0 to 40 cm"
    assert said.data == {"problems": [{"file": None, "line": 0, "column": 0, "where": "", "what": what}]}
