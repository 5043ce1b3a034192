from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

from planner.report.texts.moves import move_list, move_rows, urgent
from planner.report.texts.text import columns
from planner.season import Board, Hang, Lid, Line, Move, Plan, Pupa, Season, TooClose, When

ON = datetime(2027, 7, 5, 8)
PLACES = (
    Line(name="north", length=60, height=150, clips_every=4),
    Board(name="cork", width=30, height=20, pins_every=5, bottom=90),
    Lid(name="tub-2", width=40, length=28),
    Lid(name="tub-3", width=40, length=28),
)


def pupa(name, place, pupated="2027-07-01"):
    return Pupa(id=name, species="monarch", pupated=When.parse(pupated), place=place)


def move(step, name, source, spot, place, to, start=datetime(2027, 7, 3)):
    return Move(step=step, pupa=name, from_place=source, from_spot=spot, to_place=place, to_spot=to,
                not_before=start, not_after=datetime(2027, 7, 12, 12))  # fmt: skip


PUPAE = (pupa("m1", "tub-2"), pupa("m2", "tub-3"), pupa("m3", "tub-2", "2027-07-04"))
SEASON = Season(folder=Path(), name="Porch", places=PLACES, pupae=PUPAE)
MOVES = (
    move(1, "m1", "tub-2", "5,5", "north", "8"),
    move(2, "m2", "tub-3", "?", "cork", "r2p5"),
    move(3, "m3", "tub-2", "8.25,5", "north", "4", datetime(2027, 7, 6, 0)),
)
PLAN = Plan(on=ON, gap_days=2, hangs=(), moves=MOVES)

CAUTIONS = """\
Porch: moves as planned on Mon 5 Jul 2027

Do the steps in this order, each in its time. A pupa whose wings show through
stays where it is: run plan again. Never move a soft or darkening pupa. Pins and
tweezers are sharp.
"""


def test_steps_stand_in_their_order_under_the_lid_they_start_from():
    assert move_list(SEASON, PLAN) == CAUTIONS + (
        "\nFrom lid tub-2: 1 pupa (at = x,y in cm)\n"
        "     step  pupa  pupated  at   to          before\n"
        "[ ]  1     m1    1 Jul    5,5  north 8 cm  afternoon of 12 Jul\n"
        "\nFrom lid tub-3: 1 pupa (at = x,y in cm)\n"
        "     step  pupa  pupated  at  to         before\n"
        "[ ]  2     m2    1 Jul    ?   cork r2p5  afternoon of 12 Jul\n"
        "\nFrom lid tub-2: 1 pupa (at = x,y in cm)\n"
        "     step  pupa  pupated  at      to          not before  before\n"
        "[ ]  3     m3    4 Jul    8.25,5  north 4 cm  6 Jul       afternoon of 12 Jul\n"
    )


def test_steps_are_sorted_by_their_number():
    assert move_list(SEASON, replace(PLAN, moves=MOVES[::-1])) == move_list(SEASON, PLAN)


def test_lengths_are_in_the_keeper_s_unit():
    text = move_list(replace(SEASON, units="in"), PLAN)
    assert "(at = x,y in inches)" in text
    assert "north 8 in" in text


def test_a_plan_without_moves_says_so():
    assert move_list(SEASON, replace(PLAN, moves=())) == (
        "Porch: moves as planned on Mon 5 Jul 2027\n\nNobody is to be moved.\n"
    )


def test_the_longest_names_allowed_still_fit_a_page_of_80_columns():
    long = "the very long line behind the east wall"
    places = (
        Line(name=long, length=1000, height=150, clips_every=4),
        Lid(name="蝶" * 40, width=40, length=28),
    )
    pupae = (pupa("abcdefghijk9", "蝶" * 40),)
    moves = (move(1000, "abcdefghijk9", "蝶" * 40, "1234.5,1234.5", long, "999.999"),)
    season = replace(SEASON, name="n" * 200, places=places, pupae=pupae)
    text = move_list(season, replace(PLAN, moves=moves))
    assert max(map(columns, text.splitlines())) <= 80
    assert "abcdefghijk9" in text
    assert all(word in text for word in long.split())


def test_the_list_is_plain_ascii_where_the_names_are():
    assert move_list(SEASON, PLAN).isascii()


def test_all_clashes_are_listed_to_be_watched():
    hangs = (
        Hang(pupa="m1", place="north", spot="8", x=8, y=0, due=date(2027, 7, 11)),
        Hang(pupa="m2", place="tub-3", spot="?", due=date(2027, 7, 12)),
    )
    clashes = (TooClose(a="m1", b="m2", gap=1.999999, distance=None),)
    text = move_list(SEASON, replace(PLAN, hangs=hangs, clashes=clashes))
    assert text.endswith(
        "\nCLASHES to watch: 1 pair due less than 2 days apart\n"
        "  pupa  hangs       due     pupa  hangs  due     apart    days\n"
        "  m1    north 8 cm  11 Jul  m2    tub-3  12 Jul  one lid  1.99\n"
    )


def test_of_a_clash_with_one_that_has_no_date_that_is_told():
    hangs = (
        Hang(pupa="m1", place="north", spot="8", x=8, y=0, due=date(2027, 7, 11)),
        Hang(pupa="m2", place="tub-3", spot="?", due=None),
    )
    clashes = (TooClose(a="m1", b="m2", gap=0, distance=None),)
    text = move_list(SEASON, replace(PLAN, hangs=hangs, clashes=clashes))
    assert text.endswith(
        "\nCLASHES to watch: 1 pair of which one has no date\n"
        "  pupa  hangs       due     pupa  hangs  due      apart    days\n"
        "  m1    north 8 cm  11 Jul  m2    tub-3  no date  one lid  ?\n"
        "  No date is known of m2: it may be due on any day.\n"
    )


def test_a_step_of_one_without_a_date_has_no_last_day():
    moves = tuple(replace(m, not_after=PLAN.on + timedelta(days=365)) for m in PLAN.moves)
    rows = move_rows(SEASON, replace(PLAN, moves=moves))[1]
    assert {row[6] for row in rows} == {"no date"}


RING = replace(
    PLAN,
    moves=(
        move(1, "m1", "north", "4", "cork", "r2p5"),
        move(2, "m2", "north", "20", "north", "4"),
        move(3, "m3", "tub-2", "5,5", "north", "12"),
        move(4, "m1", "cork", "r2p5", "north", "20"),
    ),
)


def after(plan, **waits):
    """``after(plan, s2=(1,))``: step 2 is to be done after step 1."""
    return replace(plan, moves=tuple(replace(m, after=waits.get(f"s{m.step}", ())) for m in plan.moves))


def test_a_step_says_after_which_it_comes_and_who_is_parked_when_it_goes_on():
    text = move_list(SEASON, after(RING, s2=(1,), s3=(1, 2), s4=(1, 2)))
    assert text.split("\n\n", 2)[2] == (
        "From line north: 2 pupae\n"
        "     step  pupa  pupated  at     to          before\n"
        "[ ]  1     m1    1 Jul    4 cm   cork r2p5   afternoon of 12 Jul\n"
        "     PARK it there: it goes on in step 4; do steps 1 to 4 in one go\n"
        "[ ]  2     m2    1 Jul    20 cm  north 4 cm  afternoon of 12 Jul\n"
        "     after step 1\n"
        "\nFrom lid tub-2: 1 pupa (at = x,y in cm)\n"
        "     step  pupa  pupated  at   to           before\n"
        "[ ]  3     m3    4 Jul    5,5  north 12 cm  afternoon of 12 Jul\n"
        "     after steps 1 and 2\n"
        "\nFrom board cork: 1 pupa\n"
        "     step  pupa  pupated  at    to           before\n"
        "[ ]  4     m1    1 Jul    r2p5  north 20 cm  afternoon of 12 Jul\n"
        "     after step 2; from where step 1 parked it\n"
    )


def test_where_somebody_is_parked_the_list_says_what_that_means():
    meaning = (
        "Parking is for minutes only: from there the pupa goes on to its own spot without a break. "
        "It is never laid down."
    )
    assert meaning in " ".join(move_list(SEASON, RING).split())
    assert "Parking" not in move_list(SEASON, PLAN)


def test_a_pupa_parked_on_the_place_it_comes_from_is_one_pupa():
    twice = replace(
        PLAN, moves=(move(1, "m1", "north", "4", "north", "8"), move(2, "m1", "north", "8", "north", "4"))
    )
    assert "From line north: 1 pupa\n" in move_list(SEASON, twice)


def test_notes_fit_a_page_of_80_columns():
    many = after(RING, s4=tuple(range(1, 40)))
    assert max(map(columns, move_list(SEASON, many).splitlines())) <= 80


def test_who_cannot_wait_for_another_evening_is_told_where_others_can():
    # ON is 8 in the morning of 5 July: of m1 there is no time left on 6 July from 6 on, of m2 there is.
    soon = replace(MOVES[0], not_after=datetime(2027, 7, 6, 7))
    assert urgent([soon, MOVES[1]], ON) == "Do not put off m1: move it before the morning of 6 Jul."
    assert urgent([replace(soon, not_after=datetime(2027, 7, 5, 10)), MOVES[1]], ON) == (
        "Do not put off m1: move it at once."
    )
    assert urgent([soon], ON) == ""  # all alike: the list says so
    assert urgent(MOVES, ON) == ""
