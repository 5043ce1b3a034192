"""Keys, names for screen readers, and the findings of axe-core."""

from datetime import datetime
from pathlib import Path

import pytest
from conftest import DESKTOP, PHONE, go

AXE = (Path(__file__).parent / "axe-core" / "axe.min.js").read_text(encoding="utf-8")
MEASURE = (Path(__file__).parent / "measure.js").read_text(encoding="utf-8").rstrip()
FIND = """async ([where, rules]) => (await axe.run(where, {resultTypes: ['violations'], ...rules})).violations
  .filter((v) => ['serious', 'critical'].includes(v.impact))
  .map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => n.html).join(' ')}`)"""


def findings(tab, *rules, where="html"):
    """Serious and critical ones, of the rules named or of all, in a part of the page or in all of it."""
    if not tab.evaluate("() => 'axe' in window"):
        tab.evaluate(AXE)
    return tab.evaluate(FIND, [where, {"runOnly": list(rules)} if rules else {}])


def test_axe_finds_nothing_serious_on_a_phone_in_any_part(opened):
    tab = opened("odd names", PHONE)
    for part in ("day", "rack", "moves", "record"):
        go(tab, part)
        if part == "moves":
            tab.locator(".moves .tick").first.click()
        assert findings(tab, where="html" if part == "day" else f"#{part}") == [], part
    go(tab, "rack")
    tab.locator("#place-2 g.p").first.click()
    assert findings(tab, where="#card") == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_serious_where_a_lid_is_tapped_a_spot_chosen_and_a_slip_made(opened, scheme):
    tab = opened("odd names", PHONE, color_scheme=scheme)
    go(tab, "record")
    tab.locator("#lids button").first.click()
    tab.get_by_role("button", name="Add one").click()
    assert findings(tab, where="#lid") == []
    tab.click("#lid-close")
    assert findings(tab, where="#record") == []
    go(tab, "rack")
    tab.locator("#place-2 g.p").first.click()
    tab.get_by_role("button", name="Hung elsewhere").click()
    tab.locator("article.place svg.strip").first.click()
    assert findings(tab, where="#choose") == []


def test_axe_finds_nothing_serious_on_a_desktop_where_all_parts_are_seen_at_once(opened):
    tab = opened("odd names", DESKTOP)
    tab.locator(".moves .tick").first.click()
    assert findings(tab) == []


def test_in_the_dark_look_every_text_keeps_its_contrast(opened):
    # the same colours on a phone, where only the bar stands elsewhere
    tab = opened("odd names", DESKTOP, color_scheme="dark")
    tab.locator(".moves .tick").first.click()
    assert findings(tab, "color-contrast") == []
    tab.locator("#place-2 g.p").first.click()
    assert findings(tab, "color-contrast", where="#card") == []


def test_axe_finds_nothing_serious_where_some_are_due_and_some_overdue(opened):
    assert findings(opened("35", PHONE, clock=datetime(2027, 7, 16, 8)), where="#day") == []


def test_these_tests_would_see_a_serious_finding(opened):
    tab = opened("1")
    assert findings(tab, "button-name") == []
    tab.evaluate("document.getElementById('after').removeAttribute('aria-label')")
    tab.evaluate("document.getElementById('after').textContent = ''")
    assert [f.split(":")[0] for f in findings(tab, "button-name")] == ["button-name"]


def test_the_rack_is_walked_with_the_arrows_and_a_card_opened_and_closed_by_keys(opened):
    tab = opened("35", DESKTOP)
    strip = tab.locator("#place-4 svg.strip")
    assert strip.locator("g.p[tabindex='0']").count() == 1
    strip.locator("g.p[tabindex='0']").focus()
    first = tab.evaluate("document.activeElement.getAttribute('aria-label')")
    tab.keyboard.press("ArrowRight")
    second = tab.evaluate("document.activeElement.getAttribute('aria-label')")
    assert first != second
    tab.keyboard.press("Enter")
    assert tab.locator("#card-title").inner_text().startswith(second.split(" ")[0])
    tab.keyboard.press("Escape")
    assert not tab.locator("#card").is_visible()
    assert tab.evaluate("document.activeElement.getAttribute('aria-label')") == second


def test_the_day_is_changed_by_keys_and_told(opened):
    tab = opened("35", DESKTOP)
    tab.locator("#slider").focus()
    tab.keyboard.press("ArrowRight")
    assert tab.locator("#slider").get_attribute("aria-valuetext") == "Tue 13 Jul"
    assert tab.locator("#shown-day").inner_text() == "Tue 13 Jul"


def test_a_box_that_is_ticked_by_key_keeps_the_focus(opened):
    tab = opened("35", DESKTOP)
    box = tab.locator(".due").get_by_label("out m2")
    box.focus()
    tab.keyboard.press("Space")
    assert tab.locator(".due").get_by_label("out m2").is_checked()
    assert tab.evaluate("document.activeElement.dataset.key") == "out m2"


def test_a_tag_says_who_where_and_what(opened):
    tab = opened("35")
    names = tab.eval_on_selector_all("g.p", "all => all.map((g) => g.getAttribute('aria-label'))")
    assert "m34 22 Jul soft; m34, tub-2 at 27,10: soft: do not touch" in names
    assert "m2 14 Jul step 2; m2, north 8 cm, to be hung here: may be moved" in names


def test_a_pupa_is_found_by_its_id(opened):
    tab = opened("600")
    go(tab, "rack")
    tab.fill("#find", "P112")
    tab.keyboard.press("Enter")
    tab.locator("g.p.found[aria-label^='p112 ']").wait_for(state="attached")
    tab.wait_for_function(f"{MEASURE}.inView()")


def test_a_tap_on_the_small_picture_goes_to_that_place(opened):
    tab = opened("600")
    go(tab, "rack")
    box = tab.locator("#whole [data-place=D1]").bounding_box()
    tab.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    tab.wait_for_function(
        "Math.abs(document.querySelector('article[data-place=D1]').getBoundingClientRect().top) < 60"
    )
