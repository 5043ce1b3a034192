from datetime import date, timedelta

import pytest
from room_world import NOW, SEASON, pupa, season

from planner.follow.outlook import Room, RoomOnDay, room
from planner.report.texts.outlook import bar, past_text, sheet, verdict
from planner.report.texts.text import columns
from planner.season.season import Expected

MON = date(2027, 7, 5)


def of(spots, *needed):
    """A Room of days with (needed, needed_most)."""
    days = [RoomOnDay(MON + timedelta(days=i), 1.25, 0, *n, spots) for i, n in enumerate(needed)]
    return Room(tuple(days), "all")


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (of(9, (3, 4), (5, 6)),
         ["9 spots on lines and boards can be used. They suffice: at least 3 stay free."]),
        (of(1, (1, 1)), ["1 spot on lines and boards can be used. They suffice: at least 0 stay free."]),
        (of(5, (3, 4), (5, 6)),
         ["5 spots on lines and boards can be used. They may run out from Tue 6 Jul on: up to 6 needed."]),
        (of(5, (3, 6), (5.6, 7)),
         ["5 spots on lines and boards can be used. They RUN OUT on Tue 6 Jul: 6 needed.",
          "They may run out from Mon 5 Jul on: up to 6 needed."]),
        (of(4, (5, 5)), ["4 spots on lines and boards can be used. They RUN OUT on Mon 5 Jul: 5 needed."]),
    ],
)  # fmt: skip
def test_it_says_whether_and_when_spots_run_out(found, said):
    assert list(verdict(found)) == [*said, "This counts spots; whether neighbours clash there, a plan tells."]


@pytest.mark.parametrize(
    ("spots", "needed", "most", "drawn"),
    [
        (18, 9, 12, "#########+++......"),
        (180, 90, 90, "#########........."),
        (18, 18, 18, "##################"),
        (18, 18, 19, "#################!"),
        (18, 40, 50, "#################!"),
        (18, 0, 0, ".................."),
        (0, 0, 0, ""),
        (0, 1, 1, "!"),
    ],
)
def test_the_bar_shows_shares_and_that_there_are_too_few(spots, needed, most, drawn):
    assert bar(RoomOnDay(MON, 0, 0, needed, most, spots)) == drawn


def test_a_spot_that_is_hardly_lacking_is_none_and_needed_and_free_add_up():
    text = str(sheet(SEASON, of(5, (5.3, 7), (2.5, 4))))
    assert "Mon 5 Jul     1.2       -       5        7     0        -2" in text
    assert "Tue 6 Jul     1.2       -       2        4     3         1" in text  # 5 - 2, not 5 - 2.5 rounded


def test_the_whole_text():
    found = of(9, (3.4, 5), (2.6, 4))
    assert str(sheet(SEASON, found)) == (
        "Porch: Mon 5 Jul to Tue 6 Jul 2027\n\n"
        "9 spots on lines and boards can be used. They suffice: at least 4 stay free.\n"
        "This counts spots; whether neighbours clash there, a plan tells.\n\n"
        "           emerge  arrive  needed  at most  free  at least\n"
        "Mon 5 Jul     1.2       -       3        5     6         4  #######+++........\n"
        "Tue 6 Jul     1.2       -       3        4     6         5  #####+++..........\n\n"
        "Bar: # needed, + at most needed, . free. At most and at least: with a chance of\n"
        "9 in 10 for each day. A spot is counted until its pupa's day of emergence has\n"
        "ended.\n"
        "Counted: all; of those expected, all once they are firm.\n"
    )


def test_it_stays_within_a_page_over_the_end_of_a_year_and_with_many():
    many = [pupa(f"m{i}", "2027-07-01", "tub-3") for i in range(600)]
    late = (Expected(date(2027, 7, 25), 3, "monarch"),)
    found = room(season(*many, name="Säntis 蝶 " * 20, expected=late), NOW, None, 120)
    said = str(sheet(season(name="Säntis 蝶 " * 20), found))
    assert max(map(columns, said.splitlines())) <= 80
    assert "\nSat 31 Jul " in said
    assert "\nSun 1 Aug  " in said


def test_days_at_the_end_that_say_nothing_new_are_one_line():
    said = str(sheet(SEASON, of(9, (3.4, 5), *[(2.0, 2)] * 4)))
    assert "Tue 6 Jul     1.2       -       2        2     7         7" in said
    assert "Wed 7 Jul" not in said
    assert "The 3 days after that are like the last one.\n" in said
    assert "are like" not in str(sheet(SEASON, of(9, (3.4, 5), *[(2.0, 2)] * 3)))


def test_where_there_is_less_width_bars_are_shorter_and_then_left_out_with_their_key():
    found = room(season(), NOW, None, 3)
    # 79 columns with bars of 18: 70 leave 9, and 60 too few for one.
    for width, dots in ((80, 18), (70, 9), (60, 0)):
        said = sheet(season(), found, width=width)
        (table,) = said.parts[2]
        assert table.lines()[1].partition("4         4")[2].strip() == "." * dots
        assert max(map(columns, table.lines())) <= width
        assert ("Bar: #" in str(said)) == bool(dots)


def test_the_expected_that_are_past_are_named():
    late = (Expected(date(2027, 7, 1), 2, "monarch"), Expected(date(2027, 7, 4), 1, "monarch"))
    assert past_text(season(expected=late), of(1, (0, 0))) == (
        "3 pupae expected up to Sun 4 Jul are not counted: record them with 'hangplan add', and take "
        "them out of season.yaml"
    )
    assert past_text(season(expected=(Expected(MON, 1, "monarch"),)), of(1, (0, 0))) == ""
