"""Nothing on the page is cut off or covers another, at any size, in any script, light and dark."""

from datetime import datetime
from pathlib import Path

import pypdfium2
import pytest
from conftest import DESKTOP, PHONE, go, load
from page_world import ARABIC, HOSTILE, LONG

WINDOWS = {"phone": PHONE, "desktop": DESKTOP}
MEASURE = (Path(__file__).parent / "measure.js").read_text(encoding="utf-8").rstrip()


SIZES = "all => all.map((t) => parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a)"  # px


def measured(tab, what):
    return tab.evaluate(f"{MEASURE}.{what}()")


def parts(tab, window):
    for part in ("day", "rack", "moves", "record"):
        if window == "phone":
            tab.click(f"button[data-part={part}]")
        seen = tab.eval_on_selector_all(
            "section", "all => all.filter((s) => s.checkVisibility()).map((s) => s.id)"
        )
        assert seen == ([part] if window == "phone" else ["day", "rack", "moves", "record"])
        yield part


@pytest.mark.parametrize("window", WINDOWS)
@pytest.mark.parametrize("name", ["1", "35", "600", "odd names"])
def test_nothing_is_cut_off_or_covered_or_too_small_to_be_read(opened, name, window):
    tab = opened(name, WINDOWS[window])
    measured(tab, "showAll")
    for part in parts(tab, window):
        assert measured(tab, "clipped") == [], part
        assert measured(tab, "covered") == [], part
        assert tab.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        if part == "rack":
            assert measured(tab, "tags") == {"out": [], "over": [], "cut": []}
            assert min(tab.eval_on_selector_all(".strip text", SIZES)) >= 11.4  # `PAGE_SMALLEST` of the style


def test_places_can_be_made_larger(opened):
    tab = opened("35")
    go(tab, "rack")
    before = tab.locator("svg.strip").first.bounding_box()["width"]
    tab.click("#larger")
    assert tab.locator("#size").inner_text() == "130 %"
    assert tab.locator("svg.strip").first.bounding_box()["width"] == pytest.approx(1.3 * before, rel=1e-3)


def test_a_state_is_told_by_a_word_and_a_shape_not_by_colour_alone(opened):
    tab = opened("35", clock=datetime(2027, 7, 16, 8))  # some are due, some late, some soft
    go(tab, "rack")
    looks = measured(tab, "looks")
    by_state = {look[0]: set() for look in looks}
    for state, word, shape in looks:
        by_state[state].add((word, shape))
    assert len(by_state) >= 3
    assert all(len(found) == 1 for found in by_state.values())
    words, shapes = zip(*(next(iter(found)) for found in by_state.values()), strict=True)
    assert len(set(words)) == len(set(shapes)) == len(by_state)


def test_names_of_every_script_and_names_that_look_like_markup_are_shown_as_they_are(opened):
    tab = opened("odd names")
    assert tab.title().startswith(ARABIC)
    go(tab, "rack")
    tab.locator("article.place h3 bdi").nth(1).wait_for()
    names = [text.split("\n")[0] for text in tab.locator("article.place h3 bdi").all_inner_texts()]
    assert names[:2] == [LONG, ARABIC]
    assert HOSTILE in names
    assert tab.locator("main img").count() == 0


def test_a_note_that_looks_like_markup_is_text_on_the_card(opened):
    tab = opened("odd names")
    go(tab, "rack")
    tab.locator("article.place g.p").first.click()
    assert tab.locator("#card dd").last.inner_text() == HOSTILE


# Where the name ends, the number begins and ends, and the unit begins, px from the left.
EDGES = """(e) => {
  const [text, range] = [e.firstChild, document.createRange()];
  const box = (from, to) => {
    range.setStart(text, from);
    range.setEnd(text, to);
    return range.getBoundingClientRect();
  };
  const [name, unit] = [text.data.indexOf('\\u2069'), text.data.lastIndexOf(' ')];
  const number = box(name + 2, unit);
  return [box(1, name).right, number.left, number.right, box(unit + 1, text.length).left];
}"""


def test_names_from_right_to_left_stand_apart_from_what_is_around_them(opened):
    # "<arabic> 2.5 cm": the number and its unit stay at the right of the name; all in one row.
    tab = opened("odd names", DESKTOP)
    tab.locator(f'article[data-place="{ARABIC}"] g.p').first.click()
    where = tab.locator("#card dd bdi").first
    assert where.inner_text() == f"\u2068{ARABIC}\u2069 2.5 cm"
    name_ends, number_begins, number_ends, unit_begins = where.evaluate(EDGES)
    assert name_ends <= number_begins + 1
    assert number_ends <= unit_begins + 1


def test_the_dark_look_follows_the_system_and_can_be_chosen_and_is_kept(opened):
    tab = opened("1", color_scheme="dark")
    ground = "getComputedStyle(document.body).backgroundColor"
    assert tab.evaluate(ground) == "rgb(21, 25, 26)"
    tab.click("#theme")
    assert tab.evaluate(ground) == "rgb(251, 248, 241)"
    load(tab)
    assert tab.evaluate(ground) == "rgb(251, 248, 241)"


def test_on_paper_every_pupa_stands_once_and_nothing_is_beyond_the_sheet(opened, file_of):
    data = file_of("35")[1]
    tab = opened("35", DESKTOP, color_scheme="dark")
    pdf = pypdfium2.PdfDocument(tab.pdf(format="A4"))
    texts = [sheet.get_textpage() for sheet in pdf]
    boxes = [text.get_rect(i) for text in texts for i in range(text.count_rects())]
    assert min(left for left, *_ in boxes) >= 0
    assert max(right for *_, right, _ in boxes) <= 595.3  # A4 in points
    pages = [text.get_text_bounded().split() for text in texts]
    starts = [words[0] for words in pages]
    rack = [word for words in pages[starts.index("Rack") : starts.index("Moves")] for word in words]
    for one in data.shown:  # where it hangs, and where it is to be hung
        assert rack.count(one.prospect.pupa.id) == 1 + len(one.moves)
    shades = [sheet.render(scale=0.2, grayscale=True).to_numpy().mean() for sheet in pdf]
    assert min(shades) > 180  # 255 is white: the dark ground, 25, is not printed


def test_on_paper_a_long_line_is_set_in_rows_and_afterwards_as_it_was(opened):
    tab = opened("35", DESKTOP)
    tab.evaluate("dispatchEvent(new Event('beforeprint'))")
    # south is 160 cm long, 6.25 px each and 74 at its ends: 1074 px, so two rows of 700.
    assert tab.locator("#place-1 .slice").count() == 2
    assert (
        tab.locator("#place-1 .slice g.p").count() == tab.locator("#place-1 .strip:not(.slice) g.p").count()
    )
    tab.evaluate("dispatchEvent(new Event('afterprint'))")
    assert tab.locator(".slice").count() == 0


def test_without_scripts_it_shows_the_day_it_was_made(opened, file_of):
    data = file_of("35")[1]
    tab = opened("35", PHONE, java_script_enabled=False)
    text = tab.inner_text("main")
    assert "35 pupae. None expected today, about 1 tomorrow." in text
    assert tab.locator(".moves .row").count() == len(data.moves) == 14
    assert tab.locator("g.p").count() == 35 + 14
    assert not tab.locator("#slider").is_visible()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 320])
def test_on_a_narrow_phone_the_number_to_record_and_every_word_fit_their_buttons(
    browser, file_of, width, scheme
):
    window = {"viewport": {"width": width, "height": 640}, "color_scheme": scheme}
    tab = browser.new_context(**window).new_page()
    file, data = file_of("35")
    tab.clock.set_fixed_time(data.day.now)
    tab.goto(file.as_uri())
    tab.click("button[data-part=moves]")
    for k in range(12):
        tab.locator("#moves input[type=checkbox]").nth(k).check()
    assert tab.inner_text("button[data-part=record]") == "Record 12"
    words = "all => all.filter((b) => b.scrollWidth > b.clientWidth || b.scrollHeight > b.clientHeight + 1)"
    cut = f"{words}.map((b) => b.textContent)"
    for part in ("day", "rack", "moves", "record"):
        tab.click(f"button[data-part={part}]")
        assert tab.eval_on_selector_all(".bar button", cut) == []
        assert measured(tab, "clipped") == []
        assert tab.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    tab.context.close()


def test_the_switch_of_colours_does_not_speak_of_pupae_that_are_dark(opened):
    tab = opened("35")
    assert tab.inner_text("#theme") == "Night colours"
    tab.click("#theme")
    assert tab.inner_text("#theme") == "Day colours"
