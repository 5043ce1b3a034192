from datetime import date

import pytest

from planner.draw.paper.words import fit, plain, width, wrap
from planner.season.reading.told_dates import day_month
from planner.words import count, natural


def test_width_grows_with_the_size():
    assert width("13 Jul", 20.0) == pytest.approx(2 * width("13 Jul", 10.0))


def test_width_is_that_of_the_typeface():
    # DejaVu Sans: a figure is 1303/2048 em wide; four of them at 10 pt: 25.45 pt = 8.98 mm
    assert width("2027", 10.0) == pytest.approx(4 * 1303 / 2048 * 10 * 25.4 / 72, rel=0.01)


def test_a_text_that_fits_is_left_alone():
    assert fit("north", 9.0, 50.0) == "north"


def test_a_long_text_is_cut_at_its_end():
    short = fit("the line under the porch roof", 9.0, 20.0)
    assert short.endswith("…")
    assert "the line under the porch roof".startswith(short[:-1])
    assert width(short, 9.0) <= 20.0


def test_an_id_keeps_both_ends():
    assert fit("swallowtail-2027-012", 7.5, 13.0, middle=True) == "swa…012"


def test_even_no_room_leaves_an_ellipsis():
    assert fit("north", 9.0, 0.0) == "…"


def test_wrapping_loses_no_word():
    text = "m08 and m14 are due 1 day apart, 4 cm from each other"
    rows = wrap(text, 9.0, 30.0)
    assert " ".join(rows) == text
    assert len(rows) > 1
    assert all(width(row, 9.0) <= 30.0 for row in rows)


def test_a_word_longer_than_a_row_is_shortened():
    assert wrap("a " + "x" * 100, 9.0, 20.0)[1].endswith("…")


def test_what_cannot_be_printed_becomes_a_space():
    assert plain("back\nporch\x07\t2") == "back porch  2"


def test_letters_the_typeface_lacks_are_measured_without_a_warning():
    assert width("菜園", 9.0) > 0


def test_figures_in_ids_sort_by_number():
    assert sorted(["m10", "p1", "m9", "m2b"], key=natural) == ["m2b", "m9", "m10", "p1"]


def test_months_are_english_whatever_the_machine_speaks():
    assert [day_month(date(2027, m, 9)) for m in (3, 5, 12)] == ["9 Mar", "9 May", "9 Dec"]


def test_counting_knows_one_from_many():
    assert [count(0, "pair"), count(1, "pair"), count(2, "clash", "clashes")] == [
        "0 pairs",
        "1 pair",
        "2 clashes",
    ]
