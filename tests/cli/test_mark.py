import subprocess
import sys
from pathlib import Path

import pytest
from cli_world import PUPAE, SETTINGS, call, full_disk

from planner.season import Store
from planner.season.plan import plan_file
from planner.season.reading.problems import FaultyFiles

HEAD = "id,pupated,place,x,y"
MORNING = "2027-07-11T07:30"  # m1 and m2 are due on this day, see cli_world
NEXT = "Next: 'hangplan today porch' shows what is next\n"
HYGIENE = (
    "It may carry a parasite or an infection: set it apart and wash your hands.\n"
    "  Once nobody else hangs on it, soak the tub, clip or pin for 4 h in 20 %\n"
    "  household bleach, rinse and dry (gloves, eye protection, air; never with acid\n"
    "  or ammonia; away from children).\n"
)
KNOWN = "darkening, emerged, failed, deformed, parasitised, escaped, released, removed, pupated"


def mark(*words, on=MORNING):
    return call("mark", *words, *(["--on", on] if on else []))


def test_emergences_are_recorded_with_their_minute_and_a_cleared_lid_is_told(world):
    said = mark("m1", "m2", "emerged", "porch")
    assert (said.code, said.err) == (0, "")
    # A monarch's wings dry for 3 h.
    assert said.out == (
        "recorded: emerged on 11 Jul 07:30: m1, m2\n"
        "leave hanging until 11 Jul 10:30, when the wings are dry\n"
        "lid tub-2 is empty then\n" + NEXT
    )
    assert world.read("pupae.csv") == (
        f"{HEAD},outcome,ended\n"
        f"m1,2027-07-01,tub-2,5,5,emerged,{MORNING}\n"
        f"m2,2027-07-01,tub-2,8,5,emerged,{MORNING}\n"
        "m3,2027-07-03,tub-3,5,5,,\n"
    )


def test_a_spot_that_becomes_free_is_told(world):
    world.write("pupae.csv", "id,pupated,place,spot\nm1,2027-07-01,north,36\nm2,2027-07-01,north,40\n")
    lines = mark("m1", "emerged", "porch").out.splitlines()
    assert lines[1] == "free from 11 Jul 10:30, when the wings are dry: north 36 cm"
    assert mark("m2", "removed", "porch").out.splitlines()[1] == "free: north 40 cm"


def test_without_an_hour_the_day_is_recorded(world):
    assert "\nleave hanging until the wings are dry\n" in mark("m1", "emerged", "porch", on="2027-07-11").out
    assert "m1,2027-07-01,tub-2,5,5,emerged,2027-07-11\n" in world.read("pupae.csv")


def test_darkening_is_recorded_and_the_pupa_still_there(world):
    said = mark("m1", "darkening", "porch", on="2027-07-10T08:00")
    assert said.out == (
        "recorded: darkening on 10 Jul 08:00: m1\n"
        "not to be moved from now on; it emerges within about a day\n" + NEXT
    )
    assert world.read("pupae.csv").splitlines()[:2] == [
        f"{HEAD},darkening",
        "m1,2027-07-01,tub-2,5,5,2027-07-10T08:00",
    ]
    assert mark("m1", "emerged", "porch").code == 0


@pytest.mark.usefixtures("world")
@pytest.mark.parametrize("what", ["failed", "parasitised", "deformed"])
def test_what_may_be_catching_comes_with_a_caution(what):
    assert HYGIENE in mark("m1", what, "porch").out


@pytest.mark.usefixtures("world")
def test_a_release_comes_with_the_law():
    assert mark("m1", "released", "porch").out.splitlines()[1:3] == [
        "Releasing or moving butterflies may need a permit where you are: check with",
        "  your wildlife agency first.",
    ]


def test_a_plan_that_is_now_old_is_to_be_made_again(world):
    world.plan()
    assert mark("m1", "failed", "porch").out.endswith(
        "Next: 'hangplan today porch' shows what is next; 'hangplan plan porch' plans\n"
        "  with what is now recorded\n"
    )


def test_a_note_is_added_to_the_one_there_is(world):
    world.write("pupae.csv", "id,pupated,place,note\nm1,2027-07-01,tub-2,small\nm2,2027-07-01,tub-2,\n")
    assert mark("m1", "m2", "failed", "porch", "--note", 'black, "soft"').code == 0
    assert world.read("pupae.csv").splitlines()[1:] == [
        f'm1,2027-07-01,tub-2,"small; black, ""soft""",failed,{MORNING}',
        f'm2,2027-07-01,tub-2,"black, ""soft""",failed,{MORNING}',
    ]


def test_json_says_what_was_recorded_and_what_is_free(world):
    world.write("pupae.csv", "id,pupated,place,spot\nm1,2027-07-01,north,36\nm2,2027-07-01,tub-2,\n")
    assert mark("m1", "m2", "emerged", "porch", "--json").data == {
        "marked": [
            {"id": "m1", "what": "emerged", "on": MORNING, "place": "north", "spot": "36"},
            {"id": "m2", "what": "emerged", "on": MORNING, "place": "tub-2", "spot": None},
        ],
        "free": [{"place": "north", "spot": "36"}],
        "free_from": "2027-07-11T10:30",
        "closed": [],
        "empty_lids": ["tub-2"],
        "doubts": [],
        "problems": [],
    }


@pytest.mark.parametrize(
    "words",
    [("M1", "EMERGED", "porch"), ("m1", "emerged", "--season", "porch"), ("m1", "emerged", "./porch/")],
)
def test_the_season_is_the_last_word_or_an_option_and_case_does_not_matter(world, words):
    assert mark(*words).code == 0
    assert "emerged" in world.read("pupae.csv")


def test_the_season_one_stands_in_need_not_be_named(world, monkeypatch):
    monkeypatch.chdir(world.folder)
    assert mark("m1", "emerged").code == 0
    assert "emerged" in Path("pupae.csv").read_text(encoding="utf-8")


def test_a_folder_named_like_something_a_pupa_does_is_written_with_a_dot(world):
    world.folder.rename("released")
    assert mark("m1", "emerged", "./released").code == 0


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("m1", "emergd", "porch"),
         f"'emergd' is nothing that a pupa does (did you mean 'emerged'?): write one of {KNOWN} after "
         "the pupae"),
        (("m1", "emergd", "parch"),
         f"'parch' is nothing that a pupa does: write one of {KNOWN} after the pupae"),
        (("m1", "emergd"),
         f"'emergd' is nothing that a pupa does (did you mean 'emerged'?): write one of {KNOWN} after "
         "the pupae"),
        (("emerged", "porch"),
         "which one is emerged? Name at least one pupa before it: hangplan mark m1 emerged"),
        (("m1", "m2", "M1", "emerged", "porch"), "M1 is named twice"),
        (("porch", "m1", "emerged"),
         "porch is a season: here it is named last, hangplan mark m1 emerged porch"),
        (("m1", "emerged", "porch", "--season", "yard"),
         "--season: the season is named twice: porch and yard"),
        (("m1", "emerged", "porch", "--note", "two\nlines"),
         "--note: write one line of at most 500 visible characters"),
    ],
)  # fmt: skip
def test_a_wrong_call_is_refused(world, words, message):
    before = world.files()
    said = mark(*words)
    assert (said.code, said.out, said.err) == (2, "", message + "\n")
    assert world.files() == before


ROWS = """\
id,pupated,place,darkening,outcome,ended
m1,2027-07-01,tub-2,2027-07-10T08:00,,
m2,2027-07-01,tub-2,,failed,2027-07-09
m3,2027-07-10T14:00,tub-3,,,
m4,,tub-3,,,
m5,2027-07-12,tub-3,,,
m6,2027-07-01,tub-2,,removed,
"""


@pytest.mark.parametrize(
    ("pupa", "what", "message"),
    [
        ("m33", "emerged", "there is no pupa 'm33': recorded are m1 to m6"),
        ("q", "emerged", "there is no pupa 'q': recorded are m1 to m6"),
        ("m2", "emerged",
         "m2: is recorded as failed on 9 Jul already; to correct it, change row 3 of pupae.csv"),
        ("m6", "failed", "m6: is recorded as removed already; to correct it, change row 7 of pupae.csv"),
        ("m1", "darkening", "m1: darkening was seen on 10 Jul 08:00 already; "
         "to correct it, change row 2 of pupae.csv"),
        ("m5", "failed", "m5: 11 Jul 07:30 is before it pupated, 12 Jul"),
        ("m3", "emerged",
         "m3: emerged on 11 Jul 07:30 cannot be, it pupated on 10 Jul 14:00 and is soft "
         "for 24 h: allowed is failed, parasitised or removed"),
        ("m3", "darkening",
         "m3: darkening on 11 Jul 07:30 cannot be, it pupated on 10 Jul 14:00 and is "
         "soft for 24 h: allowed is failed, parasitised or removed; if it is dark already it may be ill: "
         "set it apart"),
        ("m4", "darkening", "m4: darkening cannot be, it hangs in a J: allowed is failed, parasitised or "
         "removed, or write when it pupated first"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(world, pupa, what, message):
    world.write("pupae.csv", ROWS)
    said = mark(pupa, what, "porch")
    assert (said.code, said.out, said.err) == (1, "", message + "\n")
    assert world.read("pupae.csv") == ROWS


def test_an_end_before_the_darkening_seen_is_refused(world):
    world.write("pupae.csv", ROWS)
    assert mark("m1", "removed", "porch", on="2027-07-09").err == (
        "m1: 9 Jul is before its darkening was seen, 10 Jul 08:00; to correct it, change row 2 of pupae.csv\n"
    )


def test_emergence_in_the_minute_in_which_darkening_was_recorded_is_taken(world):
    world.write("pupae.csv", ROWS)
    assert mark("m1", "emerged", "porch", on="2027-07-10T07:59").err == (
        "m1: 10 Jul 07:59 is before its darkening was seen, 10 Jul 08:00; "
        "to correct it, change row 2 of pupae.csv\n"
    )
    assert mark("m1", "emerged", "porch", on="2027-07-10T08:00").code == 0
    assert "m1,2027-07-01,tub-2,2027-07-10T08:00,emerged,2027-07-10T08:00\n" in world.read("pupae.csv")
    assert call("check", "porch", "--on", "2027-07-10T08:00").code == 0


def test_all_or_nothing_and_everything_that_speaks_against_it_is_told(world):
    world.write("pupae.csv", ROWS)
    said = mark("m1", "m2", "m4", "m77", "emerged", "porch")
    assert said.code == 1
    assert [line.split(":")[0] for line in said.err.splitlines()] == ["m2", "m4", "there is no pupa 'm77'"]
    assert world.read("pupae.csv") == ROWS


@pytest.mark.parametrize("what", ["failed", "parasitised", "removed"])
def test_a_soft_one_and_a_prepupa_may_die_or_be_taken_out(world, what):
    world.write("pupae.csv", ROWS)
    assert mark("m3", "m4", what, "porch").code == 0


def test_what_is_hardly_possible_is_doubted_and_recorded(world):
    said = mark("m1", "emerged", "porch", on="2027-07-05")
    assert said.code == 0
    # Due on the 11th at 12:00, and the 5th has ended at 24:00: five and a half days, rounded.
    assert said.err == (
        "note: m1 was due Sun 11 Jul; emerged on 5 Jul is 6 days early: is it the right\n"
        "  pupa, and its date right?\n"
    )
    assert "emerged,2027-07-05" in world.read("pupae.csv")
    said = mark("m2", "darkening", "porch", on="2027-07-05")
    assert said.err == (
        "note: m2 was due Sun 11 Jul; darkening on 5 Jul is 4 days early: is it the\n"
        "  right pupa, and its date right? A pupa dark too early may be ill: set it\n"
        "  apart.\n"
    )


@pytest.mark.usefixtures("world")
def test_the_day_of_pupation_itself_is_no_day_before_it():
    assert mark("m3", "failed", "porch", on="2027-07-03").code == 0


@pytest.mark.usefixtures("world")
def test_every_record_leaves_a_season_that_loads():
    for what, on in (("darkening", "2027-07-10"), ("emerged", "2027-07-11")):
        assert mark("m1", what, "porch", on=on).code == 0
        assert call("check", "porch", "--on", on).code == 0


def test_a_faulty_season_is_told_and_left(world):
    world.write("season.yaml", SETTINGS.replace("clips_every: 4", "clips_every: four"))
    said = mark("m1", "emerged", "porch")
    assert said.err == "season.yaml:6:57: places[0].clips_every: 'four' is not a number of cm\n"
    assert world.read("pupae.csv") == PUPAE


def test_a_full_disk_is_told_and_loses_nothing(world, monkeypatch):
    monkeypatch.setattr(Store, "write", full_disk)
    said = mark("m1", "emerged", "porch")
    assert (said.code, said.out) == (1, "")
    assert said.err == "porch/pupae.csv: cannot be written: No space left on device. Nothing was changed\n"
    assert world.read("pupae.csv") == PUPAE


def test_the_version_before_is_kept(world):
    mark("m1", "emerged", "porch")
    kept = list((world.folder / ".hangplan" / "history").glob("*-pupae.csv"))
    assert [k.read_text(encoding="utf-8") for k in kept] == [PUPAE]


def test_many_that_mark_at_once_lose_nothing(world):
    ids = [f"m{i}" for i in range(1, 9)]
    world.write("pupae.csv", "id,pupated,place\n" + "".join(f"{i},2027-07-01,tub-2\n" for i in ids))
    base = [sys.executable, "-m", "planner", "mark"]
    children = [
        subprocess.Popen(
            [*base, *ids[i : i + 2], "emerged", "porch", "--on", MORNING], stderr=subprocess.PIPE
        )
        for i in range(0, 8, 2)
    ]
    assert [c.communicate(timeout=60)[1] for c in children] == [b""] * 4
    rows = world.read("pupae.csv").splitlines()[1:]
    assert rows == [f"{i},2027-07-01,tub-2,emerged,{MORNING}" for i in ids]


def test_an_unreadable_plan_does_not_keep_from_recording(world):
    world.write("plan.yaml", "plan: {")
    with pytest.raises(FaultyFiles):
        plan_file.read(world.folder)
    assert mark("m1", "emerged", "porch").code == 0
