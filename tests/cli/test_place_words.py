"""Places as people say them."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tries import tries

from planner.cli.answers.starter import Starter
from planner.cli.shell.place_words import PlaceToBe, read_places

LINE = "height: 60, clip_width: 1.25"
BOARD = "pins_every: 2, pattern: staggered, bottom: 36"


def line(name, length="72"):
    return PlaceToBe("line", name, f"length: {length}, {LINE}")


def board(name, width="24", height="18"):
    return PlaceToBe("board", name, f"width: {width}, height: {height}, {BOARD}")


def lid(name, width="23", length="16"):
    return PlaceToBe("lid", name, f"width: {width}, length: {length}")


def cup(name, diameter="4"):
    return PlaceToBe("lid", name, f"diameter: {diameter}")


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("line 72", [line("line-1")]),
        ("a line of 72", [line("line-1")]),
        ("a line of 72, another one, a board 24 x 18", [line("line-1"), line("line-2"), board("board-1")]),
        ("a line of 72, another of 60", [line("line-1"), line("line-2", "60")]),
        ("2 lines of 72 and lid 23x16", [line("line-1"), line("line-2"), lid("tub-1")]),
        ("line north 72; line south 60.5", [line("north"), line("south", "60.5")]),
        ("2 lines shelf 72", [line("shelf-1"), line("shelf-2")]),
        ("line line-1 72, line 72", [line("line-1"), line("line-2")]),
        ("board cork 24 × 18", [board("cork")]),
        ("round lid 3.5", [cup("tub-1", "3.5")]),
        ("lid 23 x 16, 2 Round tubs cup of 4", [lid("tub-1"), cup("cup-1"), cup("cup-2")]),
        ("a round lid 4, another", [cup("tub-1"), cup("tub-2")]),
        ('board 24" x 18"', [board("board-1")]),
        ("board 24 in by 18 in", [board("board-1")]),
        ("tub 23 x 16, another", [lid("tub-1"), lid("tub-2")]),
        ("LINE 72 inches", [line("line-1")]),
        (
            "line 72 at 10 x 60",
            [PlaceToBe("line", "line-1", "length: 72, left: 10, height: 60, clip_width: 1.25")],
        ),
        (
            "board cork 24 x 18 at 0x36.5",
            [
                PlaceToBe(
                    "board",
                    "cork",
                    "width: 24, height: 18, left: 0, pins_every: 2, pattern: staggered, bottom: 36.5",
                )
            ],
        ),
        ("", []),
        ("none yet", []),
        ("None", []),
    ],
)
def test_what_people_say_is_understood(text, places):
    assert list(read_places(text, "in")) == places


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("72", "'72': write line, board or lid and its size, such as line 72"),
        ("shelf 72", "'shelf 72': write line, board or lid and its size, such as line 72"),
        ("another", "'another': write line, board or lid and its size, such as line 72"),
        ("line", "'line': a line has length, such as line 72"),
        ("line north", "'line north': a line has length, such as line 72"),
        ("board 24", "'board 24': a board has width x height, such as board 24 x 18"),
        ("line 24 x 18", "'line 24 x 18': a line has length, such as line 72"),
        ("lid 9", "'lid 9': a lid has width x length, such as lid 23 x 16"),
        ("round lid 4 x 4", "'round lid 4 x 4': a round lid has diameter, such as round lid 4"),
        ("round lid", "'round lid': a round lid has diameter, such as round lid 4"),
        ("round 4", "'round 4': write line, board or lid and its size, such as line 72"),
        ("round line 4", "'round line 4': write line, board or lid and its size, such as line 72"),
        ("line 6 ft", "'line 6 ft': all lengths are in inches here: write it in inches"),
        ("line 180 cm", "'line 180 cm': all lengths are in inches here: write it in inches"),
        ("900 lines of 72", "'900 lines of 72': allowed are 1 to 50 lines"),
        (
            "2 lines of 72 at 10 x 60",
            "'2 lines of 72 at 10 x 60': two cannot hang in one place: write of each where it hangs",
        ),
        (
            "lid 23 x 16 at 0 x 30",
            "'lid 23 x 16 at 0 x 30': only of lines and boards is told where they hang",
        ),
        ("line at 10 x 60", "'line at 10 x 60': a line has length, such as line 72"),
        ("line 72,, lid 23 x 16", "'': write line, board or lid and its size, such as line 72"),
    ],
)
def test_what_is_not_understood_is_told_with_what_to_write(text, why):
    with pytest.raises(ValueError) as caught:  # noqa: PT011  (the whole message is compared)
        read_places(text, "in")
    assert str(caught.value) == why


@tries(200)
@given(st.text(st.sampled_from("line board round lid another of x,; 0123456789.cmin\"'ü\n"), max_size=40))
def test_any_text_is_a_season_s_places_or_refused(text):
    try:
        places = read_places(text, "cm")
    except ValueError:
        return
    Starter(places=places).problems(Path())  # judged, never a crash
