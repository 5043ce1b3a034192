"""What the page shows for each day is what our own reckoning says of it."""

import re
from datetime import datetime, timedelta

import pytest
from conftest import go
from page_world import NOW, move, pupa, season

from planner.follow.day import Day
from planner.report.page.data import PageData
from planner.season import Plan, When

STATES = """() => Object.fromEntries([...document.querySelectorAll('g.p:not([data-after])')].map(
  (g) => [Number(g.dataset.p), g.getAttribute('class').match(/s-(\\w+)/)[1]]))"""


def states(tab, data):
    found = tab.evaluate(STATES)
    return {one.prospect.pupa.id: found[str(one.number)] for one in data.shown}


def slide(tab, day):
    tab.evaluate("""async (day) => {
        const slider = document.getElementById('slider');
        slider.value = day;
        slider.dispatchEvent(new Event('input', {bubbles: true}));
        do await new Promise(requestAnimationFrame); while (document.body.matches('.drawing'));
        await new Promise(requestAnimationFrame);
    }""", day)  # fmt: skip


@pytest.mark.parametrize("name", ["1", "odd names"])
def test_on_the_first_day_scripts_and_markup_say_the_same(opened, file_of, name):
    data = file_of(name)[1]
    assert states(opened(name), data) == {s.prospect.pupa.id: s.state for s in data.shown}


@pytest.mark.parametrize("name", ["35", "600"])
def test_on_each_day_those_are_due_whose_chance_is_1_in_10_and_those_out_who_are_so_with_1_in_2(
    opened, file_of, name
):
    data = file_of(name)[1]
    tab = opened(name)
    assert states(tab, data) == {s.prospect.pupa.id: s.state for s in data.shown}
    for day, date in list(enumerate(data.days))[:: 1 if name == "35" else 4]:
        slide(tab, day)
        before = {s.prospect.pupa.id: sum(s.prospect.chances[d] for d in data.days[:day]) for s in data.shown}
        likely = {s.prospect.pupa.id: s.prospect.chances[date] for s in data.shown}
        found = states(tab, data)
        sure = {n for n in likely if abs(likely[n] - 0.1) > 1e-3 and abs(before[n] - 0.5) > 1e-3}
        out = {n for n in sure if before[n] >= 0.5}
        assert {n for n in sure if found[n] == "out"} == out
        assert {n for n in sure if found[n] == "due"} == {n for n in sure - out if likely[n] >= 0.1}
        words = tab.locator(".tile b").all_inner_texts()
        number = sum(likely.values())
        if min(abs(number - 0.05), abs(number - 0.75), abs(number % 1 - 0.5)) > 0.06:  # else rounding decides
            told = "none" if number < 0.05 else "perhaps 1" if number < 0.75 else f"about {round(number)}"
            assert words[0] == told


def test_who_may_be_moved_is_who_may_be_moved_on_the_day_sheet(opened, file_of):
    data = file_of("35")[1]
    texts = opened("35").locator(".tile b").all_inner_texts()
    free = [p for p in data.day.movable if not p.overdue]
    assert texts[2:] == [str(len(free)), str(len(data.day.all) - len(free) - len(data.day.overdue))]


# m1 pupated on 1 July: firm from 3 July 00:00, due 11 July 12:00, may be darkening from 10 July 12:00.
LIFE = [
    (datetime(2027, 7, 2, 23, 59), "soft"),
    (datetime(2027, 7, 3, 0, 0), "may"),
    (datetime(2027, 7, 10, 5), "due"),  # 9 in 10 are out from 9 July on
    (
        datetime(2027, 7, 10, 11, 59),
        "may",
    ),  # emergence ends at noon: it is too late for this day
    (datetime(2027, 7, 16, 12), "late"),
]


@pytest.mark.parametrize(("now", "state"), LIFE)
def test_the_state_of_one_pupa_through_its_life(opened, now, state):
    data = PageData(Day(season(pupa("m1", x=5.0, y=5.0)), now))
    assert states(opened(f"life {now:%d %H}", data=data), data) == {"m1": state}


def test_the_phones_clock_ends_a_pupas_time_to_be_moved(opened):
    steps = (move(1, "m1", ("tub-2", "5,5"), "north", "4"),)
    data = PageData(
        Day(season(pupa("m1", x=5.0, y=5.0)), NOW, Plan(on=NOW, gap_days=2, hangs=(), moves=steps))
    )
    soon = opened("clock", data=data, clock=datetime(2027, 7, 10, 11, 58))
    go(soon, "moves")
    assert soon.locator(".moves .now").is_hidden()
    late = opened("clock", clock=datetime(2027, 7, 10, 12, 0))
    go(late, "moves")
    told = "Sat 10 Jul: may be darkening since the afternoon of 10 Jul: do not move"
    assert late.locator(".moves .now").inner_text() == told


def test_opened_on_a_later_day_it_shows_that_day_and_says_that_it_is_old(opened):
    tab = opened("1", clock=NOW + timedelta(days=2))
    assert tab.locator("#day-title").inner_text() == "Today, Wed 7 Jul 2027"
    assert tab.locator("#stale").inner_text() == (
        "Made for Mon 5 Jul, and this phone's day is another: 'hangplan page' makes a new one."
    )
    assert tab.locator("#before").is_disabled()


def test_opened_on_its_own_day_it_does_not(opened):
    tab = opened("1")
    assert tab.locator("#day-title").inner_text() == "Today, Mon 5 Jul 2027"
    assert tab.locator("#stale").is_hidden()


def test_chances_are_given_anew_for_those_that_are_still_there(opened):
    # As the day sheet gives them on the later day: given that it was not out when that day began.
    later = NOW + timedelta(days=6)
    found = season(pupa("m1", x=5.0, y=5.0))
    began = datetime.combine(later.date(), datetime.min.time())
    fresh = Day(found, later, None, began).all[0].chances[later.date()]
    tab = opened("anew", data=PageData(Day(found, NOW)), clock=later)
    assert tab.locator("#lists .when").first.inner_text().split("\xa0")[3] == f"{fresh * 100:.0f}"


def test_a_prepupa_a_darkening_one_and_one_to_stay(opened):
    found = season(
        pupa("m1", None, x=5.0, y=5.0),
        pupa("m2", "2027-07-01", x=15.0, y=5.0, darkening=When.parse("2027-07-05")),
        pupa("m3", "2027-07-02", x=25.0, y=5.0, stay=True),
    )
    data = PageData(Day(found, NOW))
    tab = opened("three", data=data)
    # m2 was seen on this very day, so it emerges tomorrow, most likely.
    assert states(tab, data) == {"m1": "soft", "m2": "dark", "m3": "stay"}
    why = tab.locator(".why summary").all_inner_texts()
    assert why == [
        "hangs in a J (1)",
        "darkening was seen (1)",
        "to stay, by your own word (1)",
    ]


def test_a_reason_for_many_names_no_hour_and_has_no_blank_before_its_colon(opened):
    # Both are due on 11 July 12:00 and may be darkening from the day before: on 10 July 13:00 it is too late.
    found = season(pupa("m1", x=5.0, y=5.0), pupa("m2", x=25.0, y=5.0))
    tab = opened("two dark", data=PageData(Day(found, datetime(2027, 7, 10, 13))))
    assert tab.locator(".why summary").all_inner_texts() == ["may be darkening (2)"]


def test_those_overdue_stand_in_a_list_with_a_box_each(opened):
    tab = opened("35", clock=datetime(2027, 7, 16, 8))  # some are due, some late, some soft
    text = tab.locator("#lists").inner_text()
    count = int(re.search(r"Overdue: (\d+)", text)[1])
    assert count
    assert "[object" not in text
    late = tab.locator("#lists h3", has_text="Overdue").locator("xpath=following-sibling::*[2]")
    assert late.locator("input").count() >= count
