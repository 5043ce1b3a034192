"""Adding as quickly as writing a card: words without options, a drawn lid, a keeper's own table."""

from pathlib import Path

import pytest
from cli_world import PUPAE, SETTINGS, call, full_disk
from typer.testing import CliRunner

from planner.cli.app import app
from planner.cli.shell.completion import complete_add, complete_mark, complete_place, complete_pupa
from planner.season import Store

# tub-3 is 40 x 28 cm: 4 columns of 10 cm and 2 rows of 14 cm, so the middles are x 5, 15, 25, 35 and y 21, 7.
SKETCH = """\
lid: tub-3
a = 2027-07-02
b = 2027-07-04T14:30
. a . .
. . . b
"""


def rows(world):
    return world.read("pupae.csv").removeprefix(PUPAE).splitlines()


def test_a_count_and_a_lid_are_enough_and_mean_today(world):
    said = world.call("add", "3", "tub-2")
    assert (said.code, said.err) == (0, "")
    assert said.out.startswith(
        "recorded 3 pupae on lid tub-2: m4 to m6\nsoft until the end of Tue 6 Jul: not to"
    )
    assert rows(world) == [f"m{n},2027-07-05,tub-2,," for n in (4, 5, 6)]


def test_points_and_yesterday_are_words_too_in_any_order(world):
    assert world.call("add", "12,5", "tub-2", "yesterday", "14.5,5").code == 0
    assert rows(world) == ["m4,2027-07-04,tub-2,12,5", "m5,2027-07-04,tub-2,14.5,5"]


def test_the_season_one_stands_in_needs_no_name(world, monkeypatch):
    monkeypatch.chdir(world.folder)
    said = call("add", "2", "tub-2", "2027-07-04", "--on", "2027-07-05")
    assert said.out.startswith("recorded 2 pupae on lid tub-2: m4, m5\n")
    assert said.out.endswith("Next: hangplan plan\n")


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (("3", "4", "tub-2"), "'4': how many is given twice; a lid of that name is --lid 4"),
        (("tub-2", "3.7.2027"),
         '"3.7.2027" could be 3 July or 7 March: write 2027-07-03 or 2027-03-07, '
         "or set date_style: us or eu in season.yaml"),
        (("tub-2", "today", "yesterday"), "'yesterday': a second date; one call records pupae of one date"),
        (("tub-2", "tub-3"),
         "'tub-3': one call records pupae on one lid; expected are season, count, lid, date"),
        (("2", "tub-2", "--count", "3"), "--count 3 and 2: say once how many"),
        (("tub-2", "--dates", "DD/MM/YYYY"),
         "--columns and --dates say how to read a table: give it with --csv FILE"),
        (("3", "--sketch", "lid.txt"), "--sketch says how many there are and where: leave that out here"),
        (("--sketch", "lid.txt", "--csv", "mine.csv"), "give either --sketch or --csv"),
    ],
)  # fmt: skip
def test_words_that_make_no_sense_together_are_a_wrong_call(world, args, message):
    said = world.call("add", *args)
    assert (said.code, said.out, said.err) == (2, "", message + "\n")
    assert world.read("pupae.csv") == PUPAE


def test_a_dry_run_writes_nothing_and_uses_up_no_id(world):
    before = world.files()
    said = world.call("add", "3", "tub-2", "--dry-run")
    assert said.out.startswith("would record 3 pupae on lid tub-2\n")
    assert said.out.endswith("\nnothing was written: the same without --dry-run records them\n")
    assert world.files() == before
    assert world.call("add", "tub-2").out.startswith("recorded 1 pupa on lid tub-2: m4\n")


def test_one_typed_close_to_another_is_doubted(world):
    said = world.call("add", "tub-2", "5.5,5")  # m1 hangs at 5,5
    assert (said.code, said.err) == (0, "--at 5.5,5: m1 is recorded within 1 cm: is it the same?\n")


def test_a_number_recorded_again_without_points_is_doubted(world):
    world.call("add", "3", "tub-2")
    said = world.call("add", "3", "tub-2")
    assert said.err == (
        "tub-2 has 3 of 5 Jul already, not measured either: if these are the same,\n"
        "'hangplan undo porch' takes them back\n"
    )
    world.call("add", "tub-2", "--prepupa")
    assert world.call("add", "tub-2", "--prepupa").err.startswith(
        "tub-2 has 1 still in a J already, not measured either: if these"
    )


def test_a_drawn_lid_is_recorded_with_points_and_dates(world):
    Path("lid.txt").write_text(SKETCH)
    said = world.call("add", "--sketch", "lid.txt")
    assert (said.code, said.err) == (0, "")
    assert said.out.splitlines()[:3] == [
        "recorded 2 pupae on lid tub-3: m4, m5",
        "  m4  tub-3  firm since Sun 4 Jul        due Mon 12 Jul",
        "  m5  tub-3  soft until Mon 5 Jul 14:30  due Wed 14 Jul",
    ]
    assert rows(world) == ["m4,2027-07-02,tub-3,15,21", "m5,2027-07-04T14:30,tub-3,35,7"]


def test_a_lid_drawn_again_records_only_who_is_new(world):
    Path("lid.txt").write_text(SKETCH)
    world.call("add", "--sketch", "lid.txt")
    # m3 was measured at 5,5, in the piece where x is drawn now: with a date of its own x is another one.
    Path("lid.txt").write_text(SKETCH.replace(". . . b", "x . . b") + "x = 2027-07-05\n")
    said = world.call("add", "--sketch", "lid.txt")
    assert said.out.splitlines()[:2] == [
        "on record already, and left as they are: m4, m5",
        "recorded 1 pupa on lid tub-3: m6",
    ]
    assert rows(world)[2] == "m6,2027-07-05,tub-3,5,7"
    assert world.call("add", "--sketch", "lid.txt").out == (
        "on record already, and left as they are: m4 to m6\nnobody new: nothing was written\n"
        "Next: hangplan plan porch\n"
    )


def test_a_lid_drawn_again_in_another_grid_is_asked_back(world):
    Path("lid.txt").write_text(SKETCH)
    world.call("add", "--sketch", "lid.txt")
    Path("lid.txt").write_text(SKETCH.replace(". a . .", ". a . . .").replace(". . . b", ". . . b ."))
    said = world.call("add", "--sketch", "lid.txt")  # five columns of 8 cm: x is 12 and 28, not 15 and 35
    assert (said.code, said.out) == (1, "")
    assert said.err == (
        "tub-3: 0 new, 2 letters unclear: nothing was recorded\n"
        "lid.txt:4:2 (of 2027-07-02): may be m4, recorded on tub-3\n"
        "lid.txt:5:4 (of 2027-07-04): may be m5, recorded on tub-3\n"
        "delete the letters of those on record. If all these are new, --anyway records them as drawn\n"
    )
    assert len(rows(world)) == 2
    assert world.call("add", "--sketch", "lid.txt", "--anyway").out.startswith(
        "recorded 2 pupae on lid tub-3: m6, m7\n"
    )


def test_an_x_is_asked_back_where_nobody_drawn_is_known_and_each_who_is_missing_may_be_one(world):
    Path("lid.txt").write_text(". . x .\n. . . x\n")  # 25,21 and 35,7; m1 and m2 are at 5,5 and 8,5
    assert world.call("add", "tub-2", "--sketch", "lid.txt", "--dry-run").err == (
        "tub-2: 0 new, 2 letters unclear: nothing was recorded\n"
        "lid.txt:1:3 and 1 more letter (x): may be m1, m2, recorded on tub-2\n"
        "delete the letters of those on record; where x is new, write its date above (x = 2027-07-03). "
        "If all these are new, --anyway records them as drawn\n"
    )
    Path("lid.txt").write_text(". . x .\n. . . .\n")
    assert world.call("add", "tub-2", "--sketch", "lid.txt").err == ""  # one cannot be both


def test_another_date_drawn_for_one_on_record_is_refused(world):
    Path("lid.txt").write_text(SKETCH)
    world.call("add", "--sketch", "lid.txt")
    Path("lid.txt").write_text(SKETCH.replace("2027-07-02", "2027-07-03"))
    said = world.call("add", "--sketch", "lid.txt")
    assert (said.code, said.err) == (
        1,
        "lid.txt:4:2: m4 is recorded there as pupated 2 Jul: mend one of the two\n",
    )


def piped(text, *args):
    done = CliRunner().invoke(app, ["add", "porch", *args, "--on", "2027-07-05"], input=text)
    return done.exit_code, done.stdout, done.stderr


def test_a_sketch_comes_from_a_pipe_as_yaml_too(world):
    text = "lid: tub-3\ndates:\n  a: 2027-07-02\n  j: prepupa\nsketch: |\n  .a..\n  ...j\n"
    code, _, err = piped(text, "--sketch", "-")
    assert (code, err) == (0, "")
    assert rows(world) == ["m4,2027-07-02,tub-3,15,21", "m5,,tub-3,35,7"]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "stdin: there is no sketch in it: write the lid in rows of dots, "
         "with a letter for each pupa"),
        ("...\n...\n", "stdin:1:1: the grid is empty: write a letter for each pupa"),
        ("x..\n..\n", "stdin:2:1: has 2 pieces, line 1 has 3: all rows must be equally long"),
        ("x..\n ..x\n",
         "stdin:2:1: begins further left or right than line 1: an empty piece is written as a dot"),
        ("x\t.\n", "stdin:1:2: a tab has no certain width: write one dot for each empty piece"),
        ("x  .\n", "stdin:1:2: ' ': an empty piece is written as a dot"),
        ("x..\n\n..x\n", "stdin:3:1: the grid is interrupted in line 2: write an empty row in dots"),
        ("a.\n", "stdin:1:0: 'a' has no date: add a line a = 2027-07-03, or draw x for the date of the call"),
        ("a = 3.7.2027\na.\n",
         'stdin:1:1: a: "3.7.2027" could be 3 July or 7 March: write 2027-07-03 or 2027-03-07, '
         "or set date_style: us or eu in season.yaml, or prepupa"),
        ("a = 2027-07-03\nx.\n", "stdin: 'a' has a date but is not in the grid"),
        ("tub: tub-2\nx.\n",
         "stdin:1:1: 'tub' is neither one letter nor one of lid, species, note, dates, sketch"),
        ("a = 2027-07-09\na.\n", "stdin:2:1: 9 Jul is still to come: now is Mon 5 Jul 12:00 (--on)"),
    ],
)  # fmt: skip
def test_a_faulty_sketch_is_told_with_its_line_and_nothing_is_written(world, text, message):
    code, out, err = piped(text, "tub-2", "--sketch", "-")
    assert (code, out, err) == (1, "", message + "\n")
    assert world.read("pupae.csv") == PUPAE


TABLE = "Formed;Tub;Left cm;Up cm\n03/07/2027;tub-3;20,5;9\n04/07/2027;TUB-3;30;9\n"


def test_a_table_of_any_names_is_read_once_told_and_then_remembered(world):
    Path("mine.csv").write_bytes(b"\xef\xbb\xbf" + TABLE.encode())
    told = ("--columns", "Formed=pupated,Tub=place,Left cm=x,up cm=y", "--dates", "DD/MM/YYYY")
    assert world.call("add", "--csv", "mine.csv", *told).code == 0
    assert rows(world) == ["m4,2027-07-03,tub-3,20.5,9", "m5,2027-07-04,tub-3,30,9"]
    Path("mine.csv").write_text(TABLE + "05/07/2027;tub-3;10;20\n")
    said = world.call("add", "--csv", "mine.csv")
    assert said.out.startswith("on record already, and left as they are: m4, m5\nrecorded 1 pupa on lid")
    assert rows(world)[2] == "m6,2027-07-05,tub-3,10,20"


def test_a_date_that_could_be_read_in_two_ways_is_refused(world):
    code, _, err = piped(TABLE, "--csv", "-", "--columns", "Formed=pupated,Tub=place")
    style = "or set date_style: us or eu in season.yaml"
    assert (code, err) == (
        1,
        'stdin:2:0: Formed: "03/07/2027" could be 3 July or 7 March: write 2027-07-03 or 2027-03-07, '
        f"{style}\n"
        'stdin:3:0: Formed: "04/07/2027" could be 4 July or 7 April: write 2027-07-04 or 2027-04-07, '
        f"{style}\n",
    )
    assert world.read("pupae.csv") == PUPAE


@pytest.mark.parametrize(
    ("style", "day"),
    [("eu", "02/07/2027"), ("us", "7/2/27"), ("iso", "2 July 2027"), ("us", "Jul 2, 2027 8 pm")],
)
def test_a_column_of_days_is_read_as_days_are_typed(world, style, day):
    world.write("season.yaml", f"date_style: {style}\n" + SETTINGS)
    assert piped(f"Formed;Tub\n{day};tub-3\n", "--csv", "-", "--columns", "Formed=pupated,Tub=place")[0] == 0
    assert rows(world) == [f"m4,2027-07-02{'T20:00' if day.endswith('pm') else ''},tub-3,,"]


@pytest.mark.parametrize("day", ["Mon", "3 days ago", "yesterday", "21:30"])
def test_days_that_depend_on_when_they_were_written_are_not_read_from_a_table(world, day):
    code, _, err = piped(f"Formed;Tub\n{day};tub-3\n", "--csv", "-", "--columns", "Formed=pupated,Tub=place")
    assert (code, err) == (
        1,
        f"stdin:2:0: Formed: '{day}' is not a date: write 2027-07-03 or 2027-07-03T14:30\n",
    )
    assert world.read("pupae.csv") == PUPAE


@pytest.mark.usefixtures("world")
def test_columns_are_guessed_by_what_stands_in_them_but_not_taken_unasked():
    code, _, err = piped("When it hung;Kept in\n2027-07-03;tub-3\n", "--csv", "-")
    assert (code, err) == (
        1,
        "stdin: is this what its columns mean? Then say so once: "
        '--columns "When it hung=pupated,Kept in=place"\n',
    )


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "stdin: the file is empty: its first line must name the columns"),
        ("pupated,place\n", "stdin: there is no row below the names of the columns"),
        ("pupated,place\n2027-02-30,tub-3\n", "stdin:2:0: pupated: '2027-02-30': there is no such day"),
        ("pupated,place\n2027-07-03,tub-9\n", "stdin:2:0: there is no lid 'tub-9': lids are tub-2, tub-3"),
        ("pupated,place\n2027-07-03,tub-3,5\n", "stdin:2:0: has 3 cells, the first line names 2 columns"),
        ("pupated,place,x,y\n2027-07-03,tub-3,five,5\n", "stdin:2:0: x: 'five' is not a number"),
        ("pupated,place,x,y\n2027-07-03,tub-3,41,5\n", "stdin:2:0: x: 41 cm is not on lid tub-3: 0 to 40 cm"),
        ("pupated,place,count\n2027-07-03,tub-3,0\n",
         "stdin:2:0: count: 0: allowed is a whole number from 1 to 5000"),
        ("pupated,place,x,y\n2027-07-03,tub-3,9,9\n2027-07-03,tub-3,9,9\n",
         "stdin:3:0: the same point as in stdin:2:0"),
    ],
)  # fmt: skip
def test_a_faulty_table_is_told_with_its_line_and_nothing_is_written(world, text, message):
    code, out, err = piped(text, "--csv", "-")
    assert (code, out, err) == (1, "", message + "\n")
    assert world.read("pupae.csv") == PUPAE


@pytest.mark.usefixtures("world")
def test_ten_thousand_rows_are_taken_and_one_more_is_not():
    row = "2027-07-02,tub-3\n"  # nobody of that day is on record
    code, _, err = piped("pupated,place\n" + row * 10_001, "--csv", "-")
    assert (code, err) == (1, "stdin: 10001 pupae: allowed are 10000 in one go\n")
    code, out, _ = piped("pupated,place\n" + row * 10_000, "--csv", "-")
    assert (code, out.splitlines()[0]) == (0, "recorded 10000 pupae on lid tub-3: m4 to m10003")


def test_a_shell_is_offered_lids_ids_and_words(world, monkeypatch):
    monkeypatch.chdir(world.folder)
    assert complete_add("tub") == ["tub-2", "tub-3"]
    assert complete_pupa("m") == ["m1", "m2", "m3"]
    assert complete_mark("da") == ["darkening"]
    assert complete_place("n") == ["north"]


@pytest.mark.parametrize(
    ("typed", "last", "offered"),
    [
        ("done", "m", "m1"),
        ("mark", "emer", "emerged"),
        ("tags --pupa", "m", "m1"),
        ("done m1 --to", "n", "north"),
    ],
)
def test_the_shell_asks_the_command_that_is_being_typed(typed, last, offered, world, monkeypatch):
    monkeypatch.chdir(world.folder)
    words = f"hangplan {typed} {last}"
    asked = {"_HANGPLAN_COMPLETE": "complete_bash", "COMP_WORDS": words, "COMP_CWORD": str(words.count(" "))}
    said = CliRunner().invoke(app, [], prog_name="hangplan", env=asked)
    assert offered in said.stdout.split()


def test_columns_are_not_remembered_where_the_rows_could_not_be_written(world, monkeypatch, tmp_path):
    table = tmp_path / "mine.csv"
    table.write_text("Date,Tub\n2027-07-04,tub-2\n")
    monkeypatch.setattr(Store, "_commit", lambda store: full_disk(store, "pupae.csv"))
    said = world.call("add", "--csv", str(table), "--columns", "Date=pupated,Tub=place")
    assert said.code == 1
    assert not (world.folder / ".hangplan" / "columns.json").exists()


def test_where_columns_cannot_be_kept_it_is_told_that_the_pupae_are_recorded(world, tmp_path):
    """Or they would be entered again."""
    table = tmp_path / "mine.csv"
    table.write_text("Date,Tub\n2027-07-04,tub-2\n")
    kept = world.folder / ".hangplan" / "columns.json"
    kept.mkdir(parents=True)
    said = world.call("add", "--csv", str(table), "--columns", "Date=pupated,Tub=place")
    assert (said.code, said.err) == (
        0,
        "recorded, but what the columns mean could not be kept for the next table: "
        "porch/.hangplan/columns.json: cannot be written: Is a directory\n",
    )
    assert rows(world) == ["m4,2027-07-04,tub-2,,"]


def test_damaged_files_offer_nothing_and_raise_nothing(world, monkeypatch):
    world.write("season.yaml", b"\xff\xfe\x00")
    world.write("pupae.csv", b'"\x00')
    monkeypatch.chdir(world.folder)
    assert complete_add("tub") == complete_pupa("") == []
