import re
from dataclasses import replace

import pdfplumber
import pytest
from cli_world import SETTINGS, call, good_plan

from planner.follow import in_force
from planner.report.texts.day_sections import expected
from planner.report.texts.text import columns
from planner.season import TooClose

EVE = "2027-07-10T08:00"  # m1 and m2 are due on the 11th and may be darkening from 12:00; m3 on the 13th
RECORD = (
    "To record\n"
    "  hangplan done m2 porch          once it hangs there\n"
    "  hangplan mark m1 emerged porch  or darkening, failed, ...\n"
    "Never move a soft or darkening pupa. Pins and tweezers are sharp.\n"
)
RECKONED = "Dates are reckoned by temperature: 23 °C throughout, as stated in season.yaml.\n"


def without_numbers(text):
    """Chances are judged in tests/emergence; here only that they stand there."""
    return re.sub(r"[ <>]*\d+ %", "  N %", text)


def test_the_sheet_with_a_plan(world):
    world.plan()
    said = world.call("today", on=EVE)
    assert (said.code, said.err) == (0, "")
    head, rest = said.out.split("\n\n", 1)
    assert head.splitlines()[0] == "Porch: Sat 10 Jul 2027"
    assert head[23:] == "3 pupae. Perhaps one today, about 1 tomorrow."
    assert without_numbers(rest) == (
        "Due today or tomorrow\n"
        "  pupa    hangs  today  tomorrow  due\n"
        "  m1, m2  tub-2  N %  N %  11 Jul\n\n"
        "Move now, in this order: 2 pupae\n"
        "  Do not put off m2: move it before the afternoon of 10 Jul.\n"
        "  step  pupa  hangs         to          before\n"
        "  1     m2    tub-2 at 8,5  north 4 cm  afternoon of 10 Jul\n"
        "  2     m3    tub-3 at 5,5  north 8 cm  afternoon of 12 Jul\n\n" + RECORD
    )


def test_on_what_the_sheet_rests_is_told_where_that_is_asked(world):
    out = world.call("today", "--explain", on=EVE).out
    # Due at noon of the 11th, half within 0.67 × √(1² + 1/12 + 0.3²) days, the last by the room's weather.
    told = "Half of the pupae like m1, m2 emerge\n  from 10 Jul to 12 Jul."
    assert f"Due today or tomorrow\n  Chances hold if it was not out at 08:00. {told}\n" in out
    assert out.endswith(RECKONED)


@pytest.mark.parametrize(
    ("number", "said"),
    [
        (0.04, "none expected today"),
        (0.3, "perhaps one today"),
        (0.8, "about 1 today"),
        (3.4, "about 3 today"),
    ],
)
def test_an_expected_number_is_told_no_more_precisely_than_it_is(number, said):
    assert expected(number, "today") == said


def test_without_a_plan_whoever_may_leave_the_lids_is_named_by_lid_and_hour(world):
    out = world.call("today", on=EVE).out
    assert (
        "May be moved now: 3 pupae\n"
        "  They are firm and not darkening. A plan says who must be moved, and where to.\n"
        "  pupae   hang   before\n"
        "  m1, m2  tub-2  afternoon of 10 Jul\n"
        "  m3      tub-3  afternoon of 12 Jul\n"
    ) in out
    assert "note: there is no plan yet: 'hangplan plan porch' makes one\n" in out


def test_soft_darkening_and_prepupal_ones_are_not_to_be_touched_and_it_says_why(world):
    world.write(
        "pupae.csv",
        "id,pupated,place,darkening\nm1,2027-07-01,tub-2,2027-07-10T07:00\nm2,2027-07-01,tub-2,\n"
        "m3,2027-07-10,tub-3,\nm4,,tub-3,\n",
    )
    out = world.call("today", on="2027-07-10T13:00").out
    assert (
        "Do not touch m3: soft until the end of Sun 11 Jul.\n"
        "Do not touch m1: darkening seen on 10 Jul 07:00.\n"
        "Do not touch m2: may be darkening, due Sun 11 Jul.\n"
        "Do not touch m4: prepupa, hanging in a J.\n"
    ) in out
    assert "  pupa  hangs  today  tomorrow  due     darkening\n" in out
    assert "  11 Jul  10 Jul 07:00\n" in out


def test_the_overdue_come_with_what_to_look_for_and_are_no_longer_due(world):
    out = world.call("today", on="2027-07-16").out
    section = out.split("Overdue: 3\n")[1].split("\n\n")[0].splitlines()
    assert section[0] == "  Look without touching. Colours through the skin: it lives and is late; is it"
    # The interval's end; its width is the profile's spread, judged in tests/emergence.
    assert section[4] == "  pupa    hangs         due     19 in 20 by"
    assert [row.split("tub")[0].strip() for row in section[5:]] == ["m1, m2", "m3"]
    assert "Due today" not in out
    assert "3 pupae. Perhaps one today, none expected tomorrow.\n" in out
    assert "Do not touch" not in out


def test_expected_numbers_are_the_sums_of_all_chances(world):
    data = world.call("today", "--json", on=EVE).data
    pupae = data["movable"]
    assert [p["id"] for p in pupae] == ["m1", "m2", "m3"]
    for day in ("today", "tomorrow"):
        assert data["expected"][day] == pytest.approx(sum(p[day] for p in pupae))
    assert 0 < pupae[0]["today"] < pupae[0]["tomorrow"] < 1


def test_a_day_without_an_hour_is_taken_whole(world):
    at = [world.call("today", "--json", on=on).data for on in ("2027-07-10", "2027-07-10T00:00")]
    assert at[0]["expected"] == at[1]["expected"]
    assert (
        "Chances hold if it was not out when the day began."
        in world.call("today", "--explain", on="2027-07-10").out
    )


def test_in_the_evening_nobody_emerges_any_more_that_day(world):
    # Monarchs emerge from 6 to 12 h: at 22 h whoever is not out is left for the days to come.
    in_the_morning = world.call("today", "--json", on="2027-07-10").data["expected"]
    found = world.call("today", "--json", on="2027-07-10T22:00").data
    assert found["expected"]["today"] == 0
    assert found["expected"]["tomorrow"] > in_the_morning["tomorrow"]
    out = world.call("today", "--explain", on="2027-07-10T22:00").out
    assert "Chances hold if it was not out at 22:00." in out


def test_json_names_who_may_be_moved_until_when_and_where_to(world):
    world.plan()
    data = world.call("today", "--json", on=EVE).data
    assert data.keys() == {
        "on", "expected", "due", "overdue", "movable", "untouched", "notes", "assumption", "files",
        "problems",
    }  # fmt: skip
    moved = {p["id"]: (p["until"], p["to"]) for p in data["movable"]}
    assert moved == {
        "m1": ("2027-07-10T12:00", None),
        "m2": ("2027-07-10T12:00", {"place": "north", "spot": "4", "step": 1}),
        "m3": ("2027-07-12T12:00", {"place": "north", "spot": "8", "step": 2}),
    }
    assert data["assumption"] == "23 °C throughout, as stated in season.yaml"


def test_a_plan_goes_on_holding_when_some_have_emerged_and_some_are_moved(world):
    world.plan()
    world.write(
        "pupae.csv",
        "id,pupated,place,spot,x,y,outcome,ended\nm1,2027-07-01,tub-2,,5,5,emerged,2027-07-10\n"
        "m2,2027-07-01,north,4,,,,\nm3,2027-07-03,tub-3,,5,5,,\n",
    )
    out = world.call("today", on=EVE).out
    assert "  2     m3    tub-3 at 5,5  north 8 cm  afternoon of 12 Jul\n" in out
    assert "  1     m2 " not in out
    assert "note:" not in out


def test_a_plan_that_does_not_hold_any_more_is_not_shown(world):
    world.plan()
    world.write("season.yaml", SETTINGS.replace("length: 60", "length: 7"))  # m3 was to go to 8
    out = world.call("today", on=EVE).out
    assert "north" not in out
    assert (
        "note: the plan in force cannot be hung by any more: 'hangplan plan porch'\n"
        "  makes a new one, 'hangplan check porch' says why\n"
    ) in out


def test_clashes_to_watch_are_told(world):
    world.plan(gap_days=3, proof=(), clashes=(TooClose(a="m2", b="m3", gap=2, distance=4),))
    assert (
        "Clashes to watch: 1 pair\n  They are due less than 3 days apart.\n"
        "  pupa  due     pupa  due\n"
        "  m2    11 Jul  m3    13 Jul\n"
    ) in world.call("today").out


def test_who_is_left_on_a_lid_to_be_cleared_is_told(world):
    plan = good_plan()
    stays = replace(plan.hangs[2], place="tub-3", spot="5,5", x=5, y=5, from_place=None)
    world.plan(hangs=(*plan.hangs[:2], stays), moves=plan.moves[:1], proof=(), left=("m3",))
    assert "Left on lids to be cleared: 1 pupa. No spot by the plan for m3.\n" in world.call("today").out


def test_a_move_that_comes_too_late_is_told(world):
    world.plan()
    out = world.call("today", on="2027-07-11T08:00").out
    assert (
        "note: too late to be moved as planned, may be darkening: m2; so these clash\n"
        "  where they hang: m1 and m2; 'hangplan plan porch' makes a new one\n"
    ) in out
    assert "hangplan done m3 porch" in out
    assert "hangplan done m2" not in out


def test_an_empty_season_is_no_fault(world):
    world.write("pupae.csv", "id,pupated,place\n")
    said = world.call("today")
    assert (said.code, said.out) == (0, "Porch: Mon 5 Jul 2027\nNo pupa is present.\n")
    assert world.call("today", "--json").data["due"] == []
    assert world.call("today", "-o", "t.pdf").code == 0


def test_the_turn_of_the_month_is_a_day_like_any_other(world):
    world.write("pupae.csv", "id,pupated,place\nm1,2027-07-21,tub-2\nm2,2027-07-22,tub-2\n")
    out = world.call("today", on="2027-07-31").out
    assert "Sat 31 Jul 2027" in out
    rows = [line.split()[-2:] for line in out.splitlines() if line.startswith(("  m1 ", "  m2 "))]
    assert rows[:2] == [["31", "Jul"], ["1", "Aug"]]  # pupated 21 July, ten days


def test_lengths_and_points_are_in_the_keeper_s_unit(world):
    settings = SETTINGS.replace("timezone", "units: in\ntimezone").replace("length: 60", "length: 24")
    world.write("season.yaml", settings.replace("clips_every: 4", "clips_every: 2"))
    world.write(
        "pupae.csv", "id,pupated,place,spot,x,y\nm1,2027-07-01,tub-2,,5.5,5\nm2,2027-07-01,north,2,,\n"
    )
    out = world.call("today", on=EVE).out
    assert "  m1    tub-2 at 5.5,5 " in out
    assert "  m2    north 2 in " in out


def many(number):
    rows = "".join(f"m{i},2027-07-01,tub-2\n" for i in range(1, number + 1))
    return "id,pupated,place\n" + rows


def test_of_many_the_first_are_named_and_the_rest_counted_unless_all_are_wanted(world):
    world.write("pupae.csv", many(600))
    out = world.call("today", on="2027-07-11").out
    assert "\n  m1 to m600  tub-2 " in out
    assert "Do not touch m1 to m600: may be darkening, due Sun 11 Jul.\n" in out
    assert len(out.splitlines()) < 24
    everything = world.call("today", "--all", on="2027-07-11").out
    assert "\n  m600  tub-2 " in everything
    assert "more row" not in everything


@pytest.mark.parametrize(("on", "part"), [("2027-07-05", "May be moved now"), ("2027-07-11", "Do not touch")])
def test_a_cell_with_many_names_is_cut_short_unless_all_are_wanted(world, on, part):
    odd = "".join(f"m{i},2027-07-01,tub-2\n" for i in range(1, 600, 2))
    world.write("pupae.csv", "id,pupated,place\n" + odd)
    out = " ".join(world.call("today", on=on).out.partition(part)[2].split())
    assert "m1, m3, m5, " in out
    assert " and 270 more" in out  # 300 less the first 30
    assert "m599" not in out
    assert "m599" in world.call("today", "--all", on=on).out


def test_no_line_is_wider_than_a_page(world):
    world.write("season.yaml", SETTINGS.replace("season: Porch", "season: " + "Säntis 蝶 " * 20))
    world.write("pupae.csv", many(40))
    world.plan()
    for on in ("2027-07-02", EVE, "2027-07-20"):
        for more in ((), ("--all",)):
            assert max(map(columns, world.call("today", *more, on=on).out.splitlines())) <= 80


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("letter", (612, 792))])
def test_the_sheet_for_the_wall_is_one_page_with_boxes(world, paper, size):
    world.plan()
    said = world.call("today", "-o", "today.pdf", "--paper", paper, on=EVE)
    assert (said.code, said.out) == (0, "wrote today.pdf\n")
    with pdfplumber.open("today.pdf") as pdf:
        (page,) = pdf.pages
        assert (round(page.width), round(page.height)) == size
        text = page.extract_text()
        boxes = [r for r in page.rects if 2 < r["width"] < 30]
    assert "Porch: Sat 10 Jul 2027" in text
    assert "m2 tub-2 at 8,5 north 4 cm afternoon of 10 Jul" in text.replace("1 m2", "m2")
    assert text.endswith("Never move a soft or darkening pupa. Pins and tweezers are sharp.")
    assert len(boxes) == 2 * 2 + 2  # dark and out for two due ones, moved for two


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (("-o", "today.png"), "-o: 'today.png': the suffix chooses the format: allowed is .pdf"),
        (("--paper", "A5"), "--paper: 'A5': allowed is A4 or Letter"),
        (("--paper", "A4"), "--paper A4: it is for the page that -o makes: give it with -o FILE"),
    ],
)
def test_a_wrong_call_is_refused(world, args, message):
    said = world.call("today", *args)
    assert (said.code, said.out, said.err) == (2, "", message + "\n")


def test_a_faulty_plan_is_told_completely(world):
    world.write("plan.yaml", "plan: 99\n")
    said = world.call("today")
    assert said.code == 1
    assert said.err.startswith("plan.yaml:")
    assert said.err.endswith("\n'hangplan plan' makes plan.yaml anew\n")
    assert "anew" not in world.call("today", "--json").out
    (world.folder / "plan.yaml").unlink()
    (world.folder / "plan.yaml").mkdir()  # which plan cannot replace
    assert "anew" not in world.call("today").err


def test_the_plan_is_judged_by_the_verifier(world, monkeypatch):
    world.plan()
    monkeypatch.setattr(in_force, "breaches", lambda *_: iter(["some breach"]))
    assert "cannot be hung by" in world.call("today", on=EVE).out


def test_the_season_one_stands_in_is_meant_where_none_is_named(world, monkeypatch):
    monkeypatch.chdir(world.folder)
    assert "  hangplan mark m1 emerged  or darkening" in call("today", "--on", EVE).out


YOUNG = "id,pupated,place,x,y\nm1,2027-07-04,tub-2,5,5\nm2,2027-07-04,tub-2,8,5\nm3,2027-07-04,tub-3,5,5\n"


def test_who_must_leave_a_lid_but_is_soft_is_not_said_to_have_no_spot(world):
    # All three are soft until the end of 5 July.
    world.write("pupae.csv", YOUNG)
    assert world.call("plan", "--seconds", "0.1").code == 0
    said = world.call("today")
    assert "Left on lids to be cleared: 1 pupa. It cannot be moved now.\n" in said.out
    assert "note: planned for Tue 6 Jul: m1, m3 when firm, at the latest 13 Jul\n" in said.out


def test_who_was_soft_when_the_plan_was_made_and_is_firm_now_asks_for_another_plan(world):
    world.write("pupae.csv", YOUNG)
    assert world.call("plan", "--seconds", "0.1").code == 0
    said = world.call("today", on="2027-07-06T08:00")
    assert "Left on lids to be cleared: 1 pupa. To be hung on their evening: m3.\n" in said.out
    # m1 and m2 are 3 cm apart and due on one day: once they are firm, that is a clash, and one has a spot.
    assert (
        "note: to be hung today by the plan: m1, m3; 'hangplan plan porch' makes the\n  steps\n"
    ) in said.out
