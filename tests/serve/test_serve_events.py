"""What phones send is recorded by the one set of rules, each event once, and what cannot be is told."""

import errno
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from serve_world import World, event, moved, slip, write_season

from planner.record import taken
from planner.record.slip import packed
from planner.record.taken import read_log
from planner.season.pupae import table
from planner.season.store import Store, journal
from planner.serve.service import MENDED

AGAIN = "Share it again from the phone"
INSTALL = "install that on this computer"
DAMAGED = "the slip is damaged: a part is missing, or was changed on the way"


def rows(world):
    return table.texts((world.root / "pupae.csv").read_bytes())


def test_a_move_is_recorded_once_however_often_it_is_sent(porch):
    first = porch.send(moved(1, "m2", "4"))
    assert (first.status, first.data) == (
        200,
        {"taken": ["e00000000001"], "known": [], "refused": [], "notes": []},
    )
    again = porch.send(moved(1, "m2", "4"))
    assert again.data == {"taken": [], "known": ["e00000000001"], "refused": [], "notes": []}
    assert (rows(porch)["m2"]["place"], rows(porch)["m2"]["spot"]) == ("north", "4")


def test_what_cannot_be_recorded_is_told_and_keeps_nothing_else_back(porch):
    # m1 and m2 at 4: one spot. m3 elsewhere is fine, and so is the sight of m1, whose move is refused.
    porch.send(moved(1, "m2", "4"))
    said = porch.send(
        event(2, "marked", pupa="m1", what="darkening"),
        moved(3, "m1", "4", anyway=True),
        moved(4, "m3", "12"),
        device="p7q2r5",
    )
    assert said.data["taken"] == ["e00000000002", "e00000000004"]
    assert [one["id"] for one in said.data["refused"]] == ["e00000000003"]
    assert said.data["refused"][0]["why"].startswith("m1: ")
    assert "is taken" in said.data["refused"][0]["why"] or "hangs there" in said.data["refused"][0]["why"]
    assert rows(porch)["m3"]["spot"] == "12"
    assert rows(porch)["m1"]["place"] == "tub-2"


def test_two_that_change_places_are_recorded_together_though_a_third_cannot_be(porch):
    porch.send(moved(1, "m2", "4"), moved(2, "m3", "20"))
    said = porch.send(moved(3, "m2", "20"), moved(4, "m3", "4"), moved(5, "m9", "8"))
    assert said.data["taken"] == ["e00000000003", "e00000000004"]
    assert [one["id"] for one in said.data["refused"]] == ["e00000000005"]
    assert (rows(porch)["m2"]["spot"], rows(porch)["m3"]["spot"]) == ("20", "4")


def test_of_many_that_cannot_hang_where_they_are_told_to_each_is_refused_for_its_own_reason(porch):
    said = porch.send(
        *(moved(k, "m1", "999") for k in range(1, 40)), moved(40, "m2", "4"), moved(41, "m1", "4")
    )
    assert said.data["taken"] == ["e00000000040"]
    why = {one["id"]: one["why"] for one in said.data["refused"]}
    assert len(why) == 40
    assert why["e00000000041"].startswith("m1: ")
    assert "m2" in why["e00000000041"]
    assert all("999" in why[f"e{k:011d}"] for k in range(1, 40))


def test_what_can_be_recorded_one_by_one_but_not_together_is_tried_with_all_others(porch):
    # Once it is on record its recording could be taken back; in one slip the note would then be of nobody.
    said = porch.send(
        event(1, "recorded", lid="tub-2", x="20", y="10", pupated="2027-07-04"),
        event(2, "noted", pupa="+e00000000001", note="small"),
        event(3, "taken back", of="e00000000001"),
    )
    assert said.data["taken"] == ["e00000000001", "e00000000002"]
    assert [one["id"] for one in said.data["refused"]] == ["e00000000003"]
    assert [row["note"] for row in rows(porch).values() if row["x"] == "20"] == ["small"]


def test_a_newcomer_is_recorded_and_what_is_told_of_it_too(porch):
    new = event(1, "recorded", lid="tub-2", x="20", y="20", pupated="2027-07-04")
    said = porch.send(new, event(2, "noted", pupa="+e00000000001", note="small"))
    assert said.data["taken"] == ["e00000000001", "e00000000002"]
    assert "m4" in rows(porch)


def test_what_a_sick_one_hung_from_is_closed_on_the_page_until_it_is_cleaned(porch):
    def closed():
        text = porch.get("/season/porch/").text
        return json.loads(text.partition('id="facts">')[2].partition("</script>")[0])["closed"]

    assert closed() == []
    porch.send(event(1, "marked", pupa="m1", what="parasitised"))
    assert closed() == [{"id": "m1", "place": "tub-2", "at": "tub-2"}]
    said = porch.send(event(2, "marked", pupa="m2", what="parasitised"), event(3, "cleaned", pupa="m2"),
                      event(4, "cleaned", pupa="m1"))  # fmt: skip
    assert said.data["refused"] == []
    assert closed() == []
    assert rows(porch)["m2"]["spot_cleaned"] == "2027-07-05T07:00"


def test_the_page_may_be_taken_along_as_a_file_and_its_slip_handed_in(porch):
    (porch.root / "plan.yaml").unlink()
    said = porch.get("/season/porch/page.html")
    assert (said.status, said.headers["content-disposition"]) == (200, 'attachment; filename="page.html"')
    assert "There is no plan yet: &#39;hangplan plan&#39; makes one." in said.text
    assert str(porch.root) not in said.text
    assert '"live"' not in said.text
    text = packed("", "Porch", "phone1", [moved(1, "m2", "4")])
    said = porch.ask("POST", "/season/porch/events", f"Hello!\n> {text}".encode())
    assert said.data["taken"] == ["e00000000001"]
    assert rows(porch)["m2"]["spot"] == "4"


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"check": "00000000"}, f"What was sent: the slip was changed after it was written. {AGAIN}."),
        ({"slip": 2}, f"What was sent: the slip was written by a later hangplan: {INSTALL}."),
        ({"name": "Other"}, "The slip is of another season, 'Other': this one is 'Porch'."),
        ({"events": "all"}, f"What was sent: {DAMAGED}. {AGAIN}."),
    ],
)  # fmt: skip
def test_a_slip_that_is_not_as_the_page_writes_it_is_refused_whole(porch, change, told):
    said = porch.send(moved(1, "m2", "4"), **change)
    assert (said.status, said.data) == (409, {"problems": [told]})
    assert rows(porch)["m2"]["place"] == "tub-2"


def test_what_a_page_says_names_nothing_that_is_typed(porch):
    porch.send(event(1, "recorded", lid="tub-2", pupated="2027-07-05"))  # the plan does not know m4
    porch.send(event(2, "recorded", lid="tub-2", pupated="2027-07-05"), device="phone2")
    page = porch.get("/season/porch/").text
    shown = page[page.index("<body>") : page.index('<script type="application/json"')]
    assert "Since then: not in the plan: m4, m5. <button" in shown
    assert "hangplan" not in shown
    said = porch.send(moved(3, "m4", "4"))  # soft
    (refused,) = said.data["refused"]
    assert refused["why"].startswith("m4: is soft until ")
    assert "--" not in refused["why"]


def test_a_slip_that_is_cut_off_is_refused(porch):
    whole = json.dumps(slip(moved(1, "m2", "4"))).encode()
    said = porch.ask("POST", "/season/porch/events", whole[:150])
    assert said.status == 409
    assert said.data["problems"][0].startswith("What was sent: the slip is damaged")


def test_ten_thousand_events_at_once_are_too_many_and_are_told_so(porch):
    said = porch.send(*(event(k, "noted", pupa="m1", note="x") for k in range(5_000)))
    assert (said.status, said.data) == (
        409,
        {"problems": ["What was sent: 5,000 events in one slip: at most 2,000 are taken."]},
    )
    said = porch.send(*(event(k, "noted", pupa="m1", note="x") for k in range(10_000)))
    assert (said.status, said.data) == (413, {"problems": ["A request has at most 1,000,000 bytes."]})


def test_of_a_season_whose_files_are_faulty_the_phone_is_told_and_keeps_its_events(porch):
    (porch.root / "season.yaml").write_text("season: [")
    said = porch.send(moved(1, "m2", "4"))
    assert said.status == 409
    assert said.data["problems"][0].startswith("season.yaml:")
    page = porch.get("/season/porch/")
    assert page.status == 409
    assert "This season cannot be shown" in page.text


def test_a_full_disk_is_told_and_the_same_events_are_taken_once_there_is_room(porch, monkeypatch):
    def full(path, data, mode=None):
        raise OSError(errno.ENOSPC, "No space left on device", str(path))

    with monkeypatch.context() as broken:
        broken.setattr(journal, "write_new", full)
        said = porch.send(moved(1, "m2", "4"))
    assert said.status == 503
    assert "No space left on device" in said.data["problems"][0]
    assert str(porch.root) not in said.text
    assert rows(porch)["m2"]["place"] == "tub-2"
    assert porch.send(moved(1, "m2", "4")).data["taken"] == ["e00000000001"]


def test_while_another_program_writes_the_phone_is_told_to_try_again(porch, monkeypatch):
    monkeypatch.setattr("planner.season.store.store.PATIENCE", 0.01)
    monkeypatch.setattr(Store.__init__, "__defaults__", (0.01,))
    with Store(porch.root).locked("plan"):
        said = porch.send(moved(1, "m2", "4"))
    assert said.status == 503
    assert "Another program is changing this season" in said.data["problems"][0]


DIES = """
import os, sys
from pathlib import Path
sys.path[:0] = sys.argv[1].split(os.pathsep)
from serve_world import World, moved
from planner.season.store.journal import Journal

def die_at(root, step, when):
    before = getattr(Journal, step)
    setattr(Journal, step, lambda *a: (before(*a) if when == "after" else None, os._exit(9)))
    World(Path(root)).send(moved(1, "m2", "4"), moved(2, "m3", "8"))

for one in sys.argv[2:]:
    child = os.fork()
    if not child:
        die_at(*one.split("|"))
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9
"""


@pytest.mark.skipif(os.name != "posix", reason="forks")
def test_a_server_that_is_killed_in_the_midst_of_events_loses_none_and_doubles_none(tmp_path):
    steps = (("prepare", "after"), ("commit", "before"), ("commit", "after"), ("finish", "before"))
    folders = {step: write_season(tmp_path / "-".join(step)) for step in steps}
    calls = ["|".join((str(folder), *step)) for step, folder in folders.items()]
    path = os.pathsep.join([str(Path(__file__).parent), *sys.path])
    subprocess.run([sys.executable, "-c", DIES, path, *calls], check=True)
    for step, folder in folders.items():
        world = World(folder)
        said = world.send(moved(1, "m2", "4"), moved(2, "m3", "8"))  # sent again by the phone
        assert sorted(said.data["taken"] + said.data["known"]) == ["e00000000001", "e00000000002"], step
        assert (rows(world)["m2"]["spot"], rows(world)["m3"]["spot"]) == ("4", "8")
        assert len(read_log(folder).entries) == 2


def test_a_log_that_would_be_larger_than_can_be_read_takes_nothing_more(porch, monkeypatch):
    porch.send(event(1, "noted", pupa="m1", note="small"))
    kept = (porch.root / "taken.jsonl").read_bytes()
    monkeypatch.setattr(taken, "LARGEST", len(kept) + 10)
    said = porch.send(event(2, "noted", pupa="m1", note="large"))
    told = f"taken.jsonl has no room for more events: {taken.MAKE_ROOM}."
    assert (said.status, said.data) == (409, {"problems": [told]})
    assert (porch.root / "taken.jsonl").read_bytes() == kept
    monkeypatch.setattr(taken, "LARGEST", len(kept) - 1)
    said = porch.send(event(2, "noted", pupa="m1", note="large"))
    size = f"{len(kept) - 1:,} bytes"
    assert said.data["problems"] == [f"taken.jsonl: has more than {size}: {taken.MAKE_ROOM}", MENDED]
