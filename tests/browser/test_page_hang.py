"""Hung elsewhere: a tap on the rack says where, and what clashes there is told at once."""

import re
from dataclasses import replace

from conftest import DESKTOP, go
from page_world import NOW, pupa, season
from test_page_events import kept, slip, told

from planner.follow.day import Day
from planner.follow.progress import Progress
from planner.record.clashing import clashing_with
from planner.report.page.data import PageData
from planner.season import Board, Lid, Line, Plan
from planner.season.places.dividers import Divider

PLACES = (
    Line(name="north", length=60, height=150, clips_every=4, left=0, front=10),
    Line(name="low", length=60, height=140, clip_width=3, left=0, front=14),
    Board(name="cork", width=20, height=15, pins_every=5, bottom=142, pattern="staggered", left=10, front=0),
    Lid(name="tub-2", width=40, length=28),
)


def rack():
    """m2 to m5 are due 10, 11, 13 and 11 July; m1, due 11 July, is to be hung."""
    found = season(
        pupa("m1", "2027-07-01", x=5.0, y=5.0),
        pupa("m2", "2027-06-30", "north", spot="16"),
        pupa("m3", "2027-07-01", "low", spot="37"),
        pupa("m4", "2027-07-03", "cork", spot="r1p2"),
        pupa("m5", "2027-07-01", "cork", spot="r3p3"),
        places=PLACES,
    )
    return replace(found, dividers=(Divider(("north", "16"), ("north", "20")),))


def world():
    return PageData(Day(rack(), NOW, Plan(on=NOW, gap_days=2, hangs=())))


def choose(tab, name="m1"):
    tab.evaluate(
        "n => [...document.querySelectorAll('g.p')].find((g) => g.getAttribute('aria-label').startsWith(n))"
        ".dispatchEvent(new MouseEvent('click', {bubbles: true}))",
        f"{name} ",
    )
    tab.get_by_role("button", name="Hung elsewhere").click()


def tap(tab, place, x, y=0.0):
    """Tap a point of a place, cm in its own frame."""
    facts = tab.evaluate("JSON.parse(document.getElementById('facts').textContent).places")
    one = next(p for p in facts if p["name"] == place)
    left, top, right, low = one["frame"]
    px = left + x / one["extent"][0] * (right - left)
    py = low - y / one["extent"][1] * (low - top) if one["extent"][1] else top
    strip = f'article[data-place="{place}"] svg.strip'
    tab.evaluate(
        """([strip, x, y]) => { const svg = document.querySelector(strip);
          svg.scrollIntoView({block: 'center'});
          const at = new DOMPoint(x, y).matrixTransform(svg.getScreenCTM());
          svg.dispatchEvent(new MouseEvent('click', {bubbles: true, clientX: at.x, clientY: at.y})); }""",
        [strip, px, py],
    )
    return tab.inner_text("#choose-words")


def test_a_tap_on_a_ring_says_where_it_hangs(opened):
    tab = opened("hang", data=world())
    choose(tab)
    assert tab.inner_text("#choose-words") == "Tap the free spot where m1 hangs now."
    assert tap(tab, "north", 40.5) == "m1 to north 40 cm. Clash: m3, due at the same time"
    assert tap(tab, "north", 55.5) == "m1 to north 56 cm: no clash there"
    tab.get_by_role("button", name="It hangs there").click()
    assert told(tab) == ["m1 → north 56 cm"]
    go(tab, "rack")
    here = tab.locator('article[data-place="north"] .moved-here')
    assert here.get_attribute("aria-label") == "m1, north 56 cm, hung there by you"
    assert tab.locator("g.p[data-p='0']:not(.moved-here)").get_attribute("class") == "p s-may left"
    (event,) = slip(tab).events
    assert (event.pupa, event.place, event.spot) == ("m1", "north", "56")


def test_a_clip_that_slides_hangs_where_it_is_tapped_and_not_on_another(opened):
    tab = opened("slides", data=world())
    choose(tab)
    assert tap(tab, "low", 3.1) == "m1 to low 3 cm: no clash there"
    assert tap(tab, "low", 36).startswith("m1 to low 36 cm: taken by m3")
    assert not tab.locator("#choose-yes").is_visible()
    tab.get_by_role("button", name="Cancel").click()
    assert kept(tab) == []
    assert not tab.locator("#choose").is_visible()


def test_no_spot_is_told_on_a_lid_and_between_places(opened):
    tab = opened("none", data=world())
    choose(tab)
    assert tap(tab, "tub-2", 20, 20) == "No free spot is there: tap a ring on a line or board."
    assert tap(tab, "cork", 0.2, 14.8) == "No free spot is there: tap a ring."


def test_who_clashes_on_each_free_spot_is_who_clashes_by_the_seasons_own_rules(opened):
    tab = opened("rules", DESKTOP, data=world())
    choose(tab)
    found = rack()
    facts = tab.evaluate("JSON.parse(document.getElementById('facts').textContent).places")
    free = [(p["name"], *spot) for p in facts for spot in p["spots"]]
    free += [("low", f"{x:g}", x, 0.0) for x in (3, 9, 15, 21, 27, 32, 43, 49)]
    told_, expected = {}, {}
    for place, tag, x, y in free:
        if (place, tag) in {(p.place, p.spot) for p in found.pupae}:
            continue
        words = tap(tab, place, x, y)
        assert words.startswith(f"m1 to {place} {tag}"), words
        told_[place, tag] = sorted(set(re.findall(r"m[2-5]", words.partition("Clash")[2])))
        moved = replace(found.pupa["m1"], place=place, spot=tag, x=None, y=None)
        there = replace(found, pupae=(moved, *found.pupae[1:]))
        texts = clashing_with(Progress(there, Plan(on=NOW, gap_days=2, hangs=())), ["m1"], NOW)
        expected[place, tag] = sorted(re.search(r"and (m[2-5]) clash", text)[1] for text in texts)
    assert len(told_) > 25
    assert {len(names) for names in expected.values()} >= {0, 1}
    assert told_ == expected


def test_it_is_taken_back_on_its_card(opened):
    tab = opened("back", data=world())
    choose(tab)
    tap(tab, "north", 40)
    tab.get_by_role("button", name="It hangs there").click()
    tab.evaluate(
        "document.querySelector('.moved-here').dispatchEvent(new MouseEvent('click', {bubbles: true}))"
    )
    assert tab.locator("#card dd").nth(1).inner_text() == "north 40 cm"
    tab.get_by_role("button", name="Take it back").click()
    assert kept(tab) == []
