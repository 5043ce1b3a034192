"""Sizes of paper and cards, as they are typed and as they are told."""

import re

import pytest

from planner.season import load
from planner.season.paper import CardSize, check_card, read_card, read_paper, size_words
from planner.season.reading.problems import FaultyFiles

HOW = "write width x height, such as 40x25 (mm), 7.5x12.5cm or 3x5in"


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("40x25", (40, 25)),
        ("40 × 25", (40, 25)),
        ("75x125mm", (75, 125)),
        ("7.5 x 12.5 cm", (75, 125)),
        ("3x5in", (76.2, 127)),
        ("3 x 5 in", (76.2, 127)),
        ('3x5"', (76.2, 127)),
        ('3" x 5"', (76.2, 127)),
        ("3.5X2 inches", (88.9, 50.8)),
        ("3 by 5 in", (76.2, 127)),
    ],
)
def test_a_size_is_read_in_the_unit_behind_it_and_in_mm_without_one(text, size):
    assert read_card(text).size == pytest.approx(size)


@pytest.mark.parametrize("text", ["", "40", "axb", "3inx5cm", "3x5x2", "-3x5in", "1e9999x5", "3x5ft"])
def test_what_is_no_size_is_refused_with_what_can_be_written(text):
    message = re.escape(f"'{text}' is not a size: {HOW}")
    with pytest.raises(ValueError, match=f"^{message}$"):
        read_card(text)


def test_a_size_is_told_in_the_unit_that_was_typed():
    assert [str(read_card(t)) for t in ("40x25", "3x5in", "7.5x12.5cm")] == [
        "40 × 25 mm", "3 × 5 in", "7.5 × 12.5 cm",
    ]  # fmt: skip


def test_a_limit_told_in_inches_is_rounded_to_the_side_on_which_it_holds():
    # 20 mm are 0.787 in, 186 mm are 7.323 in
    assert size_words((20, 20), "in", rounded=1) == "0.79 × 0.79 in"
    assert size_words((186, 186), "in", rounded=-1) == "7.32 × 7.32 in"


def test_in_a_season_of_inches_a_size_without_a_unit_that_is_too_small_is_asked_back():
    with pytest.raises(ValueError, match=r"^3x5 mm is too small to read: write 3x5in$"):
        check_card(read_card("3x5"), "in")
    check_card(read_card("40x25"), "in")  # mm, as everywhere
    check_card(read_card("3x5in"), "in")


def test_elsewhere_it_is_told_what_is_the_least():
    with pytest.raises(ValueError, match=r"^3 × 5 mm is too small to read: at least 20 × 12 mm$"):
        check_card(read_card("3x5"), "cm")
    with pytest.raises(ValueError, match=r"^0\.5 × 1 in is too small to read: at least 0\.79 × 0\.48 in$"):
        check_card(read_card("0.5x1in"), "in")


def test_paper_is_known_however_it_is_spelled():
    assert [read_paper(text) for text in ("A4", "a4", "letter", "LETTER")] == ["A4", "A4", "Letter", "Letter"]
    with pytest.raises(ValueError, match=r"^'A5': allowed is A4 or Letter$"):
        read_paper("A5")


def season(folder, text):
    (folder / "season.yaml").write_text(
        f"{text}\nplaces:\n  - {{lid: t, width: 20, length: 20}}\n", encoding="utf-8"
    )
    return load(folder, ["monarch"])


def test_a_season_says_on_what_it_is_printed(tmp_path):
    found = season(tmp_path, "units: in\npaper: letter\ncard: 3x5in\nshape: fold")
    assert (found.paper, found.card_size.size, found.tag_shape) == (
        "Letter",
        pytest.approx((76.2, 127)),
        "fold",
    )


def test_without_these_it_is_a4_and_a_plain_card_told_in_the_season_s_unit(tmp_path):
    found = season(tmp_path, "units: in")
    assert (found.paper, found.card_size, found.tag_shape) == ("A4", CardSize(40, 25, "in"), "card")


def test_all_that_is_wrong_with_them_is_told_with_its_line(tmp_path):
    with pytest.raises(FaultyFiles) as e:
        season(tmp_path, "units: in\npaper: A5\ncard: 3x5\nshape: star")
    assert [str(p) for p in e.value.problems] == [
        "season.yaml:2:8: paper: 'A5': allowed is A4 or Letter",
        "season.yaml:3:7: card: 3x5 mm is too small to read: write 3x5in",
        "season.yaml:4:8: shape: 'star': write card or fold or wedge or hole or flag or auto",
    ]
    with pytest.raises(FaultyFiles) as e:
        season(tmp_path, "card: small")
    assert [str(p) for p in e.value.problems] == [f"season.yaml:1:7: card: 'small' is not a size: {HOW}"]
