"""The sheet to watch by, read back from its PDF."""

from datetime import date, timedelta

import pytest
from draw_world import PT_PER_MM, pdf, pdf_text

from planner.draw.sheets.watch_sheet import Watched, watch_sheet

JULY_3 = date(2027, 7, 3)


def watched(name="m1", **more):
    given = {"species": "", "hangs": "north 36 cm", "pupated": JULY_3, "first": date(2027, 7, 12),
             "last": date(2027, 7, 16)}  # fmt: skip
    return Watched(id=name, **{**given, **more})


def bars(data, page=0):
    """The parts of bars on a page, from the left, as (width in mm, whether framed)."""
    with pdf(data) as file:
        found = [r for r in file.pages[page].rects if r["height"] / PT_PER_MM == pytest.approx(8.5, abs=0.1)]
    found.sort(key=lambda r: (round(r["top"]), r["x0"]))
    return [(r["width"] / PT_PER_MM, r["linewidth"] > 1) for r in found]


def test_a_card_has_a_part_for_each_day_and_frames_those_on_which_it_may_emerge():
    data = watch_sheet("Room 12", [watched()], {}, "A4")
    # 3 to 17 July: 15 days, and of these 12 to 16 July are framed, the tenth to the fourteenth
    assert [framed for _, framed in bars(data)] == [9 < k < 15 for k in range(1, 16)]
    # A4 less margins is 186 mm, less 50 mm for its name and 4 mm at the right: 132 mm, 15 times 8.8 mm
    assert {round(wide, 1) for wide, _ in bars(data)} == {8.8}
    text = " ".join(pdf_text(data).split())
    assert "4 5 6 7 8 9 10 11 12 13 14 15 16 17" in text
    assert "pupated 3 Jul due 12 to 16 Jul north 36 cm" in text
    assert "Look, do not touch." in text


@pytest.mark.parametrize(
    ("more", "words", "parts"),
    [
        ({"pupated": None, "first": None, "last": None}, "hangs in a J: no day yet", 16),
        ({"last": date(2027, 8, 2)}, "due 12 Jul to 2 Aug", 32),
        ({"last": date(2027, 7, 12)}, "due 12 Jul north", 11),
        ({"last": date(2027, 10, 1)}, "due 12 Jul to 1 Oct", 16),  # too long to be coloured day by day
        ({"species": "painted lady"}, "painted lady pupated 3 Jul", 15),
    ],
)
def test_what_a_card_says(more, words, parts):
    data = watch_sheet("Room 12", [watched(**more)], {}, "A4")
    assert words in " ".join(pdf_text(data).split())
    assert len(bars(data)) == parts


@pytest.mark.parametrize(("paper", "first"), [("A4", 7), ("Letter", 6)])
def test_cards_go_on_overleaf_whole_and_the_tally_is_the_last_page(paper, first):
    pupae = [watched(f"m{n}") for n in range(1, 9)]
    with pdf(watch_sheet("Room 12", pupae, {date(2027, 7, 14): 8.0}, paper)) as file:
        texts = [page.extract_text() for page in file.pages]
        on_first = [w["text"] for w in file.pages[0].extract_words() if w["text"].startswith("m")]
        inside = [r["bottom"] for page in file.pages for r in page.rects if r["width"] < 0.95 * page.width]
        assert max(inside) < file.pages[0].height - 12 * PT_PER_MM
    assert len([w for w in on_first if w[1:].isdigit()]) == first
    assert [f"page {n} of 3" in text for n, text in enumerate(texts, 1)] == [True] * 3
    assert "the tally" in texts[2]
    assert "8 pupae in all" in texts[2]


def squares(data):
    """How many squares each row of the tally has."""
    with pdf(data) as file:
        tops = [
            round(r["top"])
            for page in file.pages
            for r in page.rects
            if r["width"] / PT_PER_MM == pytest.approx(6, abs=0.05)
            and r["height"] / PT_PER_MM == pytest.approx(6, abs=0.05)
        ]
    return [tops.count(top) for top in sorted(set(tops))]


def test_the_tally_has_squares_for_twice_the_expected_and_never_for_more_than_there_are():
    many = [watched(f"m{n}") for n in range(12)]
    expected = {JULY_3: 0.2, JULY_3 + timedelta(days=1): 4.0, JULY_3 + timedelta(days=2): 7.0}
    data = watch_sheet("Room 12", many, expected, "A4")
    # at least 6; 2 × 4 + 3 = 11; 2 × 7 + 3 = 17, but there are 12
    assert squares(data) == [6, 11, 12]
    text = pdf_text(data)
    assert "Sat 3 Jul perhaps" in text
    assert "Sun 4 Jul about 4" in text
    assert "together: 12" in text


def test_nobody_and_a_paper_that_is_not_known_are_refused():
    with pytest.raises(ValueError, match="nobody to watch"):
        watch_sheet("Room 12", [], {}, "A4")
    with pytest.raises(ValueError, match="'A5' is no paper size known here"):
        watch_sheet("Room 12", [watched()], {}, "A5")
