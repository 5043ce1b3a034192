import os
import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from cli_world import ON, PUPAE, SETTINGS, call, good_plan

from planner.season import Level, TooClose

IN_ORDER = "Porch: the files are in order; 3 pupae recorded, 3 present\n"
NEW = "'hangplan plan porch' makes a new one\n"


def test_a_season_without_a_plan_is_in_order(world):
    said = world.call("check")
    assert (said.code, said.err) == (0, "")
    assert said.out == IN_ORDER + "there is no plan yet: 'hangplan plan porch' makes one\n"


def test_a_plan_that_keeps_every_rule_is_said_to(world):
    world.plan()
    said = world.call("check")
    assert (said.code, said.err) == (0, "")
    assert said.out == IN_ORDER + "the plan of Mon 5 Jul 08:00 keeps every rule\n"


def test_the_season_one_stands_in_needs_no_name(world, monkeypatch):
    monkeypatch.chdir(world.folder)
    assert call("check", "--on", "2027-07-05").out.endswith(
        "there is no plan yet: 'hangplan plan' makes one\n"
    )


def test_a_stale_plan_that_still_keeps_every_rule_is_told_and_is_no_fault(world):
    world.plan()
    world.write("pupae.csv", PUPAE.replace("x,y\n", "x,y,note\n"))
    said = world.call("check")
    assert said.code == 0
    assert said.out == (
        IN_ORDER + "the plan of Mon 5 Jul 08:00 keeps every rule\n"
        "pupae.csv was changed since the plan was made, in nothing that concerns it\n"
    )


def test_all_breaches_against_the_present_data_are_told(world):
    world.plan()
    world.write("season.yaml", SETTINGS.replace("clips_every: 4", "clips_every: 3"))
    said = world.call("check")
    assert said.code == 1
    assert said.out == (
        IN_ORDER + "the plan of Mon 5 Jul 08:00 breaks the rules in 2 points\n"
        "plan.yaml: spot: m2 on line north: no clip is at 4 cm: allowed are multiples of 3 cm\n"
        "plan.yaml: spot: m3 on line north: no clip is at 8 cm: allowed are multiples of 3 cm\n"
        "season.yaml was changed since the plan was made\n" + NEW
    )


def test_a_breach_without_a_change_is_told_as_well(world):
    world.plan(moves=())
    said = world.call("check")
    assert said.code == 1
    assert said.out.splitlines()[2:] == [
        "plan.yaml: moves: m2 hangs on north at 4 with a from but no move: allowed is one",
        "plan.yaml: moves: m3 hangs on north at 8 with a from but no move: allowed is one",
        NEW.strip(),
    ]


def test_the_faults_of_all_files_come_together(world):
    world.plan()
    world.write("season.yaml", SETTINGS.replace("Lisbon", "Lisboa"))
    world.write("pupae.csv", PUPAE.replace("2027-07-03", "2027-02-30"))
    world.write("plan.yaml", world.read("plan.yaml").replace("gap_days: 2", "gap_days: two"))
    said = world.call("check")
    assert (said.code, said.out) == (1, "")
    assert said.err == (
        "plan.yaml:5:11: gap_days: 'two' is not a number of days\n"
        "pupae.csv:4:4: m3: pupated: '2027-02-30': there is no such day\n"
        "season.yaml:2:11: timezone: 'Europe/Lisboa' is not a time zone (did you mean 'Europe/Lisbon'?)\n"
    )


def test_faults_for_programs(world):
    world.write("pupae.csv", PUPAE.replace("2027-07-03", "2027-02-30"))
    said = world.call("check", "--json")
    assert (said.code, said.err) == (1, "")
    what = "pupated: '2027-02-30': there is no such day"
    assert said.data == {
        "problems": [{"file": "pupae.csv", "line": 4, "column": 4, "where": "m3", "what": what}]
    }


def test_a_missing_temperature_file_is_a_fault(world):
    world.write("season.yaml", SETTINGS.replace("{constant: 23}", "{file: readings.csv}"))
    said = world.call("check")
    assert said.code == 1
    assert said.err.startswith("readings.csv: ")


def test_new_readings_make_the_plan_stale(world):
    settings = SETTINGS.replace("{constant: 23}", "{constant: 23, file: readings.csv}")
    world.write("season.yaml", settings)
    world.write("readings.csv", "date,min,max\n")
    world.plan(inputs={**good_plan(settings).inputs, "readings.csv": "of another version"})
    assert "readings.csv was changed since the plan was made" in world.call("check").out


def test_what_is_unlikely_is_noted(world):
    world.write("season.yaml", SETTINGS.replace("lower: 10", "lower: 2"))
    note = "note: profiles.monarch.lower: 2 °C is unusual: known butterflies and moths\n  have 3.9 to 16 °C\n"
    said = world.call("check")
    assert said.code == 0
    assert said.out.endswith(note)


def test_clips_that_overlap_by_the_record_are_noted_in_the_seasons_unit(world):
    line = "{line: yarn, length: 24, height: 60, clip_width: 0.5}"
    world.write(
        "season.yaml",
        "season: Porch\nunits: in\ntemperature: {constant: 23}\nplaces:\n  - " + line + "\n",
    )
    world.write(
        "pupae.csv",
        "id,pupated,place,spot\np8,2027-07-01,yarn,6.1\nm9,2027-07-04,yarn,6.3\nm10,2027-07-04,yarn,6.8\n",
    )
    said = world.call("check")
    assert (
        "note: p8 and m9 are recorded 0.2 in apart on line yarn, where a clip is 0.5 in\n"
        "  wide: look where they hang\n"
    ) in said.out
    assert "m10" not in said.out


@pytest.mark.parametrize(
    ("stated", "told"),
    [
        ("upper: 5", "4:29: profiles.monarch.upper: 5 °C is not allowed: above lower (11.5 °C), up to 60 °C"),
        ("emerges_from: 13", "4:36: profiles.monarch.emerges_from: 13 h is not allowed: 0 h to below "
         "emerges_until (12 h)"),
    ],
)  # fmt: skip
def test_a_value_that_does_not_fit_a_shipped_profile_is_told_with_its_line_as_it_was_written(
    world, stated, told
):
    world.write("season.yaml", SETTINGS.replace("lower: 10, requirement: 130", stated))
    said = world.call("check")
    assert (said.code, said.err) == (1, f"season.yaml:{told}\n")


def test_a_pupa_of_the_future_is_noted(world):
    said = world.call("check", on="2027-07-02")
    assert said.out.endswith("note: pupated after Fri 2 Jul 2027, 12:00, which counts as now: m3\n")


def test_a_move_that_came_too_late_is_a_fault_and_so_is_the_clash_that_follows(world):
    world.plan()
    # m1 and m2 are due on one day, 3 cm apart on the lid: m2 was to leave it.
    said = world.call("check", on="2027-07-10T12:01")
    assert said.code == 1
    assert said.out == (
        IN_ORDER + "the plan of Mon 5 Jul 08:00 breaks the rules in 2 points\n"
        "plan.yaml: late: too late to be moved as planned, may be darkening: m2\n"
        "plan.yaml: clash: m1 and m2 hang 3 cm apart and are due less than 2 days apart, for m2 cannot be "
        "moved any more\n" + NEW
    )


def test_clashes_that_the_plan_has_are_counted(world):
    # Due two days apart where the plan asks for three, on neighbouring clips.
    world.plan(gap_days=3, proof=(), clashes=(TooClose(a="m2", b="m3", gap=2, distance=4),))
    said = world.call("check")
    assert said.code == 0
    assert said.out == IN_ORDER + "the plan of Mon 5 Jul 08:00 keeps every rule, with 1 clash to watch\n"


def test_check_for_programs(world):
    world.plan(moves=())
    world.write("pupae.csv", PUPAE + "\n")
    data = world.call("check", "--json", on="2027-07-02").data
    assert [b["where"] for b in data.pop("breaches")] == ["moves", "moves"]
    assert data == {
        "pupae": 3,
        "present": 3,
        "plan": {
            "on": "2027-07-05T08:00:00",
            "stale": ["pupae.csv"],
            "done": [],
            "to_do": [],
            "gone": [],
            "newcomers": [],
            "elsewhere": [],
            "redated": [],
        },
        "notes": ["pupated after Fri 2 Jul 2027, 12:00, which counts as now: m3"],
        "problems": [],
    }


def test_check_writes_nothing(world):
    world.plan()
    before = sorted(world.folder.rglob("*"))
    world.call("check")
    assert sorted(world.folder.rglob("*")) == before


@pytest.mark.usefixtures("world")
def test_a_missing_folder_is_told():
    said = call("check", "nowhere")
    assert (said.code, said.out) == (1, "")
    assert said.err == "nowhere: there is no such folder: a season is a folder, and this names none\n"


@pytest.mark.usefixtures("world")
def test_a_season_of_nearly_that_name_is_suggested():
    said = call("check", "prch")
    assert (said.code, said.err) == (1, "prch: there is no such folder (did you mean 'porch'?)\n")


@pytest.mark.usefixtures("world")
def test_a_folder_without_a_season_is_told():
    Path("empty").mkdir()
    assert call("check", "empty").err == (
        "season.yaml: there is no season in empty: 'hangplan new FOLDER' writes one to start from\n"
    )


@pytest.mark.usefixtures("world")
def test_a_file_in_the_place_of_a_season_is_told():
    said = call("check", "porch/season.yaml")
    assert (said.code, said.err) == (
        1, "porch/season.yaml: is not a folder: a season is a folder\n",
    )  # fmt: skip


def test_brackets_in_names_stay_as_they_are(world):
    world.write("season.yaml", SETTINGS.replace("season: Porch", "season: '[bold]Porch[/bold] [red]'"))
    assert world.call("check").out.startswith("[bold]Porch[/bold] [red]: the files are in order;")


def test_a_wrong_day_is_told_before_the_files_are_read(world):
    shutil.rmtree(world.folder)
    said = world.call("check", on="2027-02-30")
    assert (said.code, said.err) == (2, "--on: '2027-02-30': there is no such day\n")


def test_a_plan_of_another_season_breaks_the_rules(world):
    plan = good_plan()
    world.plan(hangs=tuple(replace(h, pupa=f"x{h.pupa}") for h in plan.hangs))
    said = world.call("check")
    assert said.code == 1
    assert "xm1 hangs but is not recorded: allowed are pupae of the season" in said.out


# Part of the plan is done

HEAD = "id,pupated,place,spot,x,y,outcome,ended\n"
M1 = "m1,2027-07-01,tub-2,,5,5,,\n"
M2 = "m2,2027-07-01,north,4,,,,\n"
M3 = "m3,2027-07-03,north,8,,,,\n"
REST = "what is left of the plan of Mon 5 Jul 08:00"


def since(world, rows, on=ON):
    """What check says of the plan after these rows became the record."""
    world.plan()
    world.write("pupae.csv", HEAD + rows)
    said = world.call("check", on=on)
    return said.code, said.out.splitlines()[1:]


def test_a_plan_carried_out_is_no_fault(world):
    assert since(world, M1 + M2 + M3) == (
        0, [f"{REST} keeps every rule", "since then: 2 of 2 moves done"],
    )  # fmt: skip


def test_a_plan_carried_out_in_part_while_one_emerged_is_no_fault(world):
    gone = M1.replace(",,\n", ",emerged,2027-07-05\n")
    assert since(world, gone + M2 + M3.replace("north,8,,", "tub-3,,5,5")) == (
        0, [f"{REST} keeps every rule", "since then: 1 of 2 moves done; gone: m1"],
    )  # fmt: skip


def test_who_is_not_in_the_plan_makes_it_old_and_is_no_fault(world):
    # m4 and m5, 3 cm apart and of one day, are not the plan's doing.
    new = "m4,2027-07-05,tub-2,,30,20,,\nm5,2027-07-05,tub-2,,33,20,,\n"
    assert since(world, M1 + M2 + M3 + new) == (
        0,
        [f"{REST} keeps every rule",
         "since then: 2 of 2 moves done; not in the plan: m4, m5", NEW.strip()],
    )  # fmt: skip


def test_who_hangs_elsewhere_is_told_and_a_pair_too_close_by_that_is_a_fault(world):
    code, lines = since(world, M1 + M2 + M3.replace("north,8", "north,40"))
    assert (code, lines[1:]) == (
        0,
        ["since then: 1 of 2 moves done; hung elsewhere than planned: m3 at north 40 cm",
         NEW.strip()],
    )  # fmt: skip
    # m1 and m2 are due on one day; the plan had left m1 on its lid.
    code, lines = since(world, M1.replace("tub-2,,5,5", "north,10,,") + M2 + M3)
    assert code == 1
    assert lines[:2] == [
        f"{REST} breaks the rules in 1 point",
        "plan.yaml: clash: m1 and m2 hang 6 cm apart and are due less than 2 days apart",
    ]


def test_a_target_that_somebody_else_has_taken_is_a_fault(world):
    code, lines = since(
        world, M1.replace("tub-2,,5,5", "north,8,,") + M2 + M3.replace("north,8,,", "tub-3,,5,5")
    )
    assert code == 1
    assert "plan.yaml: shared: m3 and m1 hang on one spot, line north at 8: allowed is one pupa" in lines


def test_a_corrected_date_is_told_and_who_clashes_by_it_though_the_plan_did_no_harm(world):
    # A day earlier: due on the 12th, a day after its neighbour m2 where two are asked for.
    code, lines = since(world, M1 + M2 + M3.replace("07-03", "07-02"))
    assert code == 0
    assert f"{REST} keeps every rule, with 1 clash to watch" in " ".join(lines)
    assert "these clash now where they hang: m2 and m3" in lines
    assert "due on another day than planned: m3" in "\n".join(lines)


def test_what_is_left_is_told_to_programs(world):
    world.plan()
    world.write("pupae.csv", HEAD + M2 + "m4,2027-07-05,tub-2,,30,20,,\n" + M1.replace("tub-2", "tub-3"))
    assert world.call("check", "--json").data["plan"] == {
        "on": "2027-07-05T08:00:00", "stale": ["pupae.csv"], "done": [1], "to_do": [], "gone": ["m3"],
        "newcomers": ["m4"], "elsewhere": ["m1"], "redated": [],
    }  # fmt: skip


def test_what_a_command_left_that_died_before_its_change_was_made_is_noted_and_not_used(world):
    own = world.folder / ".hangplan"
    own.mkdir()
    for name in ("000001-pupae.csv.old", "000001-pupae.csv.new"):
        (own / name).write_bytes(b"half of it")
    world.plan()
    assert "stopped" not in world.call("check").out  # another command may just be writing
    for path in own.iterdir():
        os.utime(path, (1e9, 1e9))
    said = world.call("check")
    assert said.code == 0
    assert said.out.endswith(
        "note: a command was stopped here before it changed anything: what it left in\n"
        "  .hangplan is not used, and the next that writes takes it away\n"
    )
    assert call("mark", "m1", "failed", "porch", "--on", ON).code == 0
    assert "stopped" not in world.call("check").out


def test_an_interrupted_change_is_finished_by_whoever_reads(world, monkeypatch):
    world.plan()
    real = Path.replace

    class Killed(BaseException):
        pass

    def replace_(path, target):
        if target == world.folder / "pupae.csv":
            raise Killed
        return real(path, target)

    with monkeypatch.context() as patch:
        patch.setattr(Path, "replace", replace_)
        with pytest.raises(Killed):
            call("mark", "m1", "failed", "porch", "--on", ON)
    assert "failed" not in world.read("pupae.csv")
    said = world.call("check")
    assert said.code == 0
    assert said.err.startswith("porch: 'mark m1 failed' (")
    assert said.err.endswith("had been interrupted and is now carried out\n")
    assert "failed" in world.read("pupae.csv")
    assert world.call("check").err == ""


def test_what_a_plan_says_of_itself_falsely_is_told_and_the_plan_holds(world):
    # m2 and m3 hang side by side, due two days apart.
    world.plan(proof=(Level(name="smallest_gap", value=9, bound=9, proved=True),))
    said = world.call("check")
    assert (said.code, said.err) == (0, "")
    assert said.out == (
        IN_ORDER + "the plan of Mon 5 Jul 08:00 keeps every rule\n"
        "note: do not go by what plan.yaml says was reached (level smallest_gap has\n"
        "  value 9: allowed is 2, as everybody hangs): 'hangplan plan porch' finds it\n"
        "  anew\n"
    )


def test_a_plan_with_levels_that_are_sought_no_more_is_said_to_be_older(world):
    # m2 and m3 hang side by side, due two days apart: that is less than 2 + 1, and counts 2.
    world.plan(proof=(Level(name="close", value=2, bound=0, proved=False),))
    said = world.call("check")
    assert (said.code, said.err) == (0, "")
    assert said.out == (
        IN_ORDER + "the plan of Mon 5 Jul 08:00 keeps every rule\n"
        "note: plan.yaml is of an older hangplan, which also sought what is sought no\n"
        "  more (due close together): 'hangplan plan porch' makes a new one\n"
    )


def test_of_a_season_changed_since_nothing_is_told_of_what_was_reached(world):
    world.plan(proof=(Level(name="smallest_gap", value=9, bound=9, proved=True),))
    world.write("pupae.csv", PUPAE.replace("x,y\n", "x,y,note\n"))
    assert "smallest_gap" not in world.call("check").out


def test_rows_that_the_plan_names_and_the_table_lacks_are_told_first(world):
    world.plan()
    world.write("pupae.csv", PUPAE.replace("m3,2027-07-03,tub-3,5,5\n", ""))  # cut off at the end of a row
    said = world.call("check")
    assert " ".join(said.out.split()).startswith(
        "Porch: pupae.csv lacks m3, whom the plan names: if rows were lost, bring them back; 2 pupae recorded"
    )


def test_pairs_that_waited_for_one_that_is_firm_now_are_told(world):
    # m1 and m2, 3 cm apart and of one day, are soft until 6 July 00:00.
    young = (
        "id,pupated,place,x,y\nm1,2027-07-04,tub-2,5,5\nm2,2027-07-04,tub-2,8,5\nm3,2027-07-04,tub-3,5,5\n"
    )
    world.write("pupae.csv", young)
    assert world.call("plan", "--seconds", "0.1").code == 0
    assert "were soft when the plan was made" not in world.call("check").out
    said = world.call("check", on="2027-07-06T08:00")
    # One of the two is planned for a later evening; for the other the plan had nothing to do.
    assert re.search(
        "note: still where they formed, for they were soft when the plan was made: m[12];", said.out
    )


def test_many_equal_faults_are_one_line_and_each_for_programs(world):
    world.write("pupae.csv", "id,pupated,place\n" + "".join(f"m{n},2027-02-30,tub-2\n" for n in range(50)))
    said = world.call("check")
    assert (said.code, said.out) == (1, "")
    assert said.err == (
        "pupae.csv:2:4: m0: pupated: '2027-02-30': there is no such day (and 49 more rows: 3-51)\n"
    )
    assert len(world.call("check", "--json").data["problems"]) == 50


def test_a_wing_reach_that_was_left_in_cm_is_noted(world):
    world.write("season.yaml", SETTINGS.replace("season: Porch", "season: Porch\nunits: in\nwing_reach: 10"))
    said = world.call("check")
    assert said.code == 0
    assert (
        "note: wing_reach in season.yaml is 10 in: usual is one wingspan, about 4 in\n"
        "  for monarch. Was it measured in cm?\n"
    ) in said.out
