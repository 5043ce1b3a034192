from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest
from cli_world import ON, PUPAE, SETTINGS, call, good_plan
from test_undo import plain

from planner.season import Hang, Move

HEAD = "id,pupated,place,x,y"


def done(*words, on=ON):
    return call("done", *words, *(["--on", on] if on else []))


def rows(world):
    """The record, a dict for each pupa, without empty cells."""
    head, *lines = (line.split(",") for line in world.read("pupae.csv").splitlines())
    return {line[0]: {k: v for k, v in zip(head, line, strict=True) if v} for line in lines}


def test_without_a_name_all_moves_were_carried_out(world):
    world.plan()
    said = done("porch")
    assert (said.code, said.err) == (0, "")
    assert said.out == (
        "recorded: hung on 5 Jul 08:00: m2 at north 4 cm, m3 at north 8 cm\n"
        "lid tub-3 is empty\n"
        "all moves of the plan are done\n"
        "Next: 'hangplan today porch' shows what is next\n"
    )
    assert rows(world) == {
        "m1": {"id": "m1", "pupated": "2027-07-01", "place": "tub-2", "x": "5", "y": "5"},
        "m2": {"id": "m2", "pupated": "2027-07-01", "place": "north", "spot": "4", "hung": ON,
               "formed_at": "tub-2 8 5"},
        "m3": {"id": "m3", "pupated": "2027-07-03", "place": "north", "spot": "8", "hung": ON,
               "formed_at": "tub-3 5 5"},
    }  # fmt: skip
    assert world.call("check").code == 0


def test_of_some_the_rest_remains(world):
    world.plan()
    said = done("M3", "porch")
    assert said.out == (
        "recorded: hung on 5 Jul 08:00: m3 at north 8 cm\n"
        "lid tub-3 is empty\n"
        "1 move of the plan remains: m2\n"
        "Next: 'hangplan today porch' shows what may be moved now\n"
    )
    assert rows(world)["m2"]["place"] == "tub-2"
    assert "  1     m2    tub-2 at 8,5  north 4 cm" in world.call("today").out
    assert done("porch").out.startswith("recorded: hung on 5 Jul 08:00: m2 at north 4 cm\n")
    assert done("porch").err == "all moves of the plan are done: there is nothing to record\n"


def test_a_day_is_recorded_as_a_day(world):
    world.plan()
    assert done("m2", "porch", on="2027-07-06").code == 0
    assert rows(world)["m2"]["hung"] == "2027-07-06"


def test_it_can_be_taken_back(world):
    world.plan()
    done("porch")
    assert plain(call("undo", "porch").out).startswith(
        "taken back: 'done m2, m3' of TIME; pupae.csv is as before it"
    )
    assert world.read("pupae.csv") == PUPAE


@pytest.mark.parametrize("words", [("m2",), ("m2", "./"), ("m2", "--season", ".")])
def test_the_season_one_stands_in_need_not_be_named(world, monkeypatch, words):
    world.plan()
    monkeypatch.chdir(world.folder)
    assert done(*words).code == 0
    assert "north" in Path("pupae.csv").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("m2", "M2", "porch"), "M2 is named twice"),
        (("porch", "m2"), "porch is a season: here it is named last, hangplan done m2 porch"),
        (("m2", "porch", "--season", "yard"), "--season: the season is named twice: porch and yard"),
        (("porch", "--to", "north", "8"),
         "--to: name the one pupa that hangs there: hangplan done m3 --to north 36"),
        (("m2", "m3", "porch", "--to", "north", "8"),
         "--to: name the one pupa that hangs there: hangplan done m3 --to north 36"),
        (("m2", "porch", "--to", "tub-3", "5"),
         "--to: '5': on lid tub-3 write x,y in cm, or ? if not measured"),
    ],
)  # fmt: skip
def test_a_wrong_call_is_refused(world, words, message):
    world.plan()
    before = world.files()
    said = done(*words)
    assert (said.code, said.out, said.err) == (2, "", message + "\n")
    assert world.files() == before


def test_everything_that_speaks_against_it_is_told_and_nothing_is_written(world):
    world.plan()
    world.write(
        "pupae.csv",
        "id,pupated,place,spot,x,y,outcome,ended\nm1,2027-07-01,tub-2,,5,5,,\nm2,2027-07-01,north,4,,,,\n"
        "m3,2027-07-03,tub-3,,5,5,removed,2027-07-05\nm4,2027-07-01,tub-3,,9,9,,\n",
    )
    before = world.files()
    said = done("m1", "m2", "m3", "m4", "m33", "porch")

    def elsewhere(name):
        return f"'hangplan done {name} porch --to PLACE SPOT' records it elsewhere"

    assert (said.code, said.out) == (1, "")
    assert said.err.splitlines() == [
        "m3: is recorded as removed on 5 Jul",
        "there is no pupa 'm33': recorded are m1 to m4",
        f"m1: the plan leaves it at tub-2; {elsewhere('m1')}",
        f"m2: hangs at north 4 cm already, as planned; {elsewhere('m2')}",
        f"m4: is not in the plan, which is older; {elsewhere('m4')}",
    ]
    assert world.files() == before


def test_without_a_plan_only_a_stated_spot_can_be_recorded(world):
    assert done("m2", "porch").err == (
        "there is no plan yet: 'hangplan plan porch' makes one; 'hangplan done PUPA porch --to PLACE SPOT' "
        "records where one hangs\n"
    )
    said = done("m2", "porch", "--to", "NORTH", "36")
    assert (said.code, said.err) == (0, "")
    assert said.out == (
        "recorded: hung on 5 Jul 08:00: m2 at north 36 cm\nNext: 'hangplan today porch' shows what is next\n"
    )
    assert rows(world)["m2"] == {
        "id": "m2", "pupated": "2027-07-01", "place": "north", "spot": "36", "hung": ON,
        "formed_at": "tub-2 8 5",
    }  # fmt: skip


def test_who_hangs_elsewhere_than_planned_is_recorded_there(world):
    world.plan()
    said = done("m3", "porch", "--to", "north", "40")
    assert said.out == (
        "recorded: hung on 5 Jul 08:00: m3 at north 40 cm\n"
        "lid tub-3 is empty\n"
        "1 move of the plan remains: m2\n"
        "Next: 'hangplan check porch' looks whether all is well with that; 'hangplan\n"
        "  today porch' shows what may be moved now\n"
    )
    assert done("m3", "porch").err == (
        "m3: hangs at north 40 cm, where no step of the plan takes it from; "
        "'hangplan done m3 porch --to PLACE SPOT' records it elsewhere\n"
    )
    # It can be put right, also back to a lid.
    assert done("m3", "porch", "--to", "tub-2", "30,20").code == 0
    assert {k: rows(world)["m3"].get(k) for k in ("place", "spot", "x", "y", "hung")} == {
        "place": "tub-2", "spot": None, "x": "30", "y": "20", "hung": None,
    }  # fmt: skip


def test_one_put_elsewhere_on_its_lid_is_still_to_be_hung_and_its_point_is_told(world):
    world.plan()
    assert done("m2", "porch", "--to", "tub-2", "9,7").out.startswith(
        "recorded: hung on 5 Jul 08:00: m2 at tub-2 9,7\n2 moves of the plan remain: m2, m3\n"
    )
    assert "  1     m2    tub-2 at 9,7  north 4 cm" in world.call("today").out


def test_one_put_on_another_lid_has_no_move_left(world):
    world.plan()
    assert done("m2", "porch", "--to", "tub-3", "?").out.startswith(
        "recorded: hung on 5 Jul 08:00: m2 at tub-3\n1 move of the plan remains: m3\n"
    )


@pytest.mark.parametrize(
    ("to", "message"),
    [
        (("nort", "36"), "m2: there is no place 'nort' (did you mean 'north'?)"),
        (("north", "r2p5"), "m2: 'r2p5' is not a position on line north: write a number, more than 0 and "
         "less than 60 cm"),
        (("north", "60"), "m2: 60 cm is not on line north: more than 0 and less than 60 cm"),
        (("tub-2", "5,5"), "m2: tub-2 at 5,5 is taken: m1 hangs there"),
        (("north", "9"), "m2: there is no clip at 9 cm on line north: the nearest are at 8 and 12 cm"),
        (("north", "1.5"), "m2: there is no clip at 1.5 cm on line north: the nearest is at 4 cm"),
        (("tub-2", "50,5"), "m2: 50 cm is not on lid tub-2: 0 to 40 cm"),
    ],
)  # fmt: skip
def test_a_spot_that_cannot_be_is_refused(world, to, message):
    said = done("m2", "porch", "--to", *to)
    assert (said.code, said.err) == (1, message + "\n")
    assert world.read("pupae.csv") == PUPAE


def test_a_decimal_comma_typed_is_the_same_place_and_told_as_every_other(world):
    world.write("season.yaml", SETTINGS.replace("clips_every: 4", "clips_every: 2.5"))
    world.write("pupae.csv", PUPAE.replace(",", ";").replace("x;y", "x;y;spot"))
    assert done("m1", "porch", "--to", "north", "12.5").code == 0
    assert done("m2", "porch", "--to", "north", "12,5").err == "m2: north 12.5 cm is taken: m1 hangs there\n"
    assert "there is no clip at 12.6 cm" in done("m2", "porch", "--to", "north", "12,6").err
    said = done("m2", "porch", "--to", "north", "37,5")
    assert said.out.startswith("recorded: hung on 5 Jul 08:00: m2 at north 37.5 cm\n")
    assert "m2;2027-07-01;north;;;37,5;" in world.read("pupae.csv")


def test_who_hangs_there_is_named_although_its_row_comes_later(world):
    world.write("pupae.csv", PUPAE.replace("x,y", "x,y,spot").replace("tub-3,5,5", "north,,,8"))
    said = done("m2", "porch", "--to", "north", "8")
    assert (said.code, said.err) == (1, "m2: north 8 cm is taken: m3 hangs there\n")


def test_a_day_before_the_plan_was_made_is_doubted_and_recorded(world):
    world.plan()
    said = done("m2", "porch", on="2027-07-04")
    assert said.code == 0
    assert said.err == ("note: 4 Jul is before the plan was made, Mon 5 Jul 08:00: is it the right day?\n")


def test_a_season_in_the_place_of_a_spot_is_told(world):
    assert done("m2", "--to", "north", "porch").err == (
        "--to wants PLACE and SPOT, and porch is a season: --to north SPOT porch\n"
    )


def test_a_spot_that_is_taken_is_refused(world):
    world.plan()
    world.write(
        "pupae.csv",
        PUPAE.replace("x,y", "x,y,spot").replace("m1,2027-07-01,tub-2,5,5", "m1,2027-07-01,north,,,8"),
    )
    said = done("m3", "porch", "--anyway")
    assert said.code == 1
    assert said.err == (
        "m3: step 2 hangs it at north 8 cm, where m1 hangs; 'hangplan done m3 porch --to PLACE SPOT' says "
        "where it hangs instead\n"
    )
    # m2 would come to hang beside m1, due on the same day: 4 cm from it.
    assert done("m2", "porch").err == (
        "plan.yaml: clash: m2 (due 2027-07-11) and m1 (due 2027-07-11) hang 4 cm apart with 0 days between "
        "them: allowed is 2 days or more, or to list them under clashes\n"
        "such a step would do harm by what is recorded now; if it was done, --anyway records it\n"
    )


def test_a_plan_that_does_not_hold_is_refused_unless_it_was_done_anyway(world):
    world.plan()
    world.write("season.yaml", SETTINGS.replace("gap_days", "x").replace("clips_every: 4", "clips_every: 3"))
    said = done("m2", "porch")
    assert said.code == 1
    assert said.err.splitlines()[-1] == (
        "the plan in force does not hold any more. If its moves were carried out all the same, --anyway "
        "records them; 'hangplan plan porch' makes a new one"
    )
    assert done("m2", "porch", "--anyway").code == 0
    assert rows(world)["m2"]["spot"] == "4"


@pytest.mark.parametrize(
    ("on", "why"),
    [
        # m3 pupated on 3 July, no hour known: firm 24 h after the end of that day; dark from 12 July noon on.
        ("2027-07-04T20:00", "m3: is soft until the end of Sun 4 Jul, and 4 Jul 20:00 is before that"),
        ("2027-07-12T13:00", "m3: may have been darkening by 12 Jul 13:00: due Tue 13 Jul"),
    ],
)
def test_a_move_when_it_was_not_to_be_touched_is_recorded_only_if_it_is_said_so(world, on, why):
    world.plan()
    said = done("m3", "porch", on=on)
    assert (said.code, said.out) == (1, "")
    assert (
        said.err
        == f"{why}\nif it was moved then all the same, --anyway records it; --on says when it was moved\n"
    )
    assert world.read("pupae.csv") == PUPAE
    said = done("m3", "porch", "--anyway", on=on)
    assert said.code == 0
    assert plain(said.err) == (
        f"note: {why} Handled while soft or darkening, a pupa may be harmed: "
        "leave it alone and look after it."
    )
    assert rows(world)["m3"]["hung"] == on


def test_who_was_seen_darkening_before_is_refused(world):
    world.plan()
    assert call("mark", "m3", "darkening", "porch", "--on", "2027-07-09T08:00").code == 0
    assert done("m3", "porch", on="2027-07-09T20:00").err == (
        "m3: was darkening by 9 Jul 20:00, as seen on 9 Jul 08:00\n"
        "if it was moved then all the same, --anyway records it; --on says when it was moved\n"
    )
    assert done("m3", "porch", on="2027-07-09T07:00").code == 0  # moved before that


def test_done_for_programs(world):
    world.plan()
    assert done("m3", "porch", "--json").data == {
        "done": [{"id": "m3", "place": "north", "spot": "8", "hung": ON, "steps": [2]}],
        "remaining": [{"id": "m2", "step": 1, "place": "north", "spot": "4"}],
        "empty_lids": ["tub-3"],
        "cautions": [],
        "clashes": [],
        "problems": [],
    }
    assert (
        done("m7", "porch", "--json").data["problems"][0]["what"]
        == "there is no pupa 'm7': recorded are m1 to m3"
    )


RING = "id,pupated,place,spot\nm1,2027-07-01,north,4\nm2,2027-07-01,north,20\n"


@pytest.fixture
def ring(world):
    """m1 and m2 change places by way of 40 cm."""
    world.write("pupae.csv", RING)
    window = {"not_before": datetime(2027, 7, 3), "not_after": datetime(2027, 7, 10, 12)}

    def move(step, pupa, spot, to, *after):
        return Move(step=step, pupa=pupa, from_place="north", from_spot=spot, to_place="north", to_spot=to,
                    after=after, **window)  # fmt: skip

    hangs = (
        Hang(pupa="m1", place="north", spot="20", x=20, y=0, due=date(2027, 7, 11), from_place="north"),
        Hang(pupa="m2", place="north", spot="4", x=4, y=0, due=date(2027, 7, 11), from_place="north"),
    )
    moves = (move(1, "m1", "4", "40"), move(2, "m2", "20", "4", 1), move(3, "m1", "40", "20", 2))
    plan = replace(good_plan(pupae=RING), hangs=hangs, moves=moves, proof=(), settings={"rehang_price": 3})
    world.plan(**{f: getattr(plan, f) for f in ("hangs", "moves", "proof", "settings", "inputs")})
    return world


def spots(world):
    return {name: row["spot"] for name, row in rows(world).items()}


def test_a_pupa_that_is_parked_goes_on_when_the_other_has_left(ring):
    assert done("m1", "porch").out.splitlines()[:2] == [
        "recorded: hung on 5 Jul 08:00: m1 at north 40 cm",
        "2 moves of the plan remain: m1, m2",
    ]
    assert ring.call("check").code == 0
    assert done("m2", "porch").code == 0
    assert spots(ring) == {"m1": "40", "m2": "4"}
    assert ring.call("check").code == 0
    assert done("m1", "porch").out.splitlines()[1] == "all moves of the plan are done"
    assert spots(ring) == {"m1": "20", "m2": "4"}
    assert ring.call("check").code == 0


@pytest.mark.usefixtures("ring")
def test_who_waits_for_another_cannot_be_done_before_it():
    said = done("m2", "porch")
    assert said.err == (
        "m2: step 2 hangs it at north 4 cm, where m1 hangs; step 1 takes m1 away: "
        "name both if both were moved\n"
    )


@pytest.mark.parametrize("words", [("porch",), ("m2", "m1", "porch")])
def test_a_whole_ring_is_done_at_once(ring, words):
    assert done(*words, "--json").data["done"] == [
        {"id": "m1", "place": "north", "spot": "20", "hung": ON, "steps": [1, 3]},
        {"id": "m2", "place": "north", "spot": "4", "hung": ON, "steps": [2]},
    ]
    assert spots(ring) == {"m1": "20", "m2": "4"}
