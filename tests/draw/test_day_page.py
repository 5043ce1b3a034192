from io import BytesIO

import pdfplumber
import pytest

from planner.draw.paper.formats import PAPERS
from planner.draw.sheets.day_sheet import MARGIN, day_page, fitted
from planner.section import Section
from planner.style import DAY_LARGEST, DAY_LEAST

PT_PER_MM = 72 / 25.4


def block(number, cell="tub-2 at 12.5,15.5", title="Due today or tomorrow"):
    rows = tuple((f"m{i}", cell, "59 %") for i in range(1, number + 1))
    return Section(title, "A note.", ("pupa", "hangs", "today"), rows, ("dark", "out"), (1,))


def opened(*blocks, paper="A4", title="Porch: Sat 10 Jul 2027"):
    data = day_page(title, "3 pupae present.", blocks, "Never move a soft or darkening pupa.", paper)
    return pdfplumber.open(BytesIO(data)).pages


def sizes(page, text):
    """Type sizes of the words of a text."""
    return {round(c["size"], 1) for w in page.extract_words(return_chars=True) if w["text"] == text
            for c in w["chars"]}  # fmt: skip


def test_few_rows_are_set_in_the_largest_type():
    (page,) = opened(block(3))
    assert sizes(page, "m1") == {DAY_LARGEST}


@pytest.mark.parametrize("number", [3, 20, 30, 45, 600])
@pytest.mark.parametrize("paper", PAPERS)
def test_it_is_one_page_within_its_margins_with_a_row_of_boxes_for_each_pupa(number, paper):
    (page,) = opened(block(number), block(2, title="Overdue"), paper=paper)
    edge = MARGIN * PT_PER_MM - 1
    words = page.extract_words()
    assert min(w["x0"] for w in words) >= edge
    assert max(w["x1"] for w in words) <= page.width - edge
    assert max(w["bottom"] for w in words) <= page.height - edge
    foot = next(w for w in words if w["text"] == "Never")
    assert max(r["bottom"] for r in page.rects if r["width"] < 30) < foot["top"]
    rows = sum(w["text"].startswith("m") and w["text"][1:].isdigit() for w in words)
    assert len([r for r in page.rects if 2 < r["width"] < 30]) == 2 * rows
    text = page.extract_text()
    hidden = number + 2 - rows
    assert (f"and {hidden} more rows: hangplan today --all" in text) == (hidden > 0)


def test_the_smallest_type_is_not_undercut_and_rows_are_left_out_instead():
    kept, size = fitted("Porch", "", [block(100), block(5)], PAPERS["A4"])
    assert size == DAY_LEAST
    assert len(kept[0].rows) + kept[0].more == 100
    assert kept[1].more == 0


def test_a_long_list_takes_several_lines_in_its_column():
    names = ", ".join(f"m{i}" for i in range(1, 41))
    (page,) = opened(Section("Do not touch", "", ("why", "pupae"), (("soft", names),), (), (1,), 1))
    words = [w["text"].rstrip(",") for w in page.extract_words()]
    assert [w for w in words if w.startswith("m") and w[1:].isdigit()] == names.split(", ")


def test_a_cell_that_is_too_wide_is_shortened_and_leaves_the_others_room():
    (page,) = opened(Section("Due", "", ("pupa", "hangs", "today"), (("m1", "x" * 300, "59 %"),)))
    words = page.extract_words()
    assert any(w["text"].startswith("xxx") and w["text"].endswith("…") for w in words)
    assert [w["text"] for w in words].count("59") == 1


def test_any_name_is_drawn():
    (page,) = opened(block(1, cell="蝶 אבג $x$ 12"), title="Säntis 蝶 " * 20)
    assert "m1" in page.extract_text()


def test_the_bytes_are_the_same_each_time():
    one, two = (day_page("Porch", "", [block(3)], "", "A4") for _ in range(2))
    assert one == two


def test_an_unknown_paper_is_refused():
    with pytest.raises(ValueError, match=r"^'A5' is no paper size known here: A4 or Letter$"):
        day_page("Porch", "", [], "", "A5")


def test_a_long_place_takes_more_lines_before_an_id_or_an_hour_is_cut_short():
    place = "the board beside the great window on the street r4p10"
    rows = (("butterfly-01", place, place, place, "14 Jul 10:57"),)
    wide = Section("Moves", "", ("pupa", "from", "by", "to", "not after"), rows * 2, (), (1, 2, 3))
    text = opened(wide, block(2))[0].extract_text()
    assert "butterfly-01" in text
    assert "14 Jul 10:57" in text
    assert "…" not in text


def test_a_title_too_long_for_one_row_is_broken_before_the_day():
    (page,) = opened(block(2), title="The greenhouse behind the old school: Sat 10 Jul 2027")
    first, second = page.extract_text().splitlines()[:2]
    assert first.startswith("The greenhouse behind the")
    assert second == "Sat 10 Jul 2027"
