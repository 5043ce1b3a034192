import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from cli_world import PUPAE, SETTINGS, call, good_plan

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
        "pupae.csv was changed since the plan was made: 'hangplan plan porch' makes a new\none\n"
    )


def test_all_breaches_against_the_present_data_are_told(world):
    world.plan()
    world.write("pupae.csv", PUPAE + "m4,2027-07-01,tub-2,30,20\nm5,2027-07-01,tub-2,30,10\n")
    said = world.call("check")
    assert said.code == 1
    assert said.out == (
        "Porch: the files are in order; 5 pupae recorded, 5 present\n"
        "the plan of Mon 5 Jul 08:00 breaks the rules in 2 points\n"
        "plan.yaml:0:0: once: m4 hangs nowhere: allowed is one spot for each pupa present\n"
        "plan.yaml:0:0: once: m5 hangs nowhere: allowed is one spot for each pupa present\n"
        "pupae.csv was changed since the plan was made: 'hangplan plan porch' makes a new\none\n"
    )


def test_a_breach_without_a_change_is_told_as_well(world):
    world.plan(moves=())
    said = world.call("check")
    assert said.code == 1
    assert said.out.splitlines()[2:] == [
        "plan.yaml:0:0: moves: m2 hangs on north at 4 with a from but no move: allowed is one",
        "plan.yaml:0:0: moves: m3 hangs on north at 8 with a from but no move: allowed is one",
        "plan.yaml:0:0: proof: level touched has value 2: allowed is 0, the number listed",
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
    assert said.err.startswith("readings.csv:0:0: ")


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


def test_a_pupa_of_the_future_is_noted(world):
    said = world.call("check", on="2027-07-02")
    assert said.out.endswith("note: pupated after 2027-07-02 12:00, which counts as now: m3\n")


def test_moves_whose_time_has_passed_are_noted(world):
    world.plan()
    said = world.call("check", on="2027-07-10T12:01")
    assert said.out.endswith("note: too late to be moved as planned, may be darkening: m2\n")


def test_check_for_programs(world):
    world.plan(moves=())
    world.write("pupae.csv", PUPAE + "\n")
    data = world.call("check", "--json", on="2027-07-02").data
    assert [b["where"] for b in data.pop("breaches")] == ["moves", "moves", "proof"]
    assert data == {
        "pupae": 3,
        "present": 3,
        "plan": {"on": "2027-07-05T08:00:00", "stale": ["pupae.csv"]},
        "notes": ["pupated after 2027-07-02 12:00, which counts as now: m3"],
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
    assert said.err == "nowhere:0:0: there is no such folder: 'hangplan new nowhere' makes a season there\n"


@pytest.mark.usefixtures("world")
def test_a_folder_without_a_season_is_told():
    Path("empty").mkdir()
    assert call("check", "empty").err == (
        "season.yaml:0:0: there is no season in empty: 'hangplan new FOLDER' writes one to start from\n"
    )


@pytest.mark.usefixtures("world")
def test_a_file_in_the_place_of_a_season_is_told():
    said = call("check", "porch/season.yaml")
    assert (said.code, said.err) == (
        1, "porch/season.yaml:0:0: is not a folder: a season is a folder\n",
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
