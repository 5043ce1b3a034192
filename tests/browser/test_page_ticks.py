"""Boxes: kept in the browser, told as not yet recorded, and as the lines that record them."""

from datetime import datetime

import pytest
from conftest import DESKTOP, go, reload
from page_world import NOW, move, pupa, season

from planner.follow.day import Day
from planner.report.page.data import PageData
from planner.season import Plan

STEPS = (move(1, "m1", ("tub-2", "5,5"), "north", "4"), move(2, "m2", ("tub-2", "9,5"), "north", "8"))
PARKED = (
    move(1, "m1", ("tub-2", "5,5"), "north", "40"),
    move(2, "m2", ("tub-2", "9,5"), "north", "8"),
    move(3, "m1", ("north", "40"), "north", "4"),
)


def world(steps=STEPS, on=NOW, ids=("m1", "m2")):
    found = season(*(pupa(name, x=5.0 + 4 * i, y=5.0) for i, name in enumerate(ids)))
    return PageData(Day(found, on, Plan(on=on, gap_days=2, hangs=(), moves=steps)))


def tick(tab, number=0):
    go(tab, "moves")
    tab.evaluate("n => document.querySelectorAll('.moves .tick input')[n].click()", number)


def lines(tab):
    go(tab, "record")
    return tab.locator(".command").all_inner_texts()


def test_ticks_come_out_as_the_lines_that_record_them(opened):
    tab = opened("ticks", data=world())
    assert lines(tab) == []
    tab.click("button[data-part=moves]")
    for number in range(2):  # with the thumb, as it were; the other tests are quicker about it
        tab.locator(".moves .tick").nth(number).click()
    assert tab.locator("#moves .unsaved").inner_text() == "2 ticks on this phone, not yet recorded."
    assert lines(tab) == ["hangplan done m1 m2 porch --on 2027-07-05"]
    assert tab.locator("#ticked .alarm").inner_text() == "2 ticks on this phone, not yet recorded."
    assert tab.locator("#number").inner_text() == "2"


def test_the_hour_of_a_move_is_told_where_it_counts(opened):
    # On 10 July both may be darkening from noon on: moved at 8 o'clock they were not.
    tab = opened("hour", data=world(on=datetime(2027, 7, 10, 8)))
    tick(tab, 0)
    tick(tab, 1)
    assert lines(tab) == ["hangplan done m1 m2 porch --on 2027-07-10T08:00"]


def test_what_became_of_a_pupa_is_told_day_by_day_and_word_by_word(opened):
    tab = opened("became", data=world(on=datetime(2027, 7, 10, 8)))
    tab.locator(".due .ticks").nth(0).get_by_label("dark").check()
    tab.locator(".due .ticks").nth(1).get_by_label("out").check()
    assert lines(tab) == [
        "hangplan mark m1 darkening porch --on 2027-07-10",
        "hangplan mark m2 emerged porch --on 2027-07-10",
    ]


def test_ticks_survive_a_reload_and_can_be_taken_back(opened):
    tab = opened("reload", data=world())
    tick(tab)
    reload(tab)
    assert lines(tab) == ["hangplan done m1 porch --on 2027-07-05"]
    tick(tab)
    reload(tab)
    assert lines(tab) == []


def test_moves_of_another_plan_are_not_mixed_up_but_what_became_of_a_pupa_is_kept(opened, file_of):
    tab = opened("plan one", data=world(on=datetime(2027, 7, 10, 8)))
    tick(tab)
    go(tab, "day")
    tab.locator(".due .ticks").nth(1).get_by_label("out").check()
    other, _ = file_of("plan two", world(steps=STEPS[:1], on=datetime(2027, 7, 10, 9)))
    tab.goto(other.as_uri())
    assert lines(tab) == ["hangplan mark m2 emerged porch --on 2027-07-10"]


def test_a_moved_pupa_is_drawn_where_it_hangs_now(opened):
    tab = opened("drawn", data=world())
    look = "g => [g.getAttribute('class'), g.querySelector('.w').textContent]"
    here, there = tab.locator("g.p[data-p='0']:not([data-after])"), tab.locator("g.p[data-after]").first
    assert (here.evaluate(look), there.evaluate(look)) == (["p s-may", "move"], ["p s-may to", "step 1"])
    tick(tab)
    assert (here.evaluate(look), there.evaluate(look)) == (["p s-may left", "left"], ["p s-may", "firm"])


def test_one_that_is_parked_is_recorded_only_once_it_hangs_where_it_belongs(opened):
    tab = opened("parked", data=world(PARKED))
    assert (
        tab.locator(".moves .when").first.text_content().startswith("for a few minutes, step 3 takes it on")
    )
    tick(tab, 0)
    assert lines(tab) == []
    tick(tab, 2)
    assert lines(tab) == ["hangplan done m1 porch --on 2027-07-05"]
    tick(tab, 0)  # taking the first step back takes back the second too
    assert tab.locator(".moves input:checked").count() == 0


def test_a_name_with_marks_of_the_shell_is_quoted(opened):
    tab = opened("quoted", data=world((), on=datetime(2027, 7, 10, 8), ids=("m1; rm it's", "ñ2")))
    for row in range(2):
        tab.locator(".due .ticks").nth(row).get_by_label("out").check()
    assert lines(tab) == ["""hangplan mark 'm1; rm it'"'"'s' 'ñ2' emerged porch --on 2027-07-10"""]


THROWS = "Object.defineProperty(window, 'localStorage', {get() { throw new DOMException('no'); }});"
FULL = "Storage.prototype.setItem = () => { throw new DOMException('full'); };"


@pytest.mark.parametrize("refusing", [THROWS, FULL], ids=["none", "full"])
def test_where_a_browser_keeps_nothing_the_page_works_and_says_so(opened, refusing):
    tab = opened("refused", data=world(), before=refusing)
    tick(tab)
    assert lines(tab) == ["hangplan done m1 porch --on 2027-07-05"]
    told = tab.locator("#ticked p").all_inner_texts()
    assert told[1] == (
        "This browser keeps no ticks: copy these lines before you close the page, "
        "and type them at the computer:"
    )


KEPT = "{", "[1]", "7", '{"m1": 3, "m2": {"on": "x"}, "m9": {"on": "2027-07-05", "at": "08:00", "number": 1}}'
KEEP = "text => { for (const key of Object.keys(localStorage)) localStorage.setItem(key, text); }"


def test_what_was_kept_and_makes_no_sense_is_left_out(opened):
    tab = opened("sense", data=world())
    tick(tab)
    for kept in KEPT:
        tab.evaluate(KEEP, kept)
        reload(tab)
        assert lines(tab) == [], kept


def test_all_ticks_are_forgotten_only_when_that_is_confirmed(opened):
    tab = opened("forgotten", data=world(), locale="en-GB")  # of its own: it answers questions
    tick(tab)
    answers = [False, True]
    tab.on("dialog", lambda d: d.accept() if answers.pop(0) else d.dismiss())
    assert len(lines(tab)) == 1
    tab.get_by_text("Forget all ticks").click()
    assert len(lines(tab)) == 1
    tab.get_by_text("Forget all ticks").click()
    assert lines(tab) == []


def test_a_line_is_copied(opened):
    tab = opened("copied", DESKTOP, data=world(), permissions=["clipboard-read", "clipboard-write"])
    tab.locator(".moves .tick").first.click()
    tab.get_by_text("Copy this line").click()
    tab.get_by_text("Copied").wait_for()
    assert tab.evaluate("navigator.clipboard.readText()") == "hangplan done m1 porch --on 2027-07-05"
