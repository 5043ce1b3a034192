import re
from pathlib import Path

from cli_world import PUPAE, SETTINGS


def test_it_is_written_into_the_season_unless_told_otherwise(world):
    world.plan()
    said = world.call("page")
    assert (said.code, said.err) == (0, "")
    # m3, pupated 3 July, is due 13 July and out with 19 in 20 on 14 July; with the day after it.
    assert said.out == (
        "wrote porch/out/page.html: 3 pupae, Mon 5 Jul to Thu 15 Jul 2027\n"
        "Open it on your phone. What you write down there comes back as a slip: 'hangplan take' records it.\n"
    )
    text = (world.folder / "out" / "page.html").read_text(encoding="utf-8")
    assert text.startswith("<!doctype html>")
    assert len(re.findall(r"data-move=", text)) == 2


def test_json_names_the_file_the_days_and_how_many_there_are(world):
    world.plan()
    assert world.call("page", "--json", "-o", "a.html").data == {
        "files": ["a.html"],
        "days": ["2027-07-05", "2027-07-15"],
        "pupae": 3,
        "moves": 2,
        "notes": [],
        "problems": [],
    }
    assert Path("a.html").exists()


def test_without_a_plan_it_shows_what_hangs_and_says_why_it_shows_no_moves(world):
    said = world.call("page", "-o", "a.html")
    assert said.code == 0
    assert "note: there is no plan yet: 'hangplan plan porch' makes one\n" in said.out
    assert "data-move=" not in Path("a.html").read_text(encoding="utf-8")


def test_a_plan_the_verifier_does_not_pass_is_not_shown(world):
    world.plan()
    world.write("season.yaml", SETTINGS.replace("length: 60", "length: 7"))  # m3's spot is not there any more
    said = world.call("page", "-o", "a.html")
    assert "note: the plan in force cannot be hung by any more:" in said.out
    assert "data-move=" not in Path("a.html").read_text(encoding="utf-8")


def test_a_step_that_would_now_make_a_clash_is_not_shown(world):
    world.plan()
    world.write("pupae.csv", PUPAE.replace("m3,2027-07-03", "m3,2027-07-01"))  # now due with its neighbour m2
    said = world.call("page", "-o", "a.html")
    assert "note: not to be done any more, the other steps go on: m2 " in said.out
    assert Path("a.html").read_text(encoding="utf-8").count("data-move=") == 1  # m3's step


def test_pupae_of_a_day_to_come_are_told(world):
    world.plan()
    said = world.call("page", "-o", "a.html", on="2027-07-02")
    assert "note: pupated after Fri 2 Jul 2027, 12:00, which counts as now: m3\n" in said.out


def test_another_suffix_is_refused(world):
    said = world.call("page", "-o", "a.pdf")
    assert (said.code, said.err) == (2, "-o: 'a.pdf': the suffix chooses the format: allowed is .html\n")
