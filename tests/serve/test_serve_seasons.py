"""Several seasons in one folder, one begun there, its plan and its papers."""

import json
import os
import shutil
import subprocess
import sys
import time

import pytest
from cli_world import ON, call
from serve_world import World, event, write_season

from planner.season.load import load
from planner.season.plan import plan_file
from planner.season.season_id import season_id
from planner.serve import child
from planner.serve.listening import USUAL, listen, qr
from planner.serve.seasons import without_paths

FORM = {
    "name": "Café <b>2027</b>", "city": "Lisbon", "species": "monarch", "units": "cm", "temperature": "23",
    "place_1_kind": "line", "place_1_length": "120", "place_1_left": "20", "place_1_above": "150",
    "place_9_kind": "line", "place_9_length": "80,5", "place_9_left": "0", "place_9_above": "130",
    "place_12_kind": "board", "place_12_width": "60", "place_12_height": "45", "place_12_left": "150",
    "place_12_above": "90", "place_3_kind": "lid", "place_3_width": "40", "place_3_length": "28",
    "place_10_kind": "round lid", "place_10_diameter": "9",
    "wall_width": "200", "wall_height": "200", "pupae": "3", "day": "2027-07-03",
}  # fmt: skip
OR_NONE = "draw a lid, or record none of them yet"
CITY = "write a large city in your time zone, such as Lisbon or Chicago"


@pytest.fixture
def folder(tmp_path):
    """A folder that holds no season yet."""
    (tmp_path / "seasons").mkdir()
    return World(tmp_path / "seasons")


def test_all_seasons_of_a_folder_are_listed_and_each_has_its_page(folder):
    for name in ("porch", "yard & shed"):
        write_season(folder.root / name)
    (folder.root / "notes").mkdir()
    (folder.root / ".hidden").mkdir()
    text = folder.get("/").text
    assert 'href="/season/porch/"' in text
    assert 'href="/season/yard%20%26%20shed/"' in text
    assert "notes" not in text
    assert folder.get("/season/yard%20%26%20shed/").status == 200
    for path in (
        "/season/notes/",
        "/season/../",
        "/season/..%2Fporch/",
        "/season/%2e%2e/",
        "/season/porch%00/",
    ):
        assert folder.get(path).status == 404, path


def test_a_season_is_begun_in_the_browser_and_its_pupae_recorded(folder):
    said = folder.post("/begin", FORM)
    assert (said.status, said.data) == (200, {"to": "/season/cafe-b-2027-b/", "problems": []})
    season = load(folder.root / "cafe-b-2027-b", frozenset({"monarch"}))
    assert season.name == "Café <b>2027</b>"
    first, tub, second, cup, board = season.places  # in the order in which they were drawn
    assert (first.name, first.length, first.left, first.height) == ("line-1", 120, 20, 150)
    assert (second.name, second.length, second.left, second.height) == ("line-2", 80.5, 0, 130)
    assert (board.name, board.width, board.height, board.left, board.bottom) == ("board-1", 60, 45, 150, 90)
    assert (tub.name, tub.width, tub.length, tub.left) == ("tub-1", 40, 28, None)
    assert (cup.name, cup.circular, cup.width) == ("tub-2", True, 9)
    assert [(p.id, str(p.pupated)) for p in season.pupae] == [(f"m{k}", "2027-07-03") for k in (1, 2, 3)]
    page = folder.get(said.data["to"])
    assert page.status == 200
    assert "<b>2027" not in page.text


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"name": " "}, "Give the season a name."),
        ({"name": "x" * 61}, f"'{'x' * 27}...': at most 60 visible characters are taken."),
        ({"place_9_length": "long"}, "Of line-2 type its length, such as 40."),
        ({"place_12_above": ""}, "Of board-1 type how high it hangs above the floor, such as 40."),
        ({"place_1_left": "20, lid 9 x 9"}, "Of line-1 type how far it is from the left, such as 40."),
        ({"place_1_length": "0"}, "Places: length: 0 cm: must be more than 0 and at most 5000 cm."),
        ({"place_10_diameter": "x"}, "Of tub-2 type its diameter, such as 40."),
        ({"place_1_kind": "shelf"}, "'shelf' is no line, board or lid."),
        ({"pupae": "-1"}, "'-1' is no whole number."),
        ({"place_3_kind": "board", "place_3_height": "9", "place_3_left": "0", "place_3_above": "60",
          "place_10_kind": "line", "place_10_length": "9", "place_10_left": "0", "place_10_above": "60"},
         f"Pupae are recorded on the lid on which they formed: {OR_NONE}."),
        ({"city": "--help"}, f"A large city in your time zone: '--help' is not known: {CITY}."),
        ({"species": "unicorn"}, None),
    ],
)  # fmt: skip
def test_a_form_that_is_not_clear_is_answered_and_nothing_is_made(folder, change, told):
    said = folder.post("/begin", FORM | change)
    assert said.status == 409
    assert told is None or said.data == {"problems": [told]}
    assert list(folder.root.iterdir()) == []


def test_a_name_of_a_season_that_is_there_gets_a_number_and_one_season_takes_no_other_in(folder, porch):
    (folder.root / "season").mkdir()
    said = folder.post("/begin", FORM | {"name": "蝶", "pupae": "0"})
    assert said.data == {"to": "/season/season-2/", "problems": []}
    assert porch.post("/begin", FORM).status == 409


def wait_for_plan(world, states=("over",)):
    until = time.monotonic() + 60
    while time.monotonic() < until:
        plan = world.get("/season/porch/state", accept="*/*").data["plan"]
        if plan["state"] in states:
            return plan
        time.sleep(0.05)
    raise AssertionError(plan)


def test_a_plan_is_made_in_the_background_once_at_a_time_and_changes_the_version(porch):
    before = porch.get("/season/porch/state").data
    assert before["plan"] == {"state": "none"}
    (porch.root / "plan.yaml").unlink()
    assert porch.post("/season/porch/plan", {"seconds": 1}).status == 200
    assert porch.post("/season/porch/plan", {"seconds": 1}).status == 200  # one is under way
    assert wait_for_plan(porch, ("running",))["step"]
    plan = wait_for_plan(porch)
    assert plan["made"]
    assert plan["words"] == [
        "Move 2 of 3 pupae now; 1 stays on its lid.",
        "No clashes: no neighbours are due less than 2 days apart.",
    ]
    assert plan["ways"] == []
    assert plan_file.read(porch.root) is not None
    assert porch.get("/season/porch/state").data["version"] != before["version"]


def test_a_plan_that_cannot_be_made_says_why(porch):
    (porch.root / "pupae.csv").write_text("id,pupated,place\n")
    porch.post("/season/porch/plan", {"seconds": 1})
    assert wait_for_plan(porch) == {
        "state": "over",
        "made": False,
        "words": ["No pupa is present."],
        "ways": [],
    }


@pytest.mark.parametrize("seconds", [0, -1, 601, "60", None, True])
def test_a_search_of_no_sensible_length_is_refused(porch, seconds):
    assert porch.post("/season/porch/plan", {"seconds": seconds}).status == 409
    assert porch.get("/season/porch/state").data["plan"] == {"state": "none"}


SEARCHES = """
import sys, time
try:
    print("... looking for fewer clashes", file=sys.stderr, flush=True)
    time.sleep(60)
except KeyboardInterrupt:
    print('{"told": {"words": ["The best so far."], "ways": []}}')
"""


@pytest.mark.skipif(os.name != "posix", reason="how a search is stopped there was not tried")
def test_a_search_that_is_stopped_keeps_the_best_it_has_however_often_it_is_asked(porch, monkeypatch):
    def search(folder, words):
        return subprocess.Popen(
            [sys.executable, "-c", SEARCHES], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )

    monkeypatch.setattr(child, "start", search)
    porch.post("/season/porch/stop")  # none is under way
    porch.post("/season/porch/plan", {"seconds": 1})
    while wait_for_plan(porch, ("running",))["step"] != "looking for fewer clashes":
        pass
    for _ in range(3):
        assert porch.post("/season/porch/stop").status == 200
    best = {"state": "over", "made": True, "words": ["The best so far."], "ways": []}
    assert wait_for_plan(porch) == best


FINDS_WAYS = """
import json, sys
ways = [{"words": "a card", "options": []}, {"words": "a smaller gap", "options": ["--gap", "1.5"]}]
taken = [word for word in sys.argv if word in ("--gap", "1.5")]
print(json.dumps({"told": {"words": taken, "ways": ways}}))
"""


def test_a_way_out_of_clashes_is_taken_by_its_number_and_none_that_was_not_found(porch, monkeypatch):
    def search(folder, words):
        call = [sys.executable, "-c", FINDS_WAYS, *words]
        return subprocess.Popen(call, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)

    monkeypatch.setattr(child, "start", search)
    porch.post("/season/porch/plan", {"seconds": 1, "way": 1})  # of no plan
    assert porch.get("/season/porch/state").data["plan"] == {"state": "none"}
    porch.post("/season/porch/plan", {"seconds": 1})
    found = wait_for_plan(porch)
    assert (found["words"], found["ways"]) == ([], [["a card", False], ["a smaller gap", True]])
    for way, words in ((1, ["--gap", "1.5"]), (2, ["--gap", "1.5"]), (-1, ["--gap", "1.5"]), ("1", [])):
        porch.post("/season/porch/plan", {"seconds": 1, "way": way})
        assert wait_for_plan(porch)["words"] == words, way  # of one there is not, nothing is planned


def test_where_there_is_no_plan_yet_the_page_says_what_to_tap(folder):
    (write_season(folder.root / "porch") / "plan.yaml").unlink()
    text = folder.get("/season/porch/").text
    assert "There is no plan yet. <button" in text
    assert ">Plan anew</button>" in text
    assert "hangplan plan" not in text


def test_papers_open_as_pdf_and_what_speaks_against_one_is_told(porch, monkeypatch):
    said = porch.get("/season/porch/paper/lids.pdf")
    assert (said.status, said.headers["content-type"], said.body[:5]) == (200, "application/pdf", b"%PDF-")
    assert said.headers["content-disposition"] == 'inline; filename="lids.pdf"'
    nowhere = {"file": None, "line": 0, "column": 0, "where": ""}
    refused = {
        "problems": [
            nowhere | {"what": "no card holds this: 'hangplan tags'", "matter": "no card holds this"}
        ]
    }
    monkeypatch.setattr(child, "run", lambda *_: (1, json.dumps(refused), ""))
    said = porch.get("/season/porch/paper/lids.pdf")
    assert said.status == 409
    assert "<li>No card holds this.</li>" in said.text
    (porch.root / "plan.yaml").unlink()
    said = porch.get("/season/porch/paper/lids.pdf")
    assert said.status == 409
    assert "<li>There is no plan yet.</li><li>Plan anew first: on the season" in said.text
    assert porch.get("/season/porch/paper/..%2F..%2Fpupae.pdf").status == 404


def test_hostile_names_and_notes_are_escaped_everywhere(porch):
    hostile = "</script><script>alert(1)</script>"
    settings = (porch.root / "season.yaml").read_text()
    (porch.root / "season.yaml").write_text(settings.replace("season: Porch", f'season: "{hostile}"'))
    assert porch.send(event(1, "noted", pupa="m1", note=hostile), name=hostile).data["refused"] == []
    assert hostile not in porch.get("/season/porch/").text


def test_the_port_of_last_time_is_taken_again_and_another_where_that_is_in_use():
    first = listen(["127.0.0.1"], None, None)
    number = first[0].getsockname()[1]
    second = listen(["127.0.0.1"], None, number)
    assert second[0].getsockname()[1] != number
    for each in (*first, *second):
        each.close()
    again = listen(["127.0.0.1"], None, number)
    assert again[0].getsockname()[1] == number
    again[0].close()
    assert USUAL == 8427


def test_a_qr_code_for_a_terminal_is_two_rows_in_one():
    # version 2 with its quiet zone is 25 + 2 x 4 modules wide
    lines = qr("http://192.0.2.7:8427").rstrip("\n").split("\n")
    assert {len(line) for line in lines} == {33}
    assert len(lines) == 17


def test_texts_lose_the_path_of_the_season_and_nothing_else(tmp_path):
    folder = tmp_path / "my porch"
    told = {
        f"{folder}: another program": "another program",
        f"{folder}/pupae.csv: cannot be written": "pupae.csv: cannot be written",
        f"no plan: 'hangplan plan '{folder}'' makes one": "no plan: 'hangplan plan' makes one",
        "Orchard porch: my porch": "Orchard porch: my porch",
    }
    assert {text: without_paths(text, folder) for text in told} == told


def test_devices_are_listed_and_removed_at_the_terminal(porch, monkeypatch):
    monkeypatch.chdir(porch.root.parent)
    assert call("serve", "porch", "--devices").out == "no phone is paired\n"
    assert porch.pair(porch.service.pairing.code(), "Anna").status == 303
    assert call("serve", "porch", "--devices").out.startswith("Anna, since 20")
    assert call("serve", "porch", "--devices", "--json").data["devices"][0]["name"] == "Anna"
    said = call("serve", "porch", "--forget", "Ana")
    assert (said.code, said.err) == (1, "no phone is called 'Ana': paired are Anna\n")
    said = call("serve", "porch", "--forget", "anna")
    assert (said.code, said.out) == (
        0,
        "removed anna: it must be paired again; what it has not sent stays on it\n",
    )
    assert call("serve", "porch", "--port", "0", "--on", ON).code == 2


def test_copies_of_a_season_side_by_side_do_not_share_what_a_phone_keeps(tmp_path):
    write_season(tmp_path / "a")
    season_id(tmp_path / "a")
    shutil.copytree(tmp_path / "a", tmp_path / "b")  # the id goes along
    world = World(tmp_path)
    assert '"copy":""' in world.get("/season/a/").text  # its key stays: what waits on a phone is found again
    assert '"copy":"b"' in world.get("/season/b/").text
