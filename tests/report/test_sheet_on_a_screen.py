"""What stays of a report where a screen has no room for all of it."""

from planner.report.texts.sheet import Sheet, Table, Words

STEPS = [(str(k), f"m{k}") for k in range(1, 10)]


def steps(rows=9, **more):
    return Table(("step", "pupa"), STEPS[:rows], (), rest="moves.txt has them", **more)


def told(*parts, lines):
    return str(Sheet.of(parts).within(lines))


def test_rows_that_deserve_a_look_stay_before_those_above_them():
    assert told([steps(warn=(5, 8))], lines=5) == (
        "step  pupa\n1     m1\n6     m6\n9     m9\nand 6 more rows: moves.txt has them\n"
    )


def test_a_table_that_may_go_goes_whole_before_another_has_less_than_three_rows():
    evenings = Table(
        ("evening", "who"), [("Tue", "m10"), ("Wed", "m11")], (), rest="moves.txt has them", least=0
    )
    # 4 lines of steps, an empty one and 3 of evenings: one too many for seven.
    assert told([steps(3)], [evenings], lines=7) == "step  pupa\n1     m1\n2     m2\n3     m3\n"


def test_rows_come_back_where_room_is_free_once_something_else_is_left_out():
    # Three rows with their head and the line below, an empty line and two that are spare: two lines too many
    # for six. Without what is spare there is room for one row more.
    assert told([steps()], [Words("a", spare=1), Words("b", spare=1)], lines=6) == (
        "step  pupa\n1     m1\n2     m2\n3     m3\n4     m4\nand 5 more rows: moves.txt has them\n"
    )


def test_where_nothing_else_may_go_a_row_of_each_table_stays():
    assert told([steps()], [Words("a"), Words("b")], lines=4) == (
        "step  pupa\n1     m1\nand 8 more rows: moves.txt has them\n\na\nb\n"
    )
