"""What a plan tells of those it moves to another temperature.

The easy species needs 100 degree-days above 10 °C: 10 days on the lid at 20 °C, 20 days in the shed at 15 °C.
"""

from datetime import date, datetime
from pathlib import Path

from planner.follow.other_temperature import due_after_moves
from planner.season import Season
from planner.season.places import Lid, Line
from planner.season.plan.plan_record import Hang, Plan
from planner.season.pupae import Formed, Pupa
from planner.season.reading.temperature import Temperature
from planner.season.reading.when import When
from planner.season.season import SpeciesEntry

ON = datetime(2027, 7, 5, 12)
LID = Lid(name="lid", width=40, length=28)


def shed(celsius):
    return Line(name="shed", length=60, height=150, clips_every=4, temperature=Temperature(celsius))


def pupa(name, place="lid", pupated="2027-07-03T12:00", spot=None, **more):
    return Pupa(id=name, species="easy", pupated=When.parse(pupated), place=place, spot=spot, **more)


# It has hung in the shed from the first: due 20 days after 2 July, on 22 July.
HUNG = pupa("a", "shed", "2027-07-02T12:00", "4", formed=Formed("shed"))


def told(*pupae, to, celsius=15.0, waiting=()):
    """Of a plan that hangs each pupa at a mark of the shed, those on the lid as moves."""
    season = Season(
        folder=Path("/nowhere"), name="test", species="easy", constant=20.0, wing_reach=10.0,
        profiles={"easy": SpeciesEntry(lower=10, upper=30, requirement=100, spread=0.1)},
        places=(LID, shed(celsius)), pupae=pupae,
    )  # fmt: skip
    hangs = [
        Hang(
            pupa=one.id, place="shed", spot=str(x), x=x, y=0, due=date(2027, 7, 13),
            from_place="lid" if one.place == "lid" else None,
        )
        for one, x in zip(pupae, to, strict=True)
    ]  # fmt: skip
    return due_after_moves(season, Plan(on=ON, gap_days=2, hangs=tuple(hangs), waiting=waiting))


AGAIN = "The plan and its tags have the dates of where they hang now: plan again once they are moved"


def test_neighbours_that_clash_by_the_dates_of_where_they_go_are_told():
    # b had 20 of its 100 in two days on the lid, the other 80 take 16 in the shed: 21 July, a day before a.
    assert told(HUNG, pupa("b"), to=(4, 8)) == (
        "where they go it is warmer or colder. Hung there now, b is due 21 Jul, not 13 Jul. "
        f"Then these neighbours clash, too: a and b. {AGAIN}, with --rehang to part these"
    )


def test_where_they_are_no_neighbours_no_more_clash():
    assert told(HUNG, pupa("b"), to=(4, 40)) == (
        "where they go it is warmer or colder. Hung there now, b is due 21 Jul, not 13 Jul. "
        f"No other neighbours clash then. {AGAIN}"
    )


def test_planned_clashes_that_are_none_by_the_dates_of_where_they_go_are_told():
    # d pupated a day before b, and clashes with it on the lid (12 and 13 July); in the shed d had 30 of its
    # 100 and is due 14 days later, 19 July, b 21 July: two days apart, which is enough.
    assert told(pupa("b"), pupa("d", pupated="2027-07-02T12:00"), to=(4, 8)) == (
        "where they go it is warmer or colder. Hung there now, b is due 21 Jul, not 13 Jul, d is due 19 Jul, "
        f"not 12 Jul. No other neighbours clash then. These clash no longer: b and d. {AGAIN}"
    )


def test_where_it_is_too_cold_for_any_date_they_may_be_due_on_any_day():
    assert told(pupa("b"), pupa("c", pupated="2027-06-29T12:00"), to=(4, 8), celsius=9.0) == (
        "where they go it is warmer or colder. Hung there now, b has no date: too cold, c has no date: too "
        f"cold. Then these neighbours clash, too: b and c. {AGAIN}, with --rehang to part these"
    )


def test_where_it_is_as_warm_nothing_is_told():
    assert told(HUNG, pupa("b"), to=(4, 40), celsius=20.0) == ""
