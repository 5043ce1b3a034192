"""Tags to fold, wedge, hang by a hole or pin: measured in the finished PDF;
their codes read by another library."""

import re
from datetime import date

import pypdfium2
import pytest
import zxingcpp
from draw_world import PT_PER_MM, pdf

from planner.draw.tags.codes import least_side
from planner.draw.tags.shapes import SHAPES
from planner.draw.tags.tag_sheet import Tag, tag_sheet
from planner.season.reading.told_dates import MONTHS

PRINTED = 300 / 72  # dots of a printer for each point
# A4, margin 12, gap 4, face 40 × 25: where the first piece's left edge is, and how many beside each other.
# card, fold, wedge, hole: 4 × 40 + 3 × 4 = 172, (210 - 172) / 2 = 19; flag: 2 × 80 + 4 = 164, 23.
LEFT = {"card": 19, "fold": 19, "wedge": 19, "hole": 19, "flag": 23}
PIECE = {"card": (40, 25), "fold": (40, 50), "wedge": (40, 37), "hole": (40, 33), "flag": (80, 25)}


def tag(**more):
    return Tag(
        **{
            "id": "m12", "word": "monarch", "pupated": date(2027, 7, 3), "due": date(2027, 7, 15),
            "place": "north", "spot": "36 cm", **more,
        }
    )  # fmt: skip


def mm(value):
    return float(value) / PT_PER_MM


def lines(page, weight):
    return [
        tuple(round(mm(v[k]), 1) for k in ("x0", "top", "x1", "bottom"))
        for v in page.lines
        if v["linewidth"] == pytest.approx(weight)
    ]


def decoded(data):
    """What another library reads from the sheet as a printer of 300 dpi sets it, place by place."""
    document = pypdfium2.PdfDocument(data)
    found = []
    for sheet in document:
        picture = sheet.render(scale=PRINTED, grayscale=True).to_numpy().squeeze()
        codes = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
        found += [(round(c.position.top_left.y, -2), c.position.top_left.x, c.text) for c in codes]
    document.close()
    return [text for _, _, text in sorted(found)]


@pytest.mark.parametrize("shape", SHAPES)
def test_a_piece_has_the_size_of_its_shape(shape):
    with pdf(tag_sheet([tag()], shape=shape)) as file:
        cut = lines(file.pages[0], 0.3)
    xs = sorted({x0 for x0, _, x1, _ in cut if x0 == x1})
    ys = sorted({y0 for _, y0, _, y1 in cut if y0 == y1})
    wide, high = PIECE[shape]
    assert xs == pytest.approx([LEFT[shape], LEFT[shape] + wide], abs=0.1)
    assert ys == pytest.approx([12, 12 + high], abs=0.1)


def test_a_fold_is_in_the_middle_and_its_other_side_stands_on_its_head():
    # 12 + 25: the paper is folded at half of 50 mm
    with pdf(tag_sheet([tag()], shape="fold")) as file:
        page = file.pages[0]
        assert lines(page, 0.4) == [pytest.approx((19, 37, 59, 37), abs=0.1)]
        upright = page.filter(lambda o: o["object_type"] != "char" or o["matrix"][0] > 0)
        turned = [c for c in page.chars if c["matrix"][0] < 0]
        assert "m12 monarch" in upright.extract_text()
        assert sorted(c["text"] for c in turned) == sorted(
            c["text"] for c in page.chars if c["matrix"][0] > 0 and 37 < mm(c["top"]) < 62
        )
        assert all(mm(c["top"]) >= 12 and mm(c["bottom"]) <= 37 for c in turned)


def test_a_flag_is_folded_between_two_sides_that_both_stand_upright():
    # 23 + 40: the fold goes round the pin
    with pdf(tag_sheet([tag()], shape="flag")) as file:
        page = file.pages[0]
        assert lines(page, 0.4) == [pytest.approx((63, 12, 63, 37), abs=0.1)]
        starts = [mm(w["x0"]) for w in page.extract_words() if w["text"] == "m12"]
        assert len(starts) == 2
        assert starts[1] - starts[0] == pytest.approx(40, abs=0.1)


def test_a_wedge_tapers_to_8_mm_over_12_mm_above_its_face():
    # the face from 24 to 49 mm; its middle at 19 + 20 = 39 mm: the end from 35 to 43 mm
    with pdf(tag_sheet([tag()], shape="wedge")) as file:
        slants = [v for v in lines(file.pages[0], 0.3) if v[0] != v[2] and v[1] != v[3]]
    assert sorted(slants) == [
        pytest.approx((19, 12, 35, 24), abs=0.1),
        pytest.approx((43, 12, 59, 24), abs=0.1),
    ]


def test_a_hole_is_4_mm_wide_and_in_the_middle_of_8_mm_above_the_face():
    with pdf(tag_sheet([tag()], shape="hole")) as file:
        ring = [c for c in file.pages[0].curves if c["linewidth"] == pytest.approx(0.4)]
    assert len(ring) == 1
    assert [mm(ring[0][k]) for k in ("x0", "top", "x1", "bottom")] == pytest.approx([37, 14, 41, 18], abs=0.1)


@pytest.mark.parametrize("shape", SHAPES)
def test_another_library_reads_every_code_as_printed(shape):
    ids = ["m1", "swallowtail-2027-0123456789", "Ågjpqy", "شرنقة-7", "蛹 3"]
    sides = 2 if shape in ("fold", "flag") else 1
    read = decoded(tag_sheet([tag(id=i) for i in ids], shape=shape, code=True))
    assert sorted(read) == sorted(ids * sides)


def test_a_code_keeps_four_modules_of_white_from_text_and_edges():
    # a face of 40 × 25 mm: the code and its white take 20 × 20 mm at the right; m12: 21 modules + 8 = 29, so
    # the code's own squares begin 4 × 20 / 29 = 2.76 mm inside
    with pdf(tag_sheet([tag()], code=True)) as file:
        page = file.pages[0]
        words = [w for w in page.extract_words() if mm(w["bottom"]) < 40]
        assert max(mm(w["x1"]) for w in words) <= 19 + 20 + 0.1
        black = [c for c in (*page.curves, *page.rects) if c["fill"] and 12 < mm(c["top"]) < 37]
        assert min(mm(c["x0"]) for c in black) == pytest.approx(39 + 2.76, abs=0.05)
        assert max(mm(c["x1"]) for c in black) == pytest.approx(59 - 2.76, abs=0.05)


def test_without_being_asked_for_there_is_no_code():
    assert decoded(tag_sheet([tag()])) == []


def test_a_code_too_fine_to_be_read_is_refused_with_the_size_that_will_do():
    # 60 letters at level M: 33 modules + 8 = 41 × 0.3 mm = 12.3 mm, half of a face that is 25 mm wide
    assert least_side("w" * 60) == pytest.approx(12.3)
    long = tag(id="w" * 60)
    with pytest.raises(
        ValueError, match=r"is too small for the tag of w{60} with its code: write --card "
    ) as e:
        tag_sheet([long], card=(24, 24), code=True)
    size = tuple(map(float, re.search(r"--card (\d+)x(\d+)mm$", str(e.value)).groups()))
    assert decoded(tag_sheet([long], card=size, code=True)) == ["w" * 60]


def test_an_id_that_no_code_holds_is_refused():
    with pytest.raises(ValueError, match=r"^'w{20}…' is too long for a QR code: 9000 letters$"):
        least_side("w" * 9000)


def test_a_reprint_begins_at_the_first_free_place():
    # place 6 of 4 beside each other: second row, second column: 19 + 44 = 63 mm, 12 + 29 = 41 mm
    with pdf(tag_sheet([tag()], start=6)) as file:
        page = file.pages[0]
        word = next(w for w in page.extract_words() if w["text"] == "m12")
        assert 63 + 2 - 0.1 <= mm(word["x0"]) <= 103
        assert 41 <= mm(word["top"]) <= 66
        assert "next free place: 7" in page.extract_text()


def test_a_reprint_that_fills_the_sheet_goes_on_at_the_next_ones_first_place():
    # 4 × 9 = 36 places
    with pdf(tag_sheet([tag(id="a1"), tag(id="a2")], start=36)) as file:
        first, second = (page.extract_text() for page in file.pages)
        assert "a1" in first
        assert "next free" not in first
        assert "a2" in second
        assert "next free place: 2" in second


@pytest.mark.parametrize("start", [0, 37])
def test_a_place_that_a_sheet_does_not_have_is_refused(start):
    with pytest.raises(ValueError, match=f"^place {start} of a sheet: it has 1 to 36$"):
        tag_sheet([tag()], start=start)


def test_a_shape_that_is_not_known_and_a_face_too_high_to_fold_are_refused():
    shapes = "card, fold, wedge, hole, flag, auto"
    with pytest.raises(ValueError, match=f"^'star' is no shape known here: {shapes}$"):
        tag_sheet([tag()], shape="star")
    # (297 - 24) / 2 = 136.5 mm
    message = "a card of 40 × 140 mm as fold: 20 × 12 mm to 186 × 136.5 mm are possible on A4 "
    message += "with a margin of 12 mm"
    with pytest.raises(ValueError, match=f"^{re.escape(message)}$"):
        tag_sheet([tag()], shape="fold", card=(40, 140))


def test_a_place_from_right_to_left_keeps_its_spot_in_order():
    with pdf(tag_sheet([tag(place="الخط الشمالي")])) as file:
        spot = [c for c in file.pages[0].chars if c["text"] in "36cm" and 30 < mm(c["top"]) < 37]
        assert "".join(c["text"] for c in sorted(spot, key=lambda c: c["x0"])) == "36cm"


def test_a_place_just_as_wide_as_its_row_is_not_shortened():
    # a row may shrink to 0.7 of its size before it is shortened: these all fit
    tags = [tag(id=f"m{i}", place="south", spot=f"{i} cm") for i in range(1, 36)]
    with pdf(tag_sheet(tags, code=True)) as file:
        assert "…" not in file.pages[0].extract_text()


def test_beside_a_code_the_id_is_as_large_as_the_day_it_is_due_and_the_species_is_not_left_out():
    with pdf(tag_sheet([tag()], code=True)) as file:
        size = {w["text"]: w["size"] for w in file.pages[0].extract_words(extra_attrs=["size"])}
    assert size["m12"] == pytest.approx(size["due"], abs=0.1)
    assert size["monarch"] >= 7


@pytest.mark.parametrize("code", [False, True], ids=["plain", "with a code"])
@pytest.mark.parametrize("shape", SHAPES)
def test_the_day_due_stands_whole_on_every_tag(shape, code):
    days = [date(2027, 5, 8), *(date(2027, month, 28) for month in range(1, 13, 2))]
    names = ("m128", "a-very-long-name-indeed")
    tags = [tag(id=f"{name}-{k}", due=due, pupated=due) for k, due in enumerate(days) for name in names]
    with pdf(tag_sheet(tags, shape=shape, code=code)) as file:
        text = " ".join(" ".join(page.extract_text().split()) for page in file.pages)
    for due in days:
        words = f"due {due.day} {MONTHS[due.month - 1]}"
        assert text.count(words) >= len(names), words
