import json
from dataclasses import replace
from datetime import datetime

import pytest
from cli_world import ON, PUPAE, SETTINGS, call, full_disk, good_plan

from planner.cli.answers.plan import show_plan
from planner.emergence import known_species
from planner.season import Level, Store, TooClose, load
from planner.season.plan import plan_file
from planner.verify import verify


@pytest.fixture
def made(monkeypatch):
    """Have a given plan come out of the solver, and no map drawn; says what the solver was asked."""

    def make(plan=None, then=lambda: None):
        asked = {}

        def make_plan(_season, on, **options):
            asked.update(options, on=on)
            options["progress"]("looking")
            options["progress"]("looking")
            then()
            return plan or good_plan()

        monkeypatch.setattr("planner.planning.make_plan.make_plan", make_plan)
        monkeypatch.setattr(
            "planner.cli.answers.rack_map.draw_map", lambda _, __, fmt, _paper: f"drawn as {fmt}".encode()
        )
        return asked

    return make


CROWDED = "id,pupated,place,spot,x,y\nm1,2027-07-01,north,4,,\nm2,2027-07-02,north,8,,\n"


def crowded(world, *, bound, proved):
    """m1 and m2 hang beside one another already, due one day apart: a clash nobody may undo."""
    world.write("pupae.csv", CROWDED)
    plan = good_plan(pupae=CROWDED)
    m1, m2, _ = plan.hangs
    return replace(
        plan,
        hangs=(
            replace(m1, place="north", spot="4", x=4, y=0),
            replace(m2, spot="8", x=8, from_place=None, due=datetime(2027, 7, 12).date()),
        ),
        moves=(),
        clashes=(TooClose(a="m1", b="m2", gap=1, distance=4),),
        proof=(Level(name="clashes", value=1, bound=bound, proved=proved),),
    )


def test_a_long_name_of_the_folder_is_told_once_and_the_commands_are_typed_there(world, made, monkeypatch):
    made()
    long = world.folder.rename(world.folder.with_name("the porch behind the house where milkweed grows"))
    monkeypatch.chdir(long.parent)
    said = call("plan", long.name, "--on", "2027-07-05T08:00")
    assert said.out.endswith(
        f"Written in {long.name}: plan.yaml,\n"
        "  out/map.png, out/moves.txt\n"
        "Next, in that folder: 'hangplan tags --moved', then 'hangplan done' once they\n"
        "  hang.\n"
    )


def test_what_was_printed_of_the_plan_before_is_told_where_it_no_longer_holds(world, made):
    made(replace(good_plan(), void=(7,)))
    assert world.call("plan").out.count("On lists printed before, step 7 is void.") == 1
    assert world.call("tags", "--moved").code == 0
    plan = good_plan()  # m3's clip is another
    hangs = tuple(replace(h, spot="12", x=12.0) if h.pupa == "m3" else h for h in plan.hangs)
    moves = tuple(replace(m, to_spot="12") if m.pupa == "m3" else m for m in plan.moves)
    made(replace(plan, hangs=hangs, moves=moves))
    said = " ".join(world.call("plan").out.split())
    assert "The printed tag of m3 no longer holds: 'hangplan tags porch --changed' prints it anew." in said
    assert "Next: 'hangplan tags porch --changed', then 'hangplan done porch' once they hang." in said
    assert world.call("tags", "--changed").code == 0
    assert "Next: 'hangplan done porch' once they hang." in " ".join(world.call("plan").out.split())
    assert world.call("lids").err == ""


def test_a_season_is_planned_from_end_to_end(world):
    said = world.call("plan")
    assert said.code == 0
    plan = plan_file.read(world.folder)
    assert verify(load(world.folder, ("monarch",)), plan) == []
    # One of m1 and m2, 3 cm apart and due on one day, must go, and m3 must leave its lid.
    assert len(plan.moves) == 2
    assert plan.clashes == ()
    assert all(level.proved for level in plan.proof[:2])
    assert plan.inputs == good_plan().inputs
    assert (world.folder / "out" / "map.png").read_bytes().startswith(b"\x89PNG")
    assert "From lid tub-3: 1 pupa (at = x,y in cm)" in world.read("out/moves.txt")
    assert world.call("check").out.endswith("the plan of Mon 5 Jul 08:00 keeps every rule\n")
    assert max(map(len, said.out.splitlines())) <= 80


def test_the_summary_says_what_was_done_and_what_comes_next(world, made):
    made()
    said = world.call("plan")
    assert said.code == 0
    assert said.err == "... looking\n"
    assert said.out == (
        "Porch: plan of Mon 5 Jul 2027, 08:00\n"
        "Move 2 of 3 pupae now; 1 stays on its lid.\n"
        "No clashes: no neighbours are due less than 2 days apart.\n"
        "\n"
        "  step  pupa  pupated  from   to          before\n"
        "  1     m2    1 Jul    tub-2  north 4 cm  afternoon of 10 Jul\n"
        "  2     m3    3 Jul    tub-3  north 8 cm  afternoon of 12 Jul\n"
        "\n"
        "Never move a soft or darkening pupa. Pins and tweezers are sharp.\n"
        "Written: porch/plan.yaml, porch/out/map.png, porch/out/moves.txt\n"
        "Next: 'hangplan tags porch --moved', then 'hangplan done porch' once they\n"
        "  hang.\n"
    )


def test_what_was_sought_and_how_dates_are_reckoned_is_told_where_that_is_asked(world, made):
    made()
    assert (
        "\n\n"
        "Sought, in this order      reached   at best\n"
        "  clashes                        0         0  proved\n"
        "  pupae to move                  2         2  proved\n"
        "\n"
        "Dates are reckoned by temperature: 23 °C throughout, as stated in season.yaml.\n\n"
    ) in world.call("plan", "--explain").out


def test_the_solver_is_asked_what_the_keeper_asked(world, made):
    asked = made(replace(good_plan(), gap_days=1.5))
    choices = ("--gap", "1.5", "--widest", "--rehang", "--seconds", "7", "--memory", "1.5G")
    world.call("plan", *choices, on="2027-07-05")
    del asked["progress"], asked["on_incumbent"]
    assert asked.pop("stop")() is False
    on = datetime(2027, 7, 5, 12)
    assert asked == {
        "gap": 1.5,
        "widest": True,
        "rehang": True,
        "evenings": None,
        "memory": 1.5e9,
        "before": None,
        "seconds": 7.0,
        "on": on,
        "log": None,
        "dump": None,
    }


def test_a_gap_below_the_season_s_is_noted(world, made):
    made(replace(good_plan(), gap_days=1.5))
    assert (
        "Take care: in this plan neighbours may be due 1.5 days apart; season.yaml asks\n"
        "for 2 days (gap_days).\n"
    ) in world.call("plan", "--gap", "1.5").out


def test_the_map_goes_where_it_is_wanted(world, made, tmp_path):
    made()
    said = world.call("plan", "-o", "rack.svg")
    assert "Written: porch/plan.yaml, rack.svg, porch/out/moves.txt\n" in said.out
    assert (tmp_path / "rack.svg").read_bytes() == b"drawn as svg"


@pytest.mark.parametrize(("bound", "proved", "code"), [(1, True, 3), (0, False, 4)])
def test_clashes_left_end_with_3_when_proved_unavoidable_and_else_with_4(world, made, bound, proved, code):
    made(crowded(world, bound=bound, proved=proved))
    said = world.call("plan")
    assert said.code == code
    assert "\n  m1    north 4 cm  11 Jul  m2    north 8 cm  12 Jul  4 cm   1\n" in said.out
    assert (world.folder / "plan.yaml").exists()


@pytest.mark.parametrize(
    ("ways", "on", "said"),
    [
        (("Re-hang: m1 once more.",), ON, "choose a way out and plan again; --explain tells more."),
        (("Tried in vain: more spots",), ON, "'hangplan today porch' names the pairs to watch."),
        ((), "2027-08-05T08:00", "record what became of those that are overdue, and plan again."),
    ],
)
def test_where_some_clash_the_next_step_is_one_that_can_be_taken(world, capsys, ways, on, said):
    plan = replace(crowded(world, bound=1, proved=True), on=datetime.fromisoformat(on), ways_out=ways)
    show_plan(load(world.folder, known_species()), plan, [], [], explain=False)
    assert f"Next: {said}\n" in capsys.readouterr().out


@pytest.mark.parametrize(("bound", "proved", "code"), [(1, True, 3), (0, False, 4)])
def test_one_left_on_a_lid_to_be_cleared_ends_likewise(world, made, bound, proved, code):
    plan = good_plan()
    stays = replace(plan.hangs[2], place="tub-3", spot="5,5", x=5, y=5, from_place=None)
    made(
        replace(
            plan,
            hangs=(*plan.hangs[:2], stays),
            moves=plan.moves[:1],
            left=("m3",),
            proof=(Level(name="left", value=1, bound=bound, proved=proved), plan.proof[0]),
        )
    )
    said = world.call("plan")
    assert said.code == code
    assert "No spot for m3: it stays on its lid, which should be cleared.\n" in said.out


def test_a_plan_that_breaks_a_rule_is_our_fault_and_is_neither_written_nor_shown(world, made):
    before = world.files()
    made(replace(good_plan(), moves=()))
    said = world.call("plan")
    assert (said.code, said.out) == (1, "")
    assert said.err == (
        "... looking\n"
        "the plan found breaks rules: that is a fault of hangplan, not yours; nothing was written\n"
        "moves: m2 hangs on north at 4 with a from but no move: allowed is one\n"
        "moves: m3 hangs on north at 8 with a from but no move: allowed is one\n"
        "proof: level touched has value 2: allowed is 0, the number listed\n"
    )
    assert world.files() == before
    assert not (world.folder / "out").exists()


@pytest.mark.parametrize("name", ["season.yaml", "pupae.csv"])
def test_a_file_changed_while_planning_makes_the_plan_void(world, made, name):
    made(then=lambda: world.write(name, world.read(name) + "\n"))
    said = world.call("plan")
    assert (said.code, said.out) == (1, "")
    assert said.err == f"... looking\n{name} was changed while planning: run plan again\n"
    assert not (world.folder / "plan.yaml").exists()
    assert not (world.folder / "out").exists()


def test_a_plan_written_by_another_meanwhile_is_not_written_over(world, made):
    made(then=lambda: world.write("plan.yaml", "another"))
    said = world.call("plan")
    assert said.code == 1
    assert said.err == (
        "... looking\n"
        "porch/plan.yaml: somebody else has changed it meanwhile: nothing was written, try again\n"
    )
    assert world.read("plan.yaml") == "another"


def test_a_faulty_plan_in_force_is_replaced_and_kept_in_the_history(world, made):
    world.write("plan.yaml", "broken")
    made()
    assert world.call("plan").code == 0
    assert plan_file.read(world.folder) == good_plan()
    assert [p.read_text() for _, p in Store(world.folder).versions()] == ["broken"]


def test_a_full_disk_is_told(world, made, monkeypatch):
    made()
    monkeypatch.setattr(Store, "write", full_disk)
    said = world.call("plan")
    assert (said.code, said.out) == (1, "")
    assert said.err.endswith(
        "porch/plan.yaml: cannot be written: No space left on device. Nothing was changed\n"
    )
    assert not (world.folder / "out").exists()


def test_a_map_that_cannot_be_written_does_not_take_the_plan_away(world, made):
    made()
    said = world.call("plan", "-o", "no/such/folder/map.png")
    assert said.code == 1
    assert "Written: porch/plan.yaml, porch/out/moves.txt\n" in said.out
    assert said.err == (
        "no/such/folder/map.png: cannot be written: No such file or directory: the plan will be written, but "
        "not the map\n... looking\n"
        "plan.yaml was written, but not the map: no/such/folder/map.png: cannot be written: No such file or "
        "directory\n"
    )
    assert plan_file.read(world.folder) == good_plan()


def test_a_season_without_pupae_has_nothing_to_plan(world):
    world.write("pupae.csv", "id,pupated,place\n")
    said = world.call("plan")
    assert (said.code, said.err) == (1, "no pupa is present: 'hangplan add porch' records some\n")


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (("--gap", "-1"), "--gap: -1: allowed is 0 to 60 days"),
        (("--gap", "nan"), "--gap: nan: allowed is 0 to 60 days"),
        (("--seconds", "0"), "--seconds: 0: allowed is more than 0 and at most 86400"),
        (("--seconds", "nan"), "--seconds: nan: allowed is more than 0 and at most 86400"),
        *(
            (("--evenings", n), f"--evenings: {n}: allowed is a whole number, 1 (today only) to 30")
            for n in ("0", "-2", "1000", "2.5", "two", "٣")
        ),
        (
            ("--wait", "--evenings", "1"),
            "--wait leaves some on their lids until tomorrow, --evenings 1 plans today only: choose one",
        ),
        *(
            (
                ("--memory", n),
                f"--memory: '{n}': write megabytes or gigabytes, such as 500M or 2G; at least 100M",
            )
            for n in ("2", "99M")
        ),
        (("-o", "map.jpeg"), "-o: 'map.jpeg': the suffix chooses the format: allowed is .png, .svg, .pdf"),
    ],
)
def test_a_wrong_call_is_refused(world, args, message):
    said = world.call("plan", *args)
    assert (said.code, said.out, said.err) == (2, "", message + "\n")


def test_faulty_files_are_refused_before_anything_is_sought(world, made):
    asked = made()
    world.write("pupae.csv", PUPAE.replace("tub-3", "tub-9"))
    said = world.call("plan")
    assert (said.code, said.out) == (1, "")
    assert said.err == (
        "pupae.csv:4:15: m3: place: there is no place 'tub-9': places are north, tub-2, tub-3\n"
    )
    assert asked == {}


def test_plan_for_programs(world, made):
    made()
    data = world.call("plan", "--json").data
    assert data["files"] == ["porch/plan.yaml", "porch/out/map.png", "porch/out/moves.txt"]
    assert data["problems"] == []
    plan = data["plan"]
    assert plan["on"] == "2027-07-05T08:00:00"
    assert plan["hangs"][1] == {
        "pupa": "m2", "place": "north", "spot": "4", "x": 4, "y": 0, "due": "2027-07-11",
        "from_place": "tub-2",
    }  # fmt: skip
    assert plan["moves"][0]["not_after"] == "2027-07-10T12:00:00"
    assert plan["proof"][0] == {"name": "clashes", "value": 0, "bound": 0, "proved": True}
    json.dumps(data, allow_nan=False)


def test_pupae_still_soft_are_named_with_their_time(world):
    world.write("pupae.csv", PUPAE + "m4,2027-07-04,tub-2,30,20\nm5,,tub-2,35,20\n")
    out = world.call("plan").out
    assert (
        "Do not touch m4: soft until the end of Mon 5 Jul.\nDo not touch m5: prepupa, hanging in a J.\n"
    ) in out


def test_who_is_still_soft_is_planned_when_firm(world):
    world.write("pupae.csv", "id,pupated,place,x,y\nm1,2027-07-04,tub-2,30,20\n")
    out = world.call("plan").out
    assert out.endswith("Next: plan again on Tue 6 Jul: the next ones are firm then.\n")


def test_a_pupa_of_the_future_is_told(world):
    said = world.call("plan", on="2027-07-02")
    assert said.err.startswith(
        "pupated after Fri 2 Jul 2027, 12:00, which counts as now: m3; --on DATE sets another now\n"
    )


def test_the_readings_a_plan_was_made_with_are_noted_in_it(world):
    world.write("season.yaml", SETTINGS.replace("{constant: 23}", "{constant: 23, file: readings.csv}"))
    world.write("readings.csv", "date,min,max\n2027-07-01,23,23\n")
    assert world.call("plan").code == 0
    assert "readings.csv" in plan_file.read(world.folder).inputs
    assert "changed" not in world.call("check").out
