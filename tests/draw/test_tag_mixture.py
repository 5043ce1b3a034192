"""Tags of several shapes on one sheet, by the kind of place each goes to: measured in the PDF, in mm."""

import re
from datetime import date
from functools import cache

import pytest
from draw_world import PT_PER_MM, pdf

from planner.draw.paper.formats import PAPERS
from planner.draw.tags.tag_sheet import Tag, in_order, tag_sheet

# A4, margin 12, gap 4, face 40 × 25: four faces beside each other take 172 mm, so the first is at 19 mm and
# each next one 44 mm on; rows are 29 mm apart from 12 mm on, nine of them: 36 places.
LEFT = 19


def tag(name, kind):
    return Tag(id=name, word="monarch", pupated=date(2027, 7, 3), due=date(2027, 7, 15),
               place="north", spot="36 cm", kind=kind)  # fmt: skip


def some(**number):
    return tuple(tag(f"{kind}{i}", kind) for kind, many in number.items() for i in range(many))


@cache
def made(tags, **more):
    return tag_sheet(tags, shape="auto", **more)


def mm(value):
    return float(value) / PT_PER_MM


def drawn(page, weight):
    """Lines of a weight as (x0, top, x1, bottom) in mm."""
    keys = ("x0", "top", "x1", "bottom")
    return [tuple(mm(v[k]) for k in keys) for v in page.lines if v["linewidth"] == pytest.approx(weight)]


def top_of(page, word):
    return mm(min(w["top"] for w in page.extract_words() if w["text"] == word))


def test_who_goes_to_a_line_has_a_tag_to_fold_to_a_board_a_flag_and_who_stays_on_a_lid_a_card():
    with pdf(made(some(line=1, board=1, lid=1))) as file:
        (page,) = file.pages
        folds = sorted(drawn(page, 0.4))
        cut = drawn(page, 0.3)
    # the fold's own: at half of 50 mm; the flag's: at half of 80 mm, in the row below two faces, at 70 mm
    assert folds == [pytest.approx((19, 37, 59, 37), abs=0.1), pytest.approx((59, 70, 59, 95), abs=0.1)]
    across = sorted({round(y0, 1) for _, y0, _, y1 in cut if abs(y0 - y1) < 0.01})
    along = sorted({round(x0, 1) for x0, _, x1, _ in cut if abs(x0 - x1) < 0.01})
    assert across == pytest.approx([12, 62, 70, 95, 99, 124], abs=0.1)
    assert along == pytest.approx([19, 59, 99], abs=0.1)


@pytest.mark.parametrize(("paper", "start"), list(zip(PAPERS, (1, 6), strict=True)))
def test_no_cut_mark_lies_on_a_piece_and_no_piece_on_another_or_beyond_the_margin(paper, start):
    tags = some(line=5, board=3, lid=3)
    size = {"line": (40, 50), "board": (80, 25), "lid": (40, 25)}
    with pdf(made(tags, paper=paper, start=start)) as file:
        for page in file.pages:
            boxes = list(pieces(page, tags, size))
            for a in boxes:
                assert a[0] >= 11.9
                assert a[1] >= 11.9
                assert a[2] <= mm(page.width) - 11.9
                assert a[3] <= mm(page.height) - 11.9
                for other in [*(b for b in boxes if b is not a), *drawn(page, 0.3)]:
                    assert other[2] <= a[0] or other[0] >= a[2] or other[3] <= a[1] or other[1] >= a[3]


def pieces(page, tags, size):
    """The box of each piece, mm from the upper left corner, by the face in which its id stands."""
    names = {w["text"]: w for w in page.extract_words() if w["text"] in {t.id for t in tags}}
    grid = (mm(page.width) - 172) / 2
    for one in tags:
        if one.id in names:
            column = int((mm(names[one.id]["x0"]) - grid) // 44)
            wide, high = size[one.kind]
            column -= column % 2 if one.kind == "board" else 0
            row = int((mm(names[one.id]["top"]) - 12) // 29)
            row -= 1 if one.kind == "line" else 0
            yield grid + 44 * column, 12 + 29 * row, grid + 44 * column + wide, 12 + 29 * row + high


def test_the_next_place_left_free_is_counted_in_faces():
    # folds take rows 1 and 2, flags row 3, cards begin row 4: places 13 and 14
    with pdf(made(some(line=1, board=1, lid=2))) as file:
        assert "next free place: 15" in file.pages[0].extract_text()
    # five folds: rows 1 to 4
    with pdf(made(some(line=5))) as file:
        assert "next free place: 17" in file.pages[0].extract_text()


def test_a_sheet_begun_goes_on_at_the_place_named_and_a_flag_keeps_its_cuts_in_line():
    # place 6: second row, second face; a flag begins at every second face, so at the third: 19 + 88 mm
    with pdf(made(some(board=1), start=6)) as file:
        assert drawn(file.pages[0], 0.4) == [pytest.approx((147, 41, 147, 66), abs=0.1)]
    with pdf(made(some(lid=1), start=6)) as file:
        word = next(w for w in file.pages[0].extract_words() if w["text"] == "lid0")
        assert LEFT + 44 < mm(word["x0"]) < LEFT + 84


def test_what_finds_no_room_is_on_the_next_sheet():
    # faces of 90 × 60 mm: two beside each other, (273 + 4) / 64 = 4 rows, so two rows of two folds; the fifth
    # begins a sheet, the card follows below it, after two rows of faces: 12 + 128 mm
    with pdf(made(some(line=5, lid=1), card=(90, 60))) as file:
        assert len(file.pages) == 2
        first, second = file.pages
        assert "line3" in first.extract_text()
        assert top_of(second, "line4") < top_of(second, "lid0")
        assert 140 < top_of(second, "lid0") < 200


def test_tags_are_cut_in_the_order_of_their_shapes_and_within_one_as_given():
    tags = [tag("a", "lid"), tag("b", "board"), tag("c", "line"), tag("d", "board")]
    assert [t.id for t in in_order(tags, "auto")] == ["c", "b", "d", "a"]
    assert [t.id for t in in_order(tags, "card")] == ["a", "b", "c", "d"]


def test_the_margin_says_how_each_shape_on_the_sheet_is_made():
    with pdf(made(some(line=1, board=1, lid=1))) as file:
        text = file.pages[0].extract_text()
    words = "fold at the dashes, print outside · fold: over line or clip · flag: round the pin, glue "
    assert words + "· card: on the lid beside its pupa" in text
    with pdf(made(some(lid=1))) as file:
        assert "card:" not in file.pages[0].extract_text()


@pytest.mark.parametrize(
    ("more", "tags", "message"),
    [
        ({"start": 36}, some(line=1), "place 36: too late on a sheet for a fold: take a new one"),
        ({"start": 37}, some(line=1), "place 37 of a sheet: it has 1 to 36"),
        ({"gap": 2}, some(line=1), "gap 2 mm: between several shapes at least 3 mm"),
        # (210 - 24 - 4) / 2 = 91 mm: two faces of a flag and the gap between them
        ({"card": (92, 25)}, some(board=1), "a card of 92 × 25 mm as flag: 20 × 12 mm to 91 × 273 mm are "
         "possible on A4 with a margin of 12 mm"),
    ],
)  # fmt: skip
def test_what_a_sheet_has_no_room_for_is_refused(more, tags, message):
    with pytest.raises(ValueError, match=f"^{re.escape(message)}$"):
        tag_sheet(tags, shape="auto", **more)


def test_on_a_narrow_face_place_and_spot_have_a_row_each_before_they_grow_small():
    one = Tag(id="m1", word="", pupated=date(2027, 7, 3), due=None, place="the upper line", spot="112 cm")
    with pdf(tag_sheet([one], code=True)) as file:
        words = {w["text"]: w for w in file.pages[0].extract_words(extra_attrs=["size"])}
    assert words["112"]["top"] > words["upper"]["bottom"] - 1
    assert words["112"]["size"] >= 7.5
