from datetime import date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.report.texts.text import columns, paragraph, table, wrap
from planner.season.reading.told_dates import moment, short_moment
from planner.words import days, ids


@pytest.mark.parametrize(
    ("names", "text"),
    [
        ([], ""),
        (["m1"], "m1"),
        (["m2", "m1"], "m1, m2"),
        (["m3", "m1", "m2"], "m1 to m3"),
        (["m9", "m10", "m11", "m13"], "m9 to m11, m13"),
        (["p4", "m4", "m5", "p5", "m6"], "m4 to m6, p4, p5"),
        (["m07", "m8", "m9"], "m07, m8, m9"),  # m07 is no m7: the keeper would look for another tag
        (["a", "b", "c"], "a, b, c"),
        (["m1", "m1", "m1"], "m1"),
    ],
)
def test_pupae_in_a_row_are_named_by_the_first_and_the_last(names, text):
    assert ids(names) == text


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (1, "1 day"),
        (0, "0 days"),
        (2, "2 days"),
        (1.999, "1.99 days"),
        (1.5, "1.5 days"),
        (0.999999, "0.99 days"),
    ],
)
def test_a_gap_is_never_rounded_up(number, text):
    assert days(number) == text


def test_times_are_the_same_in_every_language():
    assert moment(datetime(2027, 7, 5, 8)) == "Mon 5 Jul 08:00"
    assert short_moment(datetime.combine(date(2027, 12, 24), datetime.min.time())) == "24 Dec 00:00"


def test_letters_of_two_columns_count_twice_and_loose_accents_not():
    assert columns("蝶") == 2
    assert columns("e\N{COMBINING ACUTE ACCENT}") == 1


def test_a_text_is_broken_at_its_spaces():
    assert wrap("one two three", 7) == ["one two", "three"]


def test_a_long_word_is_cut():
    assert wrap("a abcdefgh b", 4) == ["a", "abcd", "efgh", "b"]


def test_rows_after_the_first_hang():
    assert paragraph("a " * 45, "  ", "    ") == "  " + " ".join("a" * 37) + "\n      " + " ".join("a" * 8)


def test_a_table_s_wide_column_is_wrapped_and_no_word_is_lost():
    rows = [("step", "to", "when"), ("1", "a very long name of a line " * 4, "now")]
    lines = table(rows, (1,))
    # 80 columns less "step", "when" and two gaps of two leave 68.
    assert lines == [
        "step  to" + " " * 68 + "when",
        "1     a very long name of a line a very long name of a line a very long     now",
        "      name of a line a very long name of a line",
    ]


@given(st.lists(st.tuples(st.text(max_size=90), st.text(max_size=20), st.text(max_size=200)), min_size=1))
def test_a_table_keeps_to_the_page(rows):
    clean = [tuple(" ".join(c.split()) for c in row) for row in rows]
    assert all(columns(line) <= 80 for line in table(clean, (0, 2)))


@given(st.text(), st.integers(min_value=2, max_value=80))
def test_wrapping_loses_no_letter_and_keeps_to_its_width(text, width):
    rows = wrap(text, width)
    assert "".join("".join(rows).split()) == "".join(text.split())
    assert all(columns(row) <= width for row in rows)


def test_signs_that_are_joined_into_one_take_two_columns():
    assert columns("👩‍🌾") == 2
