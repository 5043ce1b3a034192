"""``take``: what a phone wrote down is recorded once, wholly or not at all."""

import subprocess
import sys
from datetime import datetime
from pathlib import Path

import pytest
from cli_world import PUPAE, SETTINGS, call, full_disk
from slip_world import event, marked, moved, recorded, slip
from test_done import rows

from planner.season import Move, Plan, Store
from planner.season.plan import plan_file
from planner.season.season_id import season_id

EVENING = "2027-07-05T21:00"


def take(*words, on=EVENING):
    return call("take", *words, "--on", on)


def put(*events, name="slip.txt", **more):
    Path(name).write_text(slip(*events, **more), encoding="utf-8")
    return name


def evening():
    """Two newcomers, of one of whom something is noted, and two moves."""
    new = recorded("tub-2", "2027-07-05T20:10", x="20", y="20", pupated="2027-07-05")
    return [
        new,
        recorded("tub-2", "2027-07-05T20:12", pupated="2027-07-04"),
        moved("m2", "north", "4", "2027-07-05T20:20"),
        moved("m3", "north", "40", "2027-07-05T20:22"),
        event("noted", "2027-07-05T20:25", pupa=f"+{new['id']}", note="small"),
    ]


def test_an_evening_is_recorded_and_told(world):
    world.plan()
    said = take(put(*evening()), "porch")
    assert (said.code, said.err) == (0, "")
    assert said.out == (
        "taken: 5 events of phone phone1, written down Mon 5 Jul 20:10 to 20:25\n"
        "recorded 2 pupae on lid tub-2: m4, m5\n"
        "hung: m2 at north 4 cm, m3 at north 40 cm\n"
        "noted of: m4\n"
        "lid tub-3 is empty\n"
        "Next: hangplan plan porch\n"
    )
    assert rows(world) == {
        "m1": {"id": "m1", "pupated": "2027-07-01", "place": "tub-2", "x": "5", "y": "5"},
        "m2": {"id": "m2", "pupated": "2027-07-01", "place": "north", "spot": "4",
               "hung": "2027-07-05T20:20", "formed_at": "tub-2 8 5"},
        "m3": {"id": "m3", "pupated": "2027-07-03", "place": "north", "spot": "40",
               "hung": "2027-07-05T20:22", "formed_at": "tub-3 5 5"},
        "m4": {"id": "m4", "pupated": "2027-07-05", "place": "tub-2", "x": "20", "y": "20", "note": "small"},
        "m5": {"id": "m5", "pupated": "2027-07-04", "place": "tub-2"},
    }  # fmt: skip


def test_the_same_rules_make_the_same_record_as_the_commands(world):
    world.plan()
    at = "2027-07-05T20:20"
    take(put(moved("m2", "north", "4", at), marked("m1", "failed", at)), "porch")
    by_slip = rows(world)
    call("undo", "porch")
    assert world.read("pupae.csv") == PUPAE
    call("done", "m2", "porch", "--on", at)
    call("mark", "m1", "failed", "porch", "--on", at)
    assert rows(world) == by_slip


def test_taken_again_it_changes_nothing_and_undo_takes_the_memory_of_it_back_too(world):
    name = put(*evening())
    take(name, "porch")
    after = world.files()
    said = take(name, "porch")
    assert (said.code, said.out) == (0, "nothing new: 5 events are taken already\n")
    assert world.files() == after
    call("undo", "porch")
    assert set(world.files()) == {"season.yaml", "pupae.csv"}
    assert take(name, "porch").out.startswith("taken: 5 events")
    call("undo", "porch")
    assert call("undo", "porch", "--redo").code == 0
    assert take(name, "porch").out == "nothing new: 5 events are taken already\n"


def test_a_dry_run_says_it_and_writes_nothing(world):
    before = world.files()
    said = take(put(*evening()), "porch", "--dry-run")
    assert said.code == 0
    assert said.out.splitlines() == [
        "would take: 5 events of phone phone1, written down Mon 5 Jul 20:10 to 20:25",
        "would record 2 pupae on lid tub-2",
        "hung: m2 at north 4 cm, m3 at north 40 cm",
        "noted of: 1 newcomer",
        "lid tub-3 is empty",
        "nothing was written: the same without --dry-run records it",
    ]
    assert world.files() == before
    take("slip.txt", "porch")
    assert "m4" in rows(world)  # no id was used up


def test_two_phones_that_hung_two_on_one_spot_are_told_and_nothing_is_taken(world):
    take(put(moved("m2", "north", "8", "2027-07-05T20:20")), "porch")
    before = world.files()
    said = take(
        put(moved("m3", "north", "8", "2027-07-05T20:21"), moved("m1", "north", "20"), device="phone2"),
        "porch",
    )
    assert (said.code, said.out) == (1, "")
    assert said.err == (
        "m3: north 8 cm is taken: m2 hangs there (phone phone2, Mon 5 Jul 20:21)\n"
        "nothing was taken. Look at the rack; 'hangplan done PUPA porch --to PLACE SPOT' records where one "
        "hangs, and --without PUPA takes the rest\n"
    )
    assert world.files() == before
    said = take("slip.txt", "porch", "--without", "M3")
    assert said.err == "note: left out, as you say: m3\n"
    assert [rows(world)[name].get("spot") for name in ("m1", "m2", "m3")] == ["20", "8", None]
    assert take("slip.txt", "porch").out == "nothing new: 2 events are taken already\n"


def test_what_is_hung_elsewhere_and_clashes_and_what_is_hardly_possible_is_noted(world):
    said = take(put(moved("m1", "north", "4"), moved("m2", "north", "8")), "porch")
    assert (said.code, said.err.splitlines()) == (0, [
        "note: m1 and m2 clash: they hang 4 cm apart, due less than 2 days apart",
    ])  # fmt: skip
    said = take(put(marked("m3", "emerged", "2027-07-05T20:00")), "porch")
    assert said.err.startswith("note: m3 was due Tue 13 Jul; emerged on 5 Jul 20:00 is 8 days early: ")


def test_where_a_sick_one_hung_is_told_as_closed(world):
    said = take(put(marked("m1", "parasitised", "2027-07-05T20:00")), "porch")
    assert "closed until cleaned: lid tub-2 (m1); then 'hangplan mark m1 cleaned porch'" in said.out


def test_two_that_change_places_are_no_conflict(world):
    take(put(moved("m1", "north", "4"), moved("m2", "north", "8")), "porch")
    said = take(
        put(moved("m1", "north", "8", "2027-07-05T20:30"), moved("m2", "north", "4", "2027-07-05T20:31")),
        "porch",
    )
    assert said.code == 0
    assert [rows(world)[name]["spot"] for name in ("m1", "m2")] == ["8", "4"]


def test_a_move_that_comes_late_does_not_undo_a_later_one(world):
    call("done", "m2", "porch", "--to", "north", "12", "--on", "2027-07-05T20:40")
    said = take(put(moved("m2", "north", "8", "2027-07-05T20:20")), "porch")
    assert (said.code, said.err) == (0, "note: m2: was hung at north 8 cm too, but later elsewhere\n")
    assert rows(world)["m2"]["spot"] == "12"


def test_a_later_move_tells_where_one_was_recorded_unless_the_plan_takes_it_from_there(world):
    call("done", "m2", "porch", "--to", "north", "12", "--on", "2027-07-05T20:10")
    name = put(moved("m2", "north", "8", "2027-07-05T20:20"))
    assert take(name, "porch", "--dry-run").err == "note: m2 is recorded at north 12 cm\n"
    said = take(name, "porch")
    assert said.code == 0
    told = "note: m2 was recorded at north 12 cm: 'hangplan undo porch' takes all of this back"
    assert " ".join(said.err.split()) == told
    assert rows(world)["m2"]["spot"] == "8"
    step = Move(
        step=1, pupa="m2", from_place="north", from_spot="8", to_place="north", to_spot="40",
        not_before=datetime(2027, 7, 5), not_after=datetime(2027, 7, 9),
    )  # fmt: skip
    plan = Plan(on=datetime(2027, 7, 5, 20, 25), gap_days=2, hangs=(), moves=(step,))
    Path("porch", plan_file.FILE).write_bytes(plan_file.dump(plan))
    assert take(put(moved("m2", "north", "40", "2027-07-05T20:30"), name="more.txt"), "porch").err == ""


def test_who_was_not_to_be_touched_is_refused_unless_it_was_done_anyway(world):
    # m3, pupated 3 July, is soft until the 4th is over.
    name = put(moved("m3", "north", "8", "2027-07-04T12:00"))
    said = take(name, "porch")
    assert said.code == 1
    assert said.err.splitlines()[0] == (
        "m3: is soft until the end of Sun 4 Jul, and 4 Jul 12:00 is before that "
        "(phone phone1, Sun 4 Jul 12:00)"
    )
    said = take(name, "porch", "--anyway")
    assert said.code == 0
    assert rows(world)["m3"]["spot"] == "8"
    assert "may be harmed" in " ".join(said.err.split())


def test_what_is_taken_back_on_the_phone_is_as_if_it_had_never_been(world):
    move = moved("m2", "north", "8")
    new = recorded("tub-2", x="20", y="20", pupated="2027-07-05")
    take(put(move, new), "porch")
    said = take(put(move, event("taken back", of=move["id"]), event("taken back", of=new["id"])), "porch")
    assert (said.code, said.err.splitlines()[0]) == (0, "note: 1 event was taken before")
    assert {name: sorted(row) for name, row in rows(world).items()} == {
        name: ["id", "place", "pupated", "x", "y"] for name in ("m1", "m2", "m3")
    }


def test_what_was_changed_since_cannot_be_taken_back(world):
    move = moved("m2", "north", "8")
    take(put(move), "porch")
    call("done", "m2", "porch", "--to", "north", "12", "--on", EVENING)
    before = world.files()
    said = take(put(event("taken back", of=move["id"])), "porch")
    assert said.code == 1
    assert said.err.splitlines()[0] == (
        "m2: 'place' cannot be taken back, for that was changed since: change its row of pupae.csv"
    )
    assert world.files() == before


def test_two_phones_that_recorded_one_pupa_recorded_one(world):
    first = put(recorded("tub-2", x="20", y="20", pupated="2027-07-05"), name="a.txt")
    new = recorded("tub-2", "2027-07-05T20:05", x="20.4", y="19.8", pupated="2027-07-05")
    second = put(new, event("noted", pupa=f"+{new['id']}", note="small"), name="b.txt", device="phone2")
    said = take(first, second, "porch")
    assert said.out.splitlines()[:2] == [
        "taken: 3 events of 2 phones, written down Mon 5 Jul 20:00 to 20:05",
        "recorded 1 pupa on lid tub-2: m4",
    ]
    assert said.err == "note: m4: 'recorded' was on record already\n"
    assert rows(world)["m4"] == {
        "id": "m4", "pupated": "2027-07-05", "place": "tub-2", "x": "20", "y": "20", "note": "small",
    }  # fmt: skip
    assert "m5" not in rows(world)


@pytest.mark.parametrize(
    ("event_", "message"),
    [
        (moved("m9", "north", "8"), "phone phone1, Mon 5 Jul 20:00: there is no pupa 'm9'"),
        (moved("+event99999", "north", "8"), "phone phone1, Mon 5 Jul 20:00: tells of a newcomer that is "
         "in none of the slips: share all of it again"),
        (moved("m2", "south", "8"), "m2: there is no place 'south': places are north, tub-2, tub-3 "
         "(phone phone1, Mon 5 Jul 20:00)"),
        (moved("m2", "north", "61"), "m2: 61 cm is not on line north: more than 0 and less than 60 cm "
         "(phone phone1, Mon 5 Jul 20:00)"),
        (moved("m2", "north", "9"), "m2: there is no clip at 9 cm on line north: the nearest are at 8 and "
         "12 cm (phone phone1, Mon 5 Jul 20:00)"),
        (marked("m2", "emerged", "2027-07-01T20:00"), "m2: emerged on 1 Jul 20:00 cannot be, it pupated on 1 "
         "Jul and is soft for 24 h: allowed is failed, parasitised or removed (phone phone1, Thu 1 Jul "
         "20:00)"),
        (marked("m2", "failed", "2027-07-05T22:00"), "phone phone1, Mon 5 Jul 22:00: is still to come, now "
         "is Mon 5 Jul 21:00: look at its clock"),
        (recorded("north"), "newcomer of 20:00: north is a line; lids are tub-2, tub-3"),
        (recorded("tub-2", x="400", y="1"),
         "newcomer of 20:00: x: 400 cm is not on lid tub-2: 0 to 40 cm"),
        (recorded("tub-2", species="dodo"), "newcomer of 20:00: species"),
        (event("cleaned", pupa="m1"), "m1: nothing is closed where it hung (phone phone1, Mon 5 Jul 20:00)"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_told_and_nothing_is_taken(world, event_, message):
    before = world.files()
    said = take(put(event_, moved("m1", "north", "20")), "porch")
    assert (said.code, said.out) == (1, "")
    assert said.err.startswith(message)
    assert world.files() == before


def test_of_two_ends_of_one_pupa_the_keeper_must_choose(world):
    take(put(marked("m1", "removed", "2027-07-05T20:00")), "porch")
    said = take(put(marked("m1", "failed", "2027-07-05T20:30"), device="phone2"), "porch")
    assert said.code == 1
    assert said.err.splitlines()[0] == (
        "m1: is recorded as removed by phone phone1, Mon 5 Jul 20:00, and phone phone2, Mon 5 Jul 20:30 says "
        "failed"
    )
    said = take(put(marked("m1", "removed", "2027-07-05T19:30"), device="phone3"), "porch")
    assert said.code == 0
    assert rows(world)["m1"]["ended"] == "2027-07-05T19:30"  # of two who saw the same, the first


def test_a_slip_of_another_season_is_refused(world):
    assert take(put(moved("m2", "north", "8"), name="a.txt"), "porch").code == 0  # a page that knew no id
    Path("a.txt").write_text(slip(moved("m2", "north", "8"), name="Yard"), encoding="utf-8")
    assert take("a.txt", "porch").err == "the slip is of another season, 'Yard': this one is 'Porch'\n"
    Path("a.txt").write_text(slip(moved("m2", "north", "8"), season="0" * 12), encoding="utf-8")
    assert take("a.txt", "porch").err == "the slip is of another season of that name, 'Porch'\n"
    Path("a.txt").write_text(
        slip(moved("m2", "north", "8"), season=season_id(world.folder), name="Old name"), encoding="utf-8"
    )
    assert take("a.txt", "porch").code == 0


def test_an_event_with_the_same_id_and_other_words_is_refused(world):
    move = moved("m2", "north", "8")
    take(put(move), "porch")
    said = take(put({**move, "spot": "12"}), "porch")
    assert said.err == (
        "phone phone1, Mon 5 Jul 20:00: was taken before with other words: ask who wrote it\n"
    )


def test_it_can_be_pasted(world, monkeypatch):
    world.plan()
    base = [sys.executable, "-m", "planner", "take", "-", "porch", "--on", EVENING]
    text = "> hello\n" + "".join(f"> {line}\n" for line in slip(*evening()).splitlines())
    said = subprocess.run(base, input=text.encode(), capture_output=True, timeout=60, check=True)
    assert said.stdout.startswith(b"taken: 5 events")


@pytest.mark.parametrize(
    ("words", "code", "message"),
    [
        (("porch",), 2, "name the file with the slip, or - to paste it: hangplan take - porch\n"),
        (("porch", "porch"), 2, "the season is named twice: porch and porch\n"),
        (("missing.txt", "porch"), 1, "missing.txt: No such file or directory\n"),
        ((".", "porch"), 2, ". is a folder: name the file with the slip in it\n"),
    ],
)
def test_a_wrong_call_is_refused(world, words, code, message):
    said = take(*words)
    assert (said.code, said.err) == (code, message)


def test_a_full_disk_is_told_and_loses_nothing(world, monkeypatch):
    before = world.files()
    monkeypatch.setattr(Store, "write", full_disk)
    said = take(put(*evening()), "porch")
    assert (said.code, said.out) == (1, "")
    assert said.err == "porch/pupae.csv: cannot be written: No space left on device. Nothing was changed\n"
    assert world.files() == before


def test_a_log_that_is_damaged_is_told_and_left(world):
    world.write("taken.jsonl", '{"event": 1}\nx\n')
    said = take(put(*evening()), "porch")
    fault = "is no line of what was taken: 'hangplan undo' takes back what was written last"
    assert said.err == f"taken.jsonl:1:1: {fault}\ntaken.jsonl:2:1: {fault}\n"
    assert world.read("pupae.csv") == PUPAE


def test_many_that_take_the_same_slips_at_once_lose_nothing_and_double_nothing(world):
    ids = [f"m{i}" for i in range(1, 7)]
    world.write("pupae.csv", "id,pupated,place\n" + "".join(f"{i},2027-07-01,tub-2\n" for i in ids))
    at = "2027-07-05T20:00"
    names = [
        put(marked(ids[i], "removed", at), marked(ids[i + 1], "failed", at),
            recorded("tub-3", pupated="2027-07-05"), name=f"{i}.txt", device=f"phone{i}")
        for i in (0, 2, 4)
    ]  # fmt: skip
    base = [sys.executable, "-m", "planner", "take", "porch", "--on", EVENING]
    children = [subprocess.Popen([*base, name], stderr=subprocess.PIPE, stdout=subprocess.DEVNULL)
                for name in (*names, *names[:2])]  # fmt: skip
    assert [c.communicate(timeout=60)[1] for c in children] == [b""] * 5
    found = rows(world)
    assert [found[i]["outcome"] for i in ids] == ["removed", "failed"] * 3
    assert len(found) == 6 + 3


def test_the_answer_for_programs(world):
    new, mark = recorded("tub-2", pupated="2027-07-05"), marked("m1", "removed", "2027-07-05T20:01")
    take(put(mark), "porch")
    said = take(put(mark, new, moved("m2", "north", "8")), "porch", "--json")
    assert said.data["taken"] == 2
    assert said.data["already"] == 1
    assert said.data["new"] == [{"id": "m4", "event": new["id"]}]
    assert [(e["kind"], e["pupa"], e["counts"]) for e in said.data["events"]] == [
        ("recorded", "m4", True), ("moved", "m2", True)]  # fmt: skip


def test_no_table_yet_is_no_hindrance(world):
    (world.folder / "pupae.csv").unlink()
    assert take(put(recorded("tub-2", pupated="2027-07-05")), "porch").code == 0
    assert rows(world)["m1"]["place"] == "tub-2"


def test_a_season_in_inches_is_told_in_inches(world):
    world.write("season.yaml", "units: in\n" + SETTINGS.replace("clips_every: 4", "clips_every: 2"))
    said = take(put(moved("m2", "north", "4")), "porch")
    assert "hung: m2 at north 4 in\n" in said.out


def test_what_a_phone_saw_of_one_that_is_out_since_is_taken_and_judged_as_while_it_hung(world):
    call("mark", "m1", "emerged", "porch", "--on", "2027-07-12T20:40")
    said = take(put(marked("m1", "darkening", "2027-07-12T20:00")), "porch", on="2027-07-12T21:00")
    assert (said.code, said.err) == (0, "")
    assert said.out.splitlines()[1] == "darkening: m1"
    again = take(put(marked("m1", "emerged", "2027-07-12T20:10")), "porch", on="2027-07-12T21:00")
    assert (again.code, again.err) == (0, "")
    row = rows(world)["m1"]
    assert (row["darkening"], row["ended"]) == ("2027-07-12T20:00", "2027-07-12T20:10")
    call("mark", "m2", "emerged", "porch", "--on", "2027-07-12T20:40")
    early = take(put(marked("m2", "darkening", "2027-07-03T20:00")), "porch", on="2027-07-12T21:00")
    assert early.code == 0
    assert (
        "m2 was due Sun 11 Jul; darkening on 3 Jul 20:00 is 7 days early: is it the right pupa"
        in " ".join(early.err.split())
    )


def test_what_a_slip_wrote_into_a_table_with_decimal_commas_is_taken_back(world):
    table = "id;pupated;place;spot;x;y;hung\nm1;2027-07-01;tub-2;;5,5;5;\nm2;2027-07-01;tub-2;;8,25;5;\n"
    world.write("pupae.csv", table)
    hung = moved("m1", "north", "4")
    new = recorded("tub-2", "2027-07-05T20:10", x="20.5", y="20", pupated="2027-07-05")
    take(put(hung, new), "porch")
    assert "m3;2027-07-05;tub-2;;20,5;20;" in world.read("pupae.csv")
    back = [event("taken back", "2027-07-05T20:30", of=one["id"]) for one in (hung, new)]
    assert take(put(*back), "porch").code == 0
    assert "\nm1;2027-07-01;tub-2;;5,5;5;" in world.read("pupae.csv")
    assert "m3;" not in world.read("pupae.csv")
