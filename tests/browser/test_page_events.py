"""What is ticked, marked and noted: events in the browser, told as not yet recorded, and out of it a slip."""

import json
from datetime import datetime

import pytest
from conftest import DESKTOP, go, load
from page_world import NOW, move, pupa, season

from planner.follow.day import Day
from planner.record.slip import read_slips
from planner.report.page.data import PageData
from planner.season import Plan, When

STEPS = (move(1, "m1", ("tub-2", "5,5"), "north", "4"), move(2, "m2", ("tub-2", "9,5"), "north", "8"))
PARKED = (
    move(1, "m1", ("tub-2", "5,5"), "north", "40"),
    move(2, "m2", ("tub-2", "9,5"), "north", "8"),
    move(3, "m1", ("north", "40"), "north", "4"),
)
KEPT = """() => { const key = Object.keys(localStorage).find((k) => k.endsWith(' events'));
  return key ? JSON.parse(localStorage.getItem(key)).events : []; }"""


def world(steps=STEPS, on=NOW, ids=("m1", "m2"), taken=(), **more):
    found = season(*(pupa(name, x=5.0 + 4 * i, y=5.0, **more) for i, name in enumerate(ids)))
    return PageData(
        Day(found, on, Plan(on=on, gap_days=2, hangs=(), moves=steps)), None, "0123456789ab", tuple(taken)
    )


def tick(tab, number=0):
    go(tab, "moves")
    tab.evaluate("n => document.querySelectorAll('.moves .tick input')[n].click()", number)


def kept(tab):
    """The events kept, without their ids."""
    return [{k: v for k, v in e.items() if k not in ("id", "shared")} for e in tab.evaluate(KEPT)]


def told(tab):
    """Who and what, as the page tells it, the latest first."""
    go(tab, "record")
    rows = tab.locator(".untaken .row")
    return [f"{r.locator('.id').inner_text()} {r.locator('.way').inner_text()}" for r in rows.all()]


def slip(tab):
    """The slip that is saved."""
    go(tab, "record")
    with tab.expect_download() as found:
        tab.get_by_role("button", name="Save the slip").click()
    (one,) = read_slips(found.value.path().read_bytes(), "slip")
    return one


def test_ticks_come_out_as_a_slip(opened):
    tab = opened("ticks", data=world())
    assert told(tab) == []
    tab.click("button[data-part=moves]")
    for number in range(2):  # with the thumb, as it were; the other tests are quicker about it
        tab.locator(".moves .tick").nth(number).click()
    assert tab.locator("#moves .unsaved").inner_text() == "2 events on this phone, not yet recorded."
    assert told(tab) == ["m2 → north 8 cm", "m1 → north 4 cm"]
    assert tab.locator("#untaken .alarm").inner_text() == "2 events on this phone, not yet recorded."
    assert tab.locator("#number").inner_text() == "2"
    found = slip(tab)
    assert (found.season, found.name) == ("0123456789ab", "Porch")
    assert [(e.pupa, e.place, e.spot, str(e.when)) for e in found.events] == [
        ("m1", "north", "4", "2027-07-05T08:00"), ("m2", "north", "8", "2027-07-05T08:00")]  # fmt: skip
    assert found.events[0].at < found.events[1].at


def test_what_became_of_a_pupa_is_an_event_and_a_second_word_replaces_the_first(opened):
    tab = opened("became", data=world(on=datetime(2027, 7, 10, 8)))
    tab.locator(".due .ticks").nth(0).get_by_label("dark").check()
    tab.locator(".due .ticks").nth(1).get_by_label("out").check()
    tab.locator(".due .ticks").nth(0).get_by_label("out").check()
    assert told(tab) == ["m1 emerged", "m2 emerged"]


def test_a_j_is_marked_as_pupated_and_not_as_emerged(opened):
    tab = opened("j", data=world((), pupated=None))
    tab.locator("#place-0 g.p, #place-1 g.p").first.evaluate(
        "g => g.dispatchEvent(new MouseEvent('click', {bubbles: true}))"
    )
    assert tab.locator("#became option").all_inner_texts()[:2] == ["nothing yet", "pupated"]
    tab.select_option("#became", "pupated")
    tab.fill("#card .note input", "by the door")
    tab.get_by_role("button", name="Add note").click()
    tab.get_by_role("button", name="Close").click()
    assert told(tab) == ["m1 note: by the door", "m1 pupated"]
    assert [type(e).__name__ for e in slip(tab).events] == ["Pupated", "Noted"]


def test_what_sick_ones_hung_from_is_ticked_as_cleaned_a_lid_as_a_whole(opened):
    sick = {"outcome": "parasitised", "ended": When.parse("2027-07-04")}
    gone = [
        pupa("m7", place="north", spot="8", **sick),
        *(pupa(f"m{k}", x=20.0, y=3.0 * k, **sick) for k in (8, 9)),
    ]
    found = season(pupa("m1", place="north", spot="4"), *gone)
    tab = opened("sick", data=PageData(Day(found, NOW)))
    tab.locator("[data-place=north] g.p").first.evaluate(
        "g => g.dispatchEvent(new MouseEvent('click', {bubbles: true}))"
    )
    tab.select_option("#became", "parasitised")
    tab.get_by_role("button", name="Close").click()
    tab.get_by_role("button", name="4 Cleaning").click()
    closed = tab.locator("#closed .row")
    assert closed.locator(".way").all_inner_texts() == ["north 8 cm", "tub-2", "north 4 cm"]
    assert closed.locator(".when").all_inner_texts() == [
        "m7 was sick there", "m8, m9 were sick there", "m1 was sick there",
    ]  # fmt: skip
    for number in range(3):
        closed.nth(number).get_by_role("checkbox").check()
    closed.nth(0).get_by_role("checkbox").uncheck()
    cleaned = [f"{name} cleaned what it hung from" for name in ("m1", "m9", "m8")]
    assert told(tab) == [*cleaned, "m1 parasitised"]
    assert [type(e).__name__ for e in slip(tab).events] == ["Marked", "Cleaned", "Cleaned", "Cleaned"]


def test_events_survive_a_reload_and_what_was_not_shared_is_forgotten_when_it_is_unticked(opened):
    tab = opened("reload", data=world())
    tick(tab)
    load(tab)
    assert told(tab) == ["m1 → north 4 cm"]
    tick(tab)
    load(tab)
    assert kept(tab) == []


def test_what_was_shared_is_taken_back_by_an_event_of_its_own(opened):
    tab = opened("shared", data=world())
    tick(tab)
    first = slip(tab).events[0].id
    tick(tab)
    assert told(tab) == []
    assert tab.locator("#number").inner_text() == "2"
    assert [(e.id if i == 0 else e.of) for i, e in enumerate(slip(tab).events)] == [first, first]


def test_what_the_season_has_vanishes_and_the_rest_is_still_shown(opened, file_of):
    tab = opened("before", data=world())
    tick(tab, 0)
    tick(tab, 1)
    first = slip(tab).events[0].id
    other, _ = file_of("after", world(taken=(first,)))
    load(tab, other)
    assert told(tab) == ["m2 → north 8 cm"]


def test_moves_of_another_plan_are_kept_too(opened, file_of):
    tab = opened("plan one", data=world(on=datetime(2027, 7, 9, 8)))
    tick(tab, 1)
    other, _ = file_of("plan two", world(steps=STEPS[:1], on=datetime(2027, 7, 9, 9)))
    load(tab, other)
    assert told(tab) == ["m2 → north 8 cm"]


def test_a_moved_pupa_is_drawn_where_it_hangs_now(opened):
    tab = opened("drawn", data=world())
    look = "g => [g.getAttribute('class'), g.querySelector('.w').textContent]"
    here, there = tab.locator("g.p[data-p='0']:not([data-after])"), tab.locator("g.p[data-after]").first
    assert (here.evaluate(look), there.evaluate(look)) == (["p s-may", "move"], ["p s-may to", "step 1"])
    tick(tab)
    assert (here.evaluate(look), there.evaluate(look)) == (["p s-may left", "left"], ["p s-may", "firm"])


def test_one_that_is_parked_is_recorded_where_it_hangs_last(opened):
    tab = opened("parked", data=world(PARKED))
    when = tab.locator(".moves .when").first
    assert when.text_content().startswith("for a few minutes, step 3 takes it on")
    tick(tab, 0)
    assert told(tab) == ["m1 → north 40 cm"]
    tick(tab, 2)
    assert told(tab) == ["m1 → north 4 cm"]
    tick(tab, 2)
    assert told(tab) == ["m1 → north 40 cm"]


def test_one_that_was_not_to_be_touched_is_asked_for_and_told_to_the_season(opened):
    # of its own tab: it answers questions. On 10 July from noon on both may be darkening.
    tab = opened("harm", data=world(on=datetime(2027, 7, 10, 13)), locale="en-GB")
    answers, asked = [False, True], []
    tab.on("dialog", lambda d: (asked.append(d.message), d.accept() if answers.pop(0) else d.dismiss()))
    tick(tab)
    assert kept(tab) == []
    assert not tab.locator(".moves .tick input").first.is_checked()
    tick(tab)
    assert asked[0] == (
        "m1: may be darkening since the afternoon of 10 Jul: do not move. Was it moved all the same?"
    )
    assert slip(tab).events[0].anyway


def test_a_hostile_name_goes_into_the_slip_and_comes_out_of_it_as_it_is(opened):
    names = ("m1; rm it's", "ñ2 <b>")
    tab = opened("quoted", data=world((), on=datetime(2027, 7, 10, 8), ids=names))
    for row in range(2):
        tab.locator(".due .ticks").nth(row).get_by_label("out").check()
    assert [e.pupa for e in slip(tab).events] == list(names)


THROWS = "Object.defineProperty(window, 'localStorage', {get() { throw new DOMException('no'); }});"
FULL = "Storage.prototype.setItem = () => { throw new DOMException('full'); };"


@pytest.mark.parametrize("refusing", [THROWS, FULL], ids=["none", "full"])
def test_where_a_browser_keeps_nothing_the_page_works_says_so_and_warns_before_it_is_closed(opened, refusing):
    tab = opened("refused", data=world(), before=refusing)
    tick(tab, 0)
    tick(tab, 1)
    assert told(tab) == ["m2 → north 8 cm", "m1 → north 4 cm"]
    said = tab.locator("#untaken p").all_inner_texts()
    assert said[2] == "This browser keeps nothing: share the slip before you close the page."
    assert tab.evaluate("!dispatchEvent(new Event('beforeunload', {cancelable: true}))")
    assert len(slip(tab).events) == 2


GOOD = {
    "id": "abcdefghijkl",
    "at": "2027-07-05T08:00:00.000",
    "kind": "moved",
    "pupa": "m1",
    "place": "north",
}
BAD = (
    "{",
    "[1]",
    "7",
    "null",
    json.dumps({"events": [1, {"id": "x"}, {**GOOD, "kind": "x"}, {**GOOD, "spot": 4}]}),
)
KEEP = "text => { for (const key of Object.keys(localStorage)) localStorage.setItem(key, text); }"


def test_what_was_kept_and_makes_no_sense_is_left_out(opened):
    tab = opened("sense", data=world())
    tick(tab)
    for text in BAD:
        tab.evaluate(KEEP, text)
        load(tab)
        assert told(tab) == [], text


def test_all_is_forgotten_only_when_that_is_confirmed(opened):
    tab = opened("forgotten", data=world(), locale="en-GB")  # of its own: it answers questions
    tick(tab)
    answers = [False, True]
    tab.on("dialog", lambda d: d.accept() if answers.pop(0) else d.dismiss())
    assert len(told(tab)) == 1
    tab.get_by_text("Forget all of it").click()
    assert len(told(tab)) == 1
    tab.get_by_text("Forget all of it").click()
    assert told(tab) == []


def test_the_slip_is_copied_as_text(opened):
    tab = opened("copied", DESKTOP, data=world(), permissions=["clipboard-read", "clipboard-write"])
    tab.locator(".moves .tick").first.click()
    tab.get_by_text("Copy it as text").click()
    tab.get_by_text("Copied").wait_for()
    (found,) = read_slips(tab.evaluate("navigator.clipboard.readText()").encode(), "slip")
    assert [e.pupa for e in found.events] == ["m1"]


def test_the_slip_is_shared_as_a_file_where_the_phone_can(opened):
    shares = """navigator.canShare = () => true;
      navigator.share = async ({files}) => { window.shared = await files[0].text(); };"""
    tab = opened("share", data=world(), before=shares)
    tick(tab)
    go(tab, "record")
    tab.get_by_role("button", name="Share the slip").click()
    tab.get_by_text("Shared").wait_for()
    (found,) = read_slips(tab.evaluate("shared").encode(), "slip")
    assert [e.pupa for e in found.events] == ["m1"]
