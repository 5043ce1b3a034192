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
from planner.season.plan.plan_record import Changed, Kept

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


def said(pupae, old_tags=(), overdue=(), **plan):
    season = replace(SEASON, pupae=tuple(pupae))
    made = Plan(**{"on": ON, "gap_days": 2, "hangs": tuple(hang(p.id) for p in pupae), **plan})
    return str(summary(season, made, forecasts(season, ON), old_tags=old_tags, overdue=overdue))


def test_a_plan_that_moves_nobody_is_short():
    assert said([pupa("m1", "2027-07-01")]) == (
        "Porch: plan of Mon 5 Jul 2027, 08:00\n"
        "1 pupa: nobody is to be moved; 1 stays on its lid.\n"
        "No clashes: no neighbours are due less than 2 days apart.\n"
    )


def test_every_clash_is_told_with_places_dates_and_distance():
    pupae = [pupa("m1", "2027-07-01", "north", spot="4"), pupa("m2", "2027-07-02", "north", spot="8")]
    hangs = (hang("m1", "north", "4", 4, 0), hang("m2", "north", "8", 8, 0, day=12))
    clash = TooClose(a="m1", b="m2", gap=1, distance=4)
    text = said(
        pupae, hangs=hangs, clashes=(clash,), proof=(Level(name="clashes", value=1, bound=1, proved=True),)
    )
    assert "No neighbours" not in text
    assert text.split("\n\n")[1] == (
        "CLASHES: 1 pair due less than 2 days apart. Fewer are impossible without\n"
        "re-hanging: proved.\n"
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


def test_pairs_too_close_for_now_are_counted():
    pupae = [pupa(f"m{n}", "2027-07-04") for n in range(1, 12)]
    pairs = tuple(TooClose(a="m1", b=f"m{n}", gap=0, distance=5, why="too soft") for n in range(2, 12))
    # Firm a day after the end of the day on which they pupated.
    wait = "must wait until Tue 6 Jul: one of each is still soft.\n"
    assert f"No clashes. 10 pairs {wait}" in said(pupae, waiting=pairs)
    text = said(pupae, waiting=pairs[1:], clashes=pairs[:1])
    assert f"\nBesides, 9 pairs {wait}" in text
    sooner = [pupa(f"m{n}", "2027-07-04T10:00") if n == 2 else one for n, one in enumerate(pupae, 1)]
    text = " ".join(said(sooner, waiting=pairs).split())  # m2 is firm on Monday at 10
    assert "No clashes. 10 pairs must wait, the last until Tue 6 Jul: one of each is still soft." in text


def test_many_clashes_are_counted_and_the_move_list_names_all():
    pupae = [pupa(f"m{n}", "2027-07-01") for n in range(1, 33)]
    pairs = tuple(TooClose(a="m1", b=f"m{n}", gap=0, distance=5) for n in range(2, 33))
    made = Plan(on=ON, gap_days=2, hangs=tuple(hang(p.id) for p in pupae), clashes=pairs)
    season = replace(SEASON, pupae=tuple(pupae))
    text = str(summary(season, made, forecasts(season, ON)).within(10))
    # title, what to do, an empty line, CLASHES, names of columns, 4 rows, how many more: 10 lines
    assert text.endswith(
        "  m1    tub-2  11 Jul  m5    tub-2  11 Jul  5 cm   0\n  and 27 more rows: out/moves.txt has them\n"
    )


def test_of_those_left_on_a_lid_to_be_cleared_each_is_named_once():
    pupae = [
        pupa("m1", "2027-07-01", "tub-3"),
        pupa("m2", "2027-07-04", "tub-3"),
        pupa("m3", "2027-07-01", "tub-3", stay=True),
    ]
    text = said(pupae, hangs=tuple(hang(p.id, "tub-3") for p in pupae), left=("m1", "m2", "m3"))
    assert text.split("\n\n", 1)[1] == (
        "No spot for m1: it stays on its lid, which should be cleared.\n"
        "On a lid to be cleared, but to stay as recorded: m3.\n"
        "Not to be cleared yet: tub-3. 1 pupa there cannot be moved now.\n\n"
        "Do not touch m2: soft until the end of Mon 5 Jul.\n"
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
        "Do not touch m2, m3: soft until the end of Mon 5 Jul.\n"
        "Do not touch m1: soft until the end of Tue 6 Jul.\n"
        "Do not touch m4: may be darkening, due Mon 5 Jul.\n"
        "Nor 1 other: 'hangplan today' names them.\n"
    )


def test_all_moves_stand_in_the_summary_and_a_screen_shows_the_first():
    pupae = [pupa(f"m{n}", "2027-07-01") for n in range(1, 10)]
    moves = tuple(
        Move(step=n, pupa=f"m{n}", from_place="tub-2", from_spot="?", to_place="north", to_spot=str(4 * n),
             not_before=datetime(2027, 7, 3), not_after=datetime(2027, 7, 10, 12))
        for n in range(1, 10)
    )  # fmt: skip
    hangs = tuple(hang(m.pupa, "north", m.to_spot, float(m.to_spot), 0, "tub-2") for m in moves)
    season = replace(SEASON, pupae=tuple(pupae))
    sheet = summary(season, Plan(on=ON, gap_days=2, hangs=hangs, moves=moves), forecasts(season, ON))
    last = str(sheet).split("\n\n")[-1].splitlines()
    assert last[1] == "  1     m1    1 Jul    tub-2  north 4 cm   afternoon of 10 Jul"
    assert last[-1].split()[:2] == ["9", "m9"]
    # title, what to do, no clashes, an empty line, names of columns and 9 rows: 14 lines
    cut = str(sheet.within(12)).splitlines()
    assert len(cut) == 12
    assert cut[-1] == "  and 3 more rows: out/moves.txt has them"


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
    assert "Move all 2 pupae now.\n" in text
    assert text.split("\n\n")[-1] == (
        "  step  pupa  pupated  from         to           before\n"
        "  1     m1    1 Jul    north 4 cm   north 40 cm  afternoon of 10 Jul\n"
        "        PARK it there: it goes on in step 3; do steps 1 to 3 in one go\n"
        "  2     m2    1 Jul    north 20 cm  north 4 cm   afternoon of 10 Jul\n"
        "        after step 1\n"
        "  3     m1    1 Jul    north 40 cm  north 20 cm  afternoon of 10 Jul\n"
        "        after step 2; from where step 1 parked it\n"
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


def test_what_is_other_than_planned_before_is_told_with_the_tags():
    pupae = [pupa("m1", "2027-07-01"), pupa("m2", "2027-07-01")]
    was = Changed(pupa="m2", place="north", spot="8")
    assert "Other than planned before: m2 stays where it hangs.\n" in said(pupae, changed=(was,))
    later = Kept(who="m2", place="north", spot="4", since=ON, due=date(2027, 7, 11))
    printed = said(pupae, changed=(was,), kept=(later,), void=(3,), old_tags=["m2"])
    assert (
        "Other than planned before: m2 goes elsewhere. On lists printed before, step 3 is\n"
        "void. The printed tag of m2 no longer holds: 'hangplan tags --changed' prints it\n"
        "anew.\n"
    ) in printed
    also = said(pupae, void=(3, 4, 5, 9), old_tags=["m1", "m2"])
    assert (
        "On lists printed before, steps 3 to 5, 9 are void. The printed tags of m1, m2 no\n"
        "longer hold: 'hangplan tags --changed' prints them anew.\n"
    ) in also


def test_who_is_overdue_is_counted_and_not_told_not_to_be_touched_as_well():
    dark = [pupa("m1", "2027-06-20"), pupa("m2", "2027-06-20")]
    assert said(dark, overdue=["m1", "m2"]).split("\n\n")[1:] == [
        "Overdue: 2. Look without touching; 'hangplan today' tells which they are.\n"
    ]
    assert "Do not touch m2: may be darkening" in said(dark, overdue=["m1"])
