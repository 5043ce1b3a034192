import json
import re

import pytest
from cli_world import ON, PUPAE, call

from planner.season import Store

MORNING = "2027-07-11T07:30"


def mark(*words):
    assert call("mark", *words, "porch", "--on", MORNING).code == 0


def undo(*more):
    return call("undo", "porch", *more)


def plain(text):
    """Without the time of day at which the test ran, and in one line."""
    return re.sub(r"\b[A-Z][a-z]{2} \d{1,2} [A-Z][a-z]{2} \d\d:\d\d", "TIME", " ".join(text.split()))


def test_the_last_change_is_taken_back_and_what_is_next_is_told(world):
    mark("m1", "emerged")
    mark("m2", "failed")
    said = undo()
    assert (said.code, said.err) == (0, "")
    assert plain(said.out) == (
        "taken back: 'mark m2 failed' of TIME; pupae.csv is as before it "
        "the rack does not change by that: look whether everybody hangs as recorded "
        "Next: 'hangplan undo porch --redo' does it again; 'hangplan undo porch' takes back: "
        "'mark m1 emerged' of TIME"
    )
    assert "emerged" in world.read("pupae.csv")
    assert "failed" not in world.read("pupae.csv")
    assert undo().code == 0
    assert world.read("pupae.csv") == PUPAE


def test_with_nothing_left_it_is_refused(world):
    assert undo().err == "porch: there is nothing to take back: no change is recorded\n"
    mark("m1", "emerged")
    undo()
    said = undo()
    assert (said.code, said.err) == (1, "porch: there is nothing to take back: no change is recorded\n")
    assert world.read("pupae.csv") == PUPAE


@pytest.mark.usefixtures("world")
def test_the_beginning_of_a_season_is_not_taken_back():
    assert call("new", "yard").code == 0
    assert call("undo", "yard").err == (
        "yard: there is nothing to take back: season.yaml is yours, and no change after 'new' stands\n"
    )


def test_the_undo_is_taken_back_and_that_again(world):
    mark("m1", "m2", "emerged")
    after = world.read("pupae.csv")
    undo()
    said = undo("--redo")
    assert plain(said.out).startswith("done again: mark m1, m2 emerged; pupae.csv is as after it")
    assert world.read("pupae.csv") == after
    undo()
    assert world.read("pupae.csv") == PUPAE
    undo("--redo")
    assert world.read("pupae.csv") == after


def test_undo_and_redo_walk_through_many_changes(world):
    states = [world.read("pupae.csv")]
    for pupa in ("m1", "m2", "m3"):
        mark(pupa, "failed")
        states.append(world.read("pupae.csv"))
    for want in reversed(states[:-1]):
        undo()
        assert world.read("pupae.csv") == want
    for want in states[1:]:
        undo("--redo")
        assert world.read("pupae.csv") == want
    assert undo("--redo").err == "porch: there is no undo to take back since the last change\n"


@pytest.mark.usefixtures("world")
def test_after_another_change_there_is_nothing_to_do_again():
    mark("m1", "failed")
    undo()
    mark("m2", "failed")
    assert undo("--redo").code == 1


def test_a_file_edited_since_is_not_overwritten_and_it_is_said_what_to_do(world):
    mark("m1", "emerged")
    edited = world.read("pupae.csv") + "k1,2027-07-04,tub-2,30,20,,\n"
    world.write("pupae.csv", edited)
    said = undo()
    assert (said.code, said.out) == (1, "")
    assert plain(said.err) == (
        "porch/pupae.csv: was changed since 'mark m1 emerged' (TIME), and undo would lose that: "
        "porch/.hangplan/history/000001-pupae.csv is the version before: copy from it what you need "
        "nothing was taken back"
    )
    assert world.read("pupae.csv") == edited


def test_who_has_put_the_old_version_back_by_hand_can_go_on(world):
    mark("m1", "emerged")
    mark("m2", "emerged")
    between = (world.folder / ".hangplan/history/000002-pupae.csv").read_text()
    world.write("pupae.csv", between)
    assert undo().code == 0  # nothing is to be written, but it is taken back
    assert undo().code == 0
    assert world.read("pupae.csv") == PUPAE


def test_all_files_of_a_change_go_back_together_or_none(world):
    store = Store(world.folder)
    with store.locked("both"):
        from planner.season.load import digest

        store.write("pupae.csv", b"id,pupated,place\n", digest(PUPAE.encode()))
        store.write("plan.yaml", b"plan", None)
    world.write("plan.yaml", "edited")
    assert undo().code == 1
    assert world.read("pupae.csv") == "id,pupated,place\n"
    world.write("plan.yaml", "plan")
    assert undo().code == 0
    assert world.read("pupae.csv") == PUPAE
    assert not (world.folder / "plan.yaml").exists()


def test_a_plan_is_taken_back_and_the_map_said_to_be_old(world):
    assert world.call("plan").code == 0
    first = world.read("plan.yaml")
    assert world.call("plan", "--gap", "1").code == 0
    said = undo()
    assert world.read("plan.yaml") == first
    assert "the drawings in out/ may be of the other plan: 'hangplan map porch' draws the" in said.out
    assert undo().code == 0
    assert not (world.folder / "plan.yaml").exists()


def test_ids_of_pupae_whose_adding_was_taken_back_are_not_given_again(world):
    def add():
        return call("add", "porch", "--lid", "tub-2", "--pupated", "2027-07-04", "--json", "--on", ON).data

    assert add()["added"][0]["id"] == "m4"
    undo()
    assert world.read("pupae.csv") == PUPAE
    assert add()["added"][0]["id"] == "m5"


def test_the_history_is_listed_with_numbers_times_and_commands(world):
    mark("m1", "emerged")
    mark("m2", "failed")
    undo()
    said = undo("--list")
    rows = [plain(line) for line in said.out.splitlines()]
    assert rows == [
        "change when what files",
        "3 TIME undo: mark m2 failed pupae.csv",
        "2 TIME mark m2 failed pupae.csv taken back",
        "1 TIME mark m1 emerged pupae.csv undo takes it back",
    ]
    assert max(map(len, said.out.splitlines())) <= 80
    assert "m2" in world.read("pupae.csv")


def test_a_long_history_is_listed_within_the_page_and_its_end_first(world):
    names = [f"k{n}x" for n in range(1, 61)]
    world.write("pupae.csv", "id,pupated,place\n" + "".join(f"{n},2027-07-01,tub-2\n" for n in names))
    mark(*names[:35], "parasitised")
    for name in names[35:]:
        mark(name, "failed")
    lines = undo("--list").out.splitlines()
    assert max(map(len, lines)) <= 80
    assert lines[-1] == "and 6 earlier changes: --all shows them"
    lines = undo("--list", "--all").out.splitlines()
    assert max(map(len, lines)) <= 80
    assert "mark 35 pupae" in "\n".join(lines)


def test_an_earlier_version_s_history_is_listed_and_not_guessed_at(world):
    history = world.folder / ".hangplan" / "history"
    history.mkdir(parents=True)
    (history / "000003-pupae.csv").write_text("id,pupated,place\n")
    assert "3  " in undo("--list").out
    assert "(by an earlier version)" in undo("--list").out
    assert plain(undo().err) == (
        "porch/pupae.csv: an earlier hangplan wrote it, without a note of what it wrote: "
        "porch/.hangplan/history/000003-pupae.csv is the version before: copy from it what you need "
        "nothing was taken back"
    )
    mark("m1", "failed")
    assert undo().code == 0
    assert world.read("pupae.csv") == PUPAE


def test_undo_for_programs(world):
    mark("m1", "emerged")
    mark("m2", "failed")
    data = undo("--json").data
    assert (data["undone"]["change"], data["undone"]["what"]) == (2, "mark m2 failed")
    assert data["next"]["what"] == "mark m1 emerged"
    assert (data["redone"], data["files"], data["problems"]) == (None, ["pupae.csv"], [])
    states = [(c["change"], c["state"]) for c in undo("--list", "--json").data["history"]]
    assert states == [(3, "undo"), (2, "taken back"), (1, "next")]
    assert undo("--redo", "--json").data["redone"]["what"] == "mark m2 failed"
    world.write("pupae.csv", PUPAE)
    assert json.loads(undo("--json").out)["problems"][0]["what"].startswith(
        "porch/pupae.csv: was changed since"
    )


def test_a_season_that_is_faulty_can_still_go_back(world):
    mark("m1", "emerged")
    world.write("season.yaml", world.read("season.yaml").replace("23", "hot"))
    said = undo()
    assert said.code == 0
    assert plain(said.err) == "note: as they are now the files have faults: 'hangplan check porch' tells them"
    assert world.read("pupae.csv") == PUPAE


@pytest.mark.usefixtures("world")
@pytest.mark.parametrize(
    ("args", "message"),
    [
        (("--redo", "--list"), "give either --redo or --list"),
        (("--all",), "--all goes with --list"),
    ],
)
def test_a_wrong_call_is_refused(args, message):
    said = undo(*args)
    assert (said.code, said.err) == (2, message + "\n")


def test_the_history_is_told_in_the_order_of_the_seasons_dates(world):
    world.write("season.yaml", world.read("season.yaml") + "date_style: us\n")
    mark("m1", "emerged")
    assert re.search(r"[A-Z][a-z]{2} [A-Z][a-z]{2} \d{1,2} \d{1,2}:\d\d [ap]m", undo("--list").out)
