from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

from planner.emergence import forecasts
from planner.report.texts.summary import summary
from planner.report.texts.text import columns
from planner.season import (
    Hang,
    Level,
    Lid,
    Line,
    Move,
    Plan,
    Pupa,
    Season,
    SpeciesEntry,
    Stuck,
    TooClose,
    When,
)

ON = datetime(2027, 7, 5, 8)
# At 23 °C: 130 / (23 - 10) = 10 days from noon. Pupated 1 July: firm 3 July 00:00, due 11 July.
SEASON = Season(
    folder=Path(),
    name="Porch",
    profiles={"monarch": SpeciesEntry(lower=10, requirement=130, firm_after=24, darkens_before=24)},
    places=(
        Line(name="north", length=60, height=150, clips_every=4),
        Lid(name="tub-2", width=40, length=28),
        Lid(name="tub-3", width=40, length=28, clear=True),
    ),
)


def pupa(name, pupated, place="tub-2", **more):
    return Pupa(id=name, species="monarch", pupated=pupated and When.parse(pupated), place=place, **more)


def hang(name, place="tub-2", spot="?", x=None, y=None, source=None, day=11):
    return Hang(pupa=name, place=place, spot=spot, x=x, y=y, due=date(2027, 7, day), from_place=source)


def said(pupae, **plan):
    season = replace(SEASON, pupae=tuple(pupae))
    made = Plan(**{"on": ON, "gap_days": 2, "hangs": tuple(hang(p.id) for p in pupae), **plan})
    return str(summary(season, made, forecasts(season, ON)))


def test_a_plan_that_moves_nobody_is_short():
    assert said([pupa("m1", "2027-07-01")]) == (
        "Porch: plan of Mon 5 Jul 08:00, 2027\n"
        "1 pupa: 0 hang on lines and boards, 1 stays on a lid; 0 to be moved.\n"
        "No clashes: no neighbours are due less than 2 days apart.\n"
    )


def test_each_level_says_what_was_reached_and_whether_that_is_proved():
    text = said(
        [pupa("m1", "2027-07-01")],
        proof=(
            Level(name="clashes", value=0, bound=0, proved=True),
            Level(name="touched", value=17, bound=15, proved=False),
            Level(name="smallest_gap", value=None, bound=None, proved=True),
        ),
    )
    assert text.split("\n\n")[1] == (
        "Sought, in this order      reached   at best\n"
        "  clashes                        0         0  proved\n"
        "  pupae to move                 17        15  not proved: better may exist\n"
        "  smallest gap, days          none      none  proved\n"
    )


def test_yarn_used_is_told_in_the_unit_of_the_season():
    length = Level(name="length", value=12.7, bound=12.7, proved=True)  # cm
    plan = Plan(on=ON, gap_days=2, hangs=(), proof=(length,))
    rows = [line.split() for line in str(summary(replace(SEASON, units="in"), plan, {})).splitlines()]
    assert ["yarn", "used,", "in", "5", "5", "proved"] in rows
    rows = [line.split() for line in str(summary(SEASON, plan, {})).splitlines()]
    assert ["yarn", "used,", "cm", "12.7", "12.7", "proved"] in rows


def test_every_clash_is_told_with_places_dates_and_distance():
    pupae = [pupa("m1", "2027-07-01", "north", spot="4"), pupa("m2", "2027-07-02", "north", spot="8")]
    hangs = (hang("m1", "north", "4", 4, 0), hang("m2", "north", "8", 8, 0, day=12))
    clash = TooClose(a="m1", b="m2", gap=1, distance=4)
    text = said(
        pupae, hangs=hangs, clashes=(clash,), proof=(Level(name="clashes", value=1, bound=1, proved=True),)
    )
    assert "No neighbours" not in text
    assert text.split("\n\n")[2] == (
        "CLASHES: 1 pair due less than 2 days apart. Fewer are impossible: proved.\n"
        "  pupa  hangs       due     pupa  hangs       due     apart  days\n"
        "  m1    north 4 cm  11 Jul  m2    north 8 cm  12 Jul  4 cm   1\n"
    )


def test_clashes_not_proved_to_be_needed_are_said_not_to_be():
    pair = TooClose(a="m1", b="m2", gap=1, distance=None)
    other = TooClose(a="m1", b="m3", gap=1, distance=None)
    pupae = [pupa(f"m{n}", "2027-07-01") for n in (1, 2, 3)]
    text = said(pupae, clashes=(pair, other), proof=(Level(name="clashes", value=2, bound=0, proved=False),))
    assert "CLASHES: 2 pairs due less than 2 days apart. Not proved that any must be.\n" in text
    assert "\n  m1    tub-2  11 Jul  m2    tub-2  11 Jul  one lid  1\n" in text
    text = said(pupae, clashes=(pair, other), proof=(Level(name="clashes", value=2, bound=1, proved=False),))
    assert "CLASHES: 2 pairs due less than 2 days apart. Not proved: perhaps 1 would do.\n" in text


def test_waiting_pairs_are_told_and_too_many_are_counted():
    pupae = [pupa(f"m{n}", "2027-07-04") for n in range(1, 12)]
    pairs = tuple(TooClose(a="m1", b=f"m{n}", gap=0, distance=5, why="too soft") for n in range(2, 12))
    text = said(pupae, waiting=pairs)
    assert "No clashes. 10 pairs must wait, as listed below: one of each is not moved yet.\n" in text
    assert (
        "Waiting: 10 pairs too close for now. One of the two is still soft: plan again\nwhen it is firm.\n"
        "  too soft:\n"
        "  pupa  hangs  due     pupa  hangs  due     apart  days\n"
        "  m1    tub-2  11 Jul  m2    tub-2  11 Jul  5 cm   0\n"
    ) in text
    assert "\n  and 2 more, under waiting in plan.yaml\n" in text


def test_many_clashes_are_counted_and_the_move_list_names_all():
    pupae = [pupa(f"m{n}", "2027-07-01") for n in range(1, 33)]
    pairs = tuple(TooClose(a="m1", b=f"m{n}", gap=0, distance=5) for n in range(2, 33))
    text = said(pupae, clashes=pairs)
    assert (
        "  m1    tub-2  11 Jul  m31   tub-2  11 Jul  5 cm   0\n  and 1 more; the move list names all\n"
        in text
    )
    assert "m32   tub-2" not in text


def test_those_left_on_a_lid_to_be_cleared_are_told_with_the_reason():
    pupae = [
        pupa("m1", "2027-07-01", "tub-3"),
        pupa("m2", "2027-07-04", "tub-3"),
        pupa("m3", "2027-07-01", "tub-3", stay=True),
    ]
    assert (
        "Left on lids to be cleared: 3 pupae; 2 of them not to be moved now, and not\n"
        "counted above\n"
        "  no spot for it: m1\n"
        "  soft until Tue 6 Jul 00:00: m2\n"
        "  to stay, as recorded: m3\n"
    ) in said(pupae, hangs=tuple(hang(p.id, "tub-3") for p in pupae), left=("m1", "m2", "m3"))
    assert "Left on lids to be cleared: 1 pupa; not to be moved now, and not counted above\n" in said(
        pupae, hangs=(hang("m2", "tub-3"),), left=("m2",)
    )


def test_those_not_to_be_touched_are_told_with_until_when():
    pupae = [
        pupa("m1", "2027-07-05"),
        pupa("m2", "2027-07-04"),
        pupa("m3", "2027-07-04"),
        pupa("m4", "2027-06-25"),
        pupa("m5", None),
        pupa("m6", "2027-07-01"),
    ]
    assert said(pupae).split("\n\n")[1] == (
        "Not to be touched now: 5 pupae\n"
        "  soft until Tue 6 Jul 00:00: m2, m3\n"
        "  soft until Wed 7 Jul 00:00: m1\n"
        "  may be darkening: due Mon 5 Jul: m4\n"
        "  prepupa: hangs in a J, not to be touched: m5\n"
    )


def test_the_first_moves_are_shown_and_all_are_counted():
    pupae = [pupa(f"m{n}", "2027-07-01") for n in range(1, 10)]
    moves = tuple(
        Move(step=n, pupa=f"m{n}", from_place="tub-2", from_spot="?", to_place="north", to_spot=str(4 * n),
             not_before=datetime(2027, 7, 3), not_after=datetime(2027, 7, 10, 12))
        for n in range(1, 10)
    )  # fmt: skip
    hangs = tuple(hang(m.pupa, "north", m.to_spot, float(m.to_spot), 0, "tub-2") for m in moves)
    last = said(pupae, hangs=hangs, moves=moves).split("\n\n")[-1].splitlines()
    assert last[0] == "First 8 of 9 moves"
    assert last[2] == "  1     m1    1 Jul    tub-2  north 4 cm   now         10 Jul 12:00"
    assert last[-2].split()[:2] == ["8", "m8"]
    assert last[-1] == "Never move a soft or darkening pupa. Pins and tweezers are sharp."


def test_the_longest_names_still_fit_80_columns():
    name = "the very long lid upon the east window  "
    season = replace(
        SEASON,
        name="n" * 200,
        places=(Lid(name=name, width=40, length=28, clear=True),),
        pupae=tuple(pupa(f"abcdefghij{n}", "2027-07-04", name) for n in range(10, 60, 2)),
    )
    pair = TooClose(a="abcdefghij10", b="abcdefghij12", gap=0.123456, distance=1.23456, why="w" * 90)
    hangs = tuple(hang(p.id, name) for p in season.pupae)
    plan = Plan(on=ON, gap_days=2, hangs=hangs, clashes=(pair,), waiting=(pair,), left=("abcdefghij10",),
                proof=(Level(name="clashes", value=1, bound=0, proved=False),))  # fmt: skip
    text = str(summary(season, plan, forecasts(season, ON)))
    assert max(map(columns, text.splitlines())) <= 80


def test_those_moved_are_counted_as_pupae_not_as_steps():
    pupae = [pupa("m1", "2027-07-01", "north"), pupa("m2", "2027-07-01", "north")]
    moves = tuple(
        Move(step=n, pupa=name, from_place="north", from_spot=spot, to_place="north", to_spot=to,
             not_before=datetime(2027, 7, 3), not_after=datetime(2027, 7, 10, 12), after=after)
        for n, (name, spot, to, after) in enumerate(
            (("m1", "4", "40", ()), ("m2", "20", "4", (1,)), ("m1", "40", "20", (2,))), start=1
        )
    )  # fmt: skip
    hangs = (hang("m1", "north", "20", 20, 0, "north"), hang("m2", "north", "4", 4, 0, "north"))
    text = said(pupae, hangs=hangs, moves=moves)
    assert "2 pupae: 2 hang on lines and boards, 0 stay on lids; 2 to be moved." in text
    assert text.split("\n\n")[-1] == (
        "Moves\n"
        "  step  pupa  pupated  from         to           not before  not after\n"
        "  1     m1    1 Jul    north 4 cm   north 40 cm  now         10 Jul 12:00\n"
        "        PARK it there: it goes on in step 3; do steps 1 to 3 in one go\n"
        "  2     m2    1 Jul    north 20 cm  north 4 cm   now         10 Jul 12:00\n"
        "        after step 1\n"
        "  3     m1    1 Jul    north 40 cm  north 20 cm  now         10 Jul 12:00\n"
        "        after step 2; from where step 1 parked it\n"
        "Never move a soft or darkening pupa. Pins and tweezers are sharp.\n"
    )


def test_who_stays_for_want_of_an_order_is_named_with_the_reason():
    pupae = [pupa(f"m{n}", "2027-07-01", "north") for n in range(1, 11)]
    hangs = tuple(hang(p.id, "north", "4", 4, 0) for p in pupae)
    stuck = tuple(Stuck(pupa=p.id, why="would change places, and no spot is free") for p in pupae)
    assert said(pupae, hangs=hangs, stuck=stuck[:1]).split("\n\n")[-1] == (
        "No order of moves works for 1 pupa, so it stays where it hangs. One more spot to\n"
        "park on may mend it.\n"
        "  m1: would change places, and no spot is free\n"
    )
    text = said(pupae, hangs=hangs, stuck=stuck, settings={"rehang_price": 3, "clashes_without_rehang": 2})
    assert "Re-hanging might leave fewer than 2 clashes, but no order of moves works: see below." in " ".join(
        text.split()
    )
    many = said(pupae, hangs=hangs, stuck=stuck).split("\n\n")[-1].splitlines()
    assert many[0].startswith("No order of moves works for 10 pupae, so they stay where they hang.")
    assert many[-1] == "  and 2 more, under stuck in plan.yaml"
    assert max(map(columns, many)) <= 80
