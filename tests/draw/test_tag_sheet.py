"""Tag sheets, measured in the finished PDF: in millimetres from its lines and words, and by its ink."""

import re
from datetime import date
from functools import cache
from itertools import pairwise, product

import pypdfium2
import pytest
from draw_world import PT_PER_MM, pdf

from planner.draw.paper.formats import PAPERS
from planner.draw.tags.card_size import lacking
from planner.draw.tags.tag_sheet import Tag, tag_sheet

DOTS = 8  # per mm, of the picture that is looked at for ink


def tag(**more):
    return Tag(
        **{
            "id": "m12", "word": "monarch", "pupated": date(2027, 7, 3), "due": date(2027, 7, 15),
            "place": "north", "spot": "36 cm", **more,
        }
    )  # fmt: skip


WORST = (
    tag(id="swallow-0123", word="tiger swallowtail of the east", spot="120.75 in",
        pupated=date(2027, 12, 28), due=date(2028, 11, 30), place="the line below the old pear tree"),
    tag(id="Ågjpqy", word="Éclair $x$", pupated=None, due=None, place="Çgjpqy", spot=""),
    tag(id="W", word="W" * 60, place="W" * 60, spot="W"),
    tag(id="i", word="i", place="i", spot="i"),
)  # fmt: skip


made = cache(tag_sheet)  # a sheet that several tests read is made once


def mm(value):
    return float(value) / PT_PER_MM


def edges(page):
    """Where the cut marks say cards begin and end: x from the left, y from the top, mm."""
    thin = [v for v in page.lines if v["linewidth"] == pytest.approx(0.3)]
    xs = {round(mm(v["x0"]), 2) for v in thin if abs(v["x0"] - v["x1"]) < 0.01}
    ys = {round(mm(v["top"]), 2) for v in thin if abs(v["top"] - v["bottom"]) < 0.01}
    return sorted(xs), sorted(ys)


def cards(page, gap):
    """Cards as (left, top, right, bottom) mm, in reading order, from the cut marks alone."""
    xs, ys = edges(page)
    if gap:
        columns, rows = list(zip(xs[::2], xs[1::2], strict=True)), list(zip(ys[::2], ys[1::2], strict=True))
    else:
        columns, rows = list(pairwise(xs)), list(pairwise(ys))
    return [(left, top, right, bottom) for (top, bottom), (left, right) in product(rows, columns)]


@pytest.mark.parametrize(("paper", "width", "height"), [("A4", 210.0, 297.0), ("Letter", 215.9, 279.4)])
def test_the_page_has_the_papers_size(paper, width, height):
    with pdf(made((tag(),), paper=paper)) as file:
        assert mm(file.pages[0].width) == pytest.approx(width, abs=0.05)
        assert mm(file.pages[0].height) == pytest.approx(height, abs=0.05)


@pytest.mark.parametrize("paper", PAPERS)
def test_the_control_bar_is_50_mm_long(paper):
    with pdf(made((tag(),), paper=paper)) as file:
        page = file.pages[0]
        bars = [mm(v["x1"] - v["x0"]) for v in page.lines if v["linewidth"] == pytest.approx(1.0)]
        assert bars == [pytest.approx(50.0, abs=0.1)]
        assert "50 mm: measure me; print at 100 %" in page.extract_text()


@pytest.mark.parametrize(
    ("card", "gap", "paper"),
    [
        ((40, 25), 4, "A4"),
        ((40, 25), 0, "A4"),
        ((20, 12), 2, "Letter"),
        ((63.5, 38.1), 3, "Letter"),
        ((186, 273), 4, "A4"),
    ],
)
def test_cards_have_the_size_asked_for_and_lie_inside_the_margin(card, gap, paper):
    # 186 × 273: all that a margin of 12 mm leaves of A4
    with pdf(tag_sheet([tag()] * 7, paper=paper, card=card, gap=gap)) as file:
        page = file.pages[0]
        found = cards(page, gap)
        assert len(found) > 1 or card == (186, 273)
        for left, top, right, bottom in found:
            assert right - left == pytest.approx(card[0], abs=0.1)
            assert bottom - top == pytest.approx(card[1], abs=0.1)
            assert left >= 12 - 0.1
            assert top >= 12 - 0.1
            assert right <= mm(page.width) - 12 + 0.1
            assert bottom <= mm(page.height) - 12 + 0.1


def test_as_many_cards_as_fit_are_on_a_page():
    # A4 less 2 × 12 mm is 186 × 273 mm: (186 + 4) / (40 + 4) = 4.3 columns, (273 + 4) / (25 + 4) = 9.6 rows
    with pdf(made((tag(),) * 37, paper="A4")) as file:
        assert [len(re.findall(r"\bm12\b", p.extract_text())) for p in file.pages] == [36, 1]
        assert [re.search(r"page \d of \d", p.extract_text())[0] for p in file.pages] == [
            "page 1 of 2",
            "page 2 of 2",
        ]


def test_tags_are_in_the_order_given_row_by_row():
    with pdf(tag_sheet([tag(id=f"m{i:02}") for i in range(9)])) as file:
        words = [w for w in file.pages[0].extract_words() if re.fullmatch(r"m\d\d", w["text"])]
        words.sort(key=lambda w: (round(w["top"]), w["x0"]))
        assert [w["text"] for w in words] == [f"m{i:02}" for i in range(9)]


@pytest.mark.parametrize("gap", [0, 1, 4])
def test_every_cut_mark_keeps_half_a_millimetre_from_the_cards(gap):
    with pdf(tag_sheet([tag()] * 10, gap=gap)) as file:
        page = file.pages[0]
        marks = [v for v in page.lines if v["linewidth"] == pytest.approx(0.3)]
        found = cards(page, gap)
        assert len(marks) > 8
        for v in marks:
            left, top, right, bottom = (mm(v[k]) for k in ("x0", "top", "x1", "bottom"))
            for c in found:
                beside = right <= c[0] - 0.5 or left >= c[2] + 0.5
                over = bottom <= c[1] - 0.5 or top >= c[3] + 0.5
                assert beside or over


def test_page_number_and_control_bar_are_outside_the_cards():
    with pdf(made((tag(),) * 37, paper="A4")) as file:
        page = file.pages[0]
        lowest = max(c[3] for c in cards(page, 4))
        tops = {w["text"]: mm(w["top"]) for w in page.extract_words()}
        assert tops["measure"] > lowest
        assert tops["page"] > lowest


@pytest.mark.parametrize("card", [(20, 12), (40, 25), (24, 60), (90, 12), (60, 40)])
def test_no_ink_comes_nearer_than_2_mm_to_a_cards_edge(card):
    sheet = tag_sheet(WORST, card=card)
    with pdf(sheet) as file:
        found = cards(file.pages[0], 4)[: len(WORST)]
    document = pypdfium2.PdfDocument(sheet)
    picture = document[0].render(scale=DOTS / PT_PER_MM, grayscale=True).to_numpy().squeeze()
    document.close()
    for left, top, right, bottom in found:
        x0, y0, x1, y1 = (round(v * DOTS) for v in (left, top, right, bottom))
        rim = 2 * DOTS - 2  # a dot of blur, a dot of rounding
        whole = picture[y0 + 2 : y1 - 2, x0 + 2 : x1 - 2].copy()
        assert (whole < 128).any()
        whole[rim - 2 : -(rim - 2), rim - 2 : -(rim - 2)] = 255
        assert (whole >= 200).all()


def test_a_tag_says_all_there_is_to_say_with_the_date_largest():
    with pdf(made((tag(),), paper="A4")) as file:
        page = file.pages[0]
        assert page.extract_text().splitlines()[:4] == ["3 Jul", "m12 monarch", "due 15 Jul", "north 36 cm"]
        sizes = {w["text"]: w["size"] for w in page.extract_words(extra_attrs=["size"])}
        assert sizes["3"] > 2 * sizes["m12"]
        assert sizes["m12"] >= 7.5


def test_the_least_card_still_says_id_dates_and_spot():
    with pdf(tag_sheet([tag()], card=(20, 12))) as file:
        assert file.pages[0].extract_text().splitlines()[:3] == ["3 Jul", "m12 due 15 Jul", "north 36 cm"]


def test_a_long_place_has_a_row_of_its_own_before_it_is_shortened():
    place = "the line below the old pear tree"
    with pdf(tag_sheet([tag(place=place)], card=(30, 16))) as file:
        assert f"\n{place}\n36 cm\n" in file.pages[0].extract_text()


def test_a_place_that_has_no_room_is_shortened_and_its_spot_is_kept():
    long = tag(place="the line below the old pear tree")
    assert lacking([long], (20.0, 16.0), code=False) == {"species": ["m12"], "place": ["m12"]}
    with pdf(tag_sheet([long], card=(20, 16))) as file:
        assert re.search(r"^the li.*… 36 cm$", file.pages[0].extract_text(), re.MULTILINE)


def test_a_prepupa_and_an_unknown_due_day_say_so():
    with pdf(tag_sheet([tag(pupated=None, due=None)])) as file:
        assert file.pages[0].extract_text().splitlines()[:3] == ["prepupa", "m12 monarch", "due ?"]


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"paper": "A5"}, "'A5' is no paper size known here: A4 or Letter"),
        (
            {"card": (19.9, 25)},
            "a card of 19.9 × 25 mm: 20 × 12 mm to 186 × 273 mm are possible on A4 with a margin of 12 mm",
        ),
        (
            {"card": (40, 11)},
            "a card of 40 × 11 mm: 20 × 12 mm to 186 × 273 mm are possible on A4 with a margin of 12 mm",
        ),
        (
            {"card": (200, 25), "paper": "Letter", "margin": 10},
            "a card of 200 × 25 mm: 20 × 12 mm to 195.9 × 259.4 mm are possible on Letter "
            "with a margin of 10 mm",
        ),
        (
            {"card": (40, float("nan"))},
            "a card of 40 × nan mm: 20 × 12 mm to 186 × 273 mm are possible on A4 with a margin of 12 mm",
        ),
        ({"margin": 5}, "margin 5 mm: 10 to 40 mm are possible"),
        ({"margin": float("inf")}, "margin inf mm: 10 to 40 mm are possible"),
        ({"gap": -1}, "gap -1 mm: 0 to 20 mm are possible"),
    ],
)
def test_impossible_sizes_are_refused_with_what_is_possible(more, message):
    with pytest.raises(ValueError, match=f"^{re.escape(message)}$"):
        tag_sheet([tag()], **more)


def test_no_tag_makes_no_sheet():
    with pytest.raises(ValueError, match=r"^there is no pupa to make a tag for$"):
        tag_sheet([])


def test_the_same_tags_make_the_same_file():
    assert tag_sheet([tag()]) == tag_sheet([tag()])
