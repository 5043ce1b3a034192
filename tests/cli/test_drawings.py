import io
import json
from pathlib import Path

import pdfplumber
import pytest
from cli_world import PUPAE, SETTINGS

from planner.season import StoreError

NO_PLAN = "there is no plan yet: 'hangplan plan porch' makes one\n"
SIZES = "write width x height, such as 40x25 (mm), 7.5x12.5cm or 3x5in"
SHARP = "Pins, scissors and tweezers are sharp.\n"
BEGINS = {"png": b"\x89PNG", "svg": b"<?xml", "pdf": b"%PDF"}


def words(path):
    with pdfplumber.open(io.BytesIO(path.read_bytes())) as pdf:
        return " ".join(page.extract_text() for page in pdf.pages), [(p.width, p.height) for p in pdf.pages]


@pytest.mark.parametrize("suffix", ["png", "svg", "pdf"])
def test_the_suffix_chooses_the_map_s_format(world, tmp_path, suffix):
    world.plan()
    said = world.call("map", "-o", f"rack.{suffix}")
    assert (said.code, said.out, said.err) == (0, f"wrote rack.{suffix}\n", "")
    assert (tmp_path / f"rack.{suffix}").read_bytes().startswith(BEGINS[suffix])


def test_the_map_shows_who_hangs_where(world, tmp_path):
    world.plan()
    world.call("map", "-o", "rack.pdf")
    text, _ = words(tmp_path / "rack.pdf")
    assert all(name in text for name in ("m1", "m2", "m3", "north", "Porch"))


def test_without_a_name_drawings_go_to_the_season_s_out_folder(world):
    world.plan()
    assert world.call("map").out == "wrote porch/out/map.png\n"
    assert world.call("tags").out == (
        "wrote porch/out/tags.pdf\n"
        "Next: print it at 100 %; move them by the list, then 'hangplan done porch'\n  records it\n"
    )
    assert (world.folder / "out" / "map.png").exists()


def test_a_map_too_tall_for_a_picture_becomes_pages_unless_a_picture_was_asked_for(world, monkeypatch):
    monkeypatch.setattr("planner.draw.paper.render.TALLEST", 100)
    world.plan()
    (world.folder / "out").mkdir()
    (world.folder / "out" / "map.png").write_text("of an older plan")
    assert world.call("map").out == "wrote porch/out/map.pdf\n"
    assert [p.name for p in (world.folder / "out").iterdir()] == ["map.pdf"]
    said = world.call("map", "-o", "rack.png")
    assert (said.code, said.out) == (1, "")
    assert said.err.endswith(
        "as a PNG the map would be more than the 100 pixels high that are allowed: "
        "take pdf (several pages) or svg\n"
    )


def test_tags_are_made_for_all_or_for_those_chosen(world):
    world.plan()
    assert world.call("tags", "--json").data == {
        "files": ["porch/out/tags.pdf"], "tags": ["m2", "m3", "m1"], "notes": [],
    }  # fmt: skip
    assert world.call("tags", "--moved", "--json").data["tags"] == ["m2", "m3"]
    assert world.call("tags", "--pupa", "m3", "--pupa", "m1", "--json").data["tags"] == ["m3", "m1"]
    text, _ = words(world.folder / "out" / "tags.pdf")
    assert "m1" in text
    assert "m2" not in text


def test_tags_are_as_large_as_asked_for(world):
    world.plan()
    said = world.call("tags", "--paper", "letter", "--card", "50x30")
    assert (said.code, said.err) == (0, SHARP)
    _, sizes = words(world.folder / "out" / "tags.pdf")
    assert sizes == [(pytest.approx(8.5 * 72), pytest.approx(11 * 72))]


@pytest.mark.parametrize("command", ["map", "tags"])
def test_nothing_is_drawn_without_a_plan(world, command):
    said = world.call(command)
    assert (said.code, said.out, said.err) == (1, "", NO_PLAN)
    assert not (world.folder / "out").exists()


@pytest.mark.parametrize("command", ["map", "tags"])
def test_a_plan_that_breaks_a_rule_is_not_drawn(world, command):
    world.plan()
    world.write("season.yaml", SETTINGS.replace("length: 60", "length: 7"))
    said = world.call(command)
    assert (said.code, said.out) == (1, "")
    assert said.err == (
        "plan.yaml: spot: m3 on line north: 8 cm is not on it: "
        "allowed is more than 0 and less than 7 cm\n"
        "season.yaml was changed since the plan was made\n"
        "the plan in force cannot be hung by: 'hangplan plan porch' makes a new one\n"
    )
    assert not (world.folder / "out").exists()


def test_a_breach_is_told_to_programs_too(world):
    world.plan(moves=())
    problems = world.call("map", "--json").data["problems"]
    assert [p["where"] for p in problems] == ["moves", "moves", ""]
    assert problems[2]["what"] == "the plan in force cannot be hung by: 'hangplan plan porch' makes a new one"


def test_who_is_not_in_the_plan_is_told_with_the_drawing(world):
    world.plan()
    world.write("pupae.csv", PUPAE + "m4,2027-07-01,tub-2,30,20\n")
    said = world.call("map")
    assert said.code == 0
    assert said.err == "since then: not in the plan: m4; 'hangplan plan porch' makes a new one\n"


def test_a_move_whose_time_has_passed_is_told_with_the_drawing(world):
    world.plan()
    said = world.call("tags", on="2027-07-10T12:01")
    assert said.err == f"not to be moved any more, may be darkening: m2: 'hangplan plan porch'\n{SHARP}"


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (
            ("map", "-o", "rack.gif"),
            "-o: 'rack.gif': the suffix chooses the format: allowed is .png, .svg, .pdf",
        ),
        (("map", "-o", "rack"), "-o: 'rack': the suffix chooses the format: allowed is .png, .svg, .pdf"),
        (("tags", "-o", "tags.png"), "-o: 'tags.png': the suffix chooses the format: allowed is .pdf"),
        (("tags", "--paper", "A3"), "--paper: 'A3': allowed is A4 or Letter"),
        (("tags", "--card", "40"), f"--card: '40' is not a size: {SIZES}"),
        (("tags", "--card", "axb"), f"--card: 'axb' is not a size: {SIZES}"),
        (("tags", "--card", "3inx5cm"), f"--card: '3inx5cm' is not a size: {SIZES}"),
        (("tags", "--groups", "--qr"), "--qr goes with the tag of one pupa, not with --groups"),
        (("tags", "--shape", "star"), "--shape: 'star': allowed is card, fold, wedge, hole, flag, auto"),
        (("tags", "--start-at", "0"), "--start-at: 0: places are counted from 1"),
        (("map", "--wall", "--paper", "A3"), "--paper: 'A3': allowed is A4 or Letter"),
        (
            ("map", "--paper", "letter"),
            "--paper Letter: a picture has a size of its own: give it with --wall or -o map.pdf",
        ),
        (
            ("map", "--wall", "-o", "wall.png"),
            "-o: 'wall.png': the suffix chooses the format: allowed is .pdf",
        ),
        (("lids", "--paper", "A3"), "--paper: 'A3': allowed is A4 or Letter"),
        (
            ("lids", "-o", "lids.gif"),
            "-o: 'lids.gif': the suffix chooses the format: allowed is .png, .svg, .pdf",
        ),
    ],
)
def test_a_wrong_call_is_refused(world, args, message):
    said = world.call(*args)
    assert (said.code, said.out, said.err) == (2, "", message + "\n")


def test_a_folder_is_no_file_to_write_to(world, tmp_path):
    (tmp_path / "rack.png").mkdir()
    said = world.call("map", "-o", "rack.png")
    assert (said.code, said.err) == (2, "-o: 'rack.png' is a folder: name a file in it\n")


@pytest.mark.parametrize(
    ("args", "message"),
    [
        (("--pupa", "m9"), "there is no pupa 'm9': recorded are m1 to m3"),
        (("--start-at", "37"), "place 37 of a sheet: it has 1 to 36"),  # 4 × 9
        (("--card", "10x5"),
         "a card of 10 × 5 mm: 20 × 12 mm to 186 × 273 mm are possible on A4 with a margin of 12 mm"),
    ],
)  # fmt: skip
def test_tags_that_cannot_be_made_are_refused(world, args, message):
    world.plan()
    said = world.call("tags", *args)
    assert (said.code, said.out, said.err) == (1, "", message + "\n")


def test_moved_tags_of_a_plan_without_moves_are_refused(world):
    world.write("season.yaml", SETTINGS.replace(", clear: yes", ""))
    world.write("pupae.csv", "id,pupated,place,x,y\nm1,2027-07-01,tub-2,5,5\n")
    plan = world.plan()
    world.plan(hangs=plan.hangs[:1], moves=(), proof=())
    said = world.call("tags", "--moved")
    assert said.code == 1
    assert said.err.endswith("the plan moves nobody: without --moved there are tags for all\n")


@pytest.mark.parametrize("command", ["map", "tags"])
def test_a_file_that_cannot_be_written_is_told(world, command):
    world.plan()
    said = world.call(command, "-o", "no/such/folder/rack.pdf")
    assert (said.code, said.out) == (1, "")
    assert said.err.endswith(
        "no/such/folder/rack.pdf: cannot be written: No such file or directory. Nothing was changed\n"
    )


def test_a_full_disk_is_told(world, monkeypatch):
    def full(path, _data):
        raise StoreError(f"{path}: cannot be written: No space left on device. Nothing was changed")

    world.plan()
    monkeypatch.setattr("planner.cli.answers.rack_map.write_output", full)
    said = world.call("map")
    assert (said.code, said.out) == (1, "")
    assert said.err == "porch/out/map.png: cannot be written: No space left on device. Nothing was changed\n"


def test_on_paper_nobody_is_sent_to_a_spot_for_whom_it_is_too_late(world):
    world.plan()  # m2 is not to be moved after 10 July, noon; m3 may be until the 12th
    late = "2027-07-11"
    assert world.call("map", "-o", "map.svg", on=late).code == 0
    drawn = Path("map.svg").read_text()
    assert "m2: may be darkening since the afternoon of 10 Jul: do not move it" in drawn
    assert "m3: may be" not in drawn
    said = world.call("tags", "--moved", "--json", on=late)
    assert json.loads(said.out)["tags"] == ["m3"]
    assert "not to be moved any more, may be darkening: m2" in said.err
    in_time = world.call("tags", "--moved", "--json", on="2027-07-06")
    assert sorted(json.loads(in_time.out)["tags"]) == ["m2", "m3"]
