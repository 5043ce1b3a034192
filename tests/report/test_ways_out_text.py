"""The reason and the ways out in words, exactly."""

from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

from planner.report.texts.reason import reason_texts
from planner.report.texts.summary import summary
from planner.report.texts.text import columns
from planner.report.texts.ways_out import options, way_texts
from planner.season import Board, Hang, Lid, Line, Plan, Pupa, Season, TooClose, When
from planner.season.places.dividers import Divider
from planner.season.plan.reason_record import (
    Cards,
    HoldBack,
    MoreSpots,
    NoWay,
    Reason,
    Rehang,
    SmallerGap,
    Unusable,
    Wait,
)

ON = datetime(2027, 7, 9, 12)
SEASON = Season(
    folder=Path(),
    name="Porch",
    places=(
        Line(name="north", length=60, height=150, clips_every=4),
        Line(name="yarn", length=60, height=150, clip_width=3),
        Board(name="cork", width=60, height=40, pins_every=5, bottom=90),
        Lid(name="tub", width=40, length=28, clear=True),
    ),
)
PLAN = Plan(
    on=ON,
    gap_days=2,
    hangs=(
        Hang(pupa="h1", place="north", spot="8", x=8, y=0, due=date(2027, 7, 14)),
        Hang(pupa="h2", place="north", spot="12", x=12, y=0, due=date(2027, 7, 15)),
    ),
)
DAYS = {"first": date(2027, 7, 14), "last": date(2027, 7, 15)}


def why(**reason):
    (text,) = reason_texts(SEASON, PLAN, (Reason(**(DAYS | reason)),))
    return text


def way(one):
    (text,) = way_texts(SEASON, [one])
    return text


def test_more_of_near_dates_than_spots_apart():
    assert why(
        cause="apart", pupae=("m1", "m2", "m3"), crowd=("m1", "m2", "m3", "m4"), room=2, minimal=True,
        spots=(("north", "4"), ("tub", "")), clear=("tub",),
    ) == (
        "4 pupae (m1 to m4), due 14 Jul to 15 Jul, each need a spot out of reach of the others: "
        "they are due less than 2 days apart. There are only 2 such spots, for instance north 4 cm, 1 on tub."
        " Proved: m1 to m3 alone cannot all be hung, but they can without any one of them."
    )  # fmt: skip


def test_more_than_spots():
    assert why(cause="spots", pupae=("a", "b"), crowd=("a", "b"), room=1, clear=("tub",), minimal=True) == (
        "2 pupae (a, b), due 14 Jul to 15 Jul, must leave tub, and there is room for only 1, whatever their "
        "dates. Proved: they cannot all be hung, but they can without any one of them."
    )


def test_beside_those_that_hang():
    assert why(cause="beside", pupae=("a",), hanging=("h1", "h2"), minimal=True, last=date(2027, 7, 14)) == (
        "1 pupa (a), due 14 Jul, finds no spot: beside the free spots hang others, due less than 2 days "
        "apart. These may not be moved: h1 (north 8 cm), h2 (north 12 cm). Proved."
    )


def test_two_that_may_not_be_touched():
    assert why(
        cause="held", pupae=("h1", "h2"), spots=(("north", "8"), ("north", "12")), room=1, minimal=True,
        why=("hangs already", "soft"),
    ) == (
        "h1 (north 8 cm, due 14 Jul) and h2 (north 12 cm, due 15 Jul) are too close, and neither may be "
        "moved. h1: hangs already; h2: soft."
    )  # fmt: skip


def test_of_very_many_that_may_not_be_touched_some_are_named_and_the_rest_counted():
    held = Reason(
        cause="held", pupae=("h1", "h2"), spots=(("north", "8"), ("north", "12")), room=1, minimal=True,
        why=("soft", "soft"), **DAYS,
    )  # fmt: skip
    other = Reason(cause="other", pupae=("a", "b"), room=1, minimal=True, **DAYS)
    assert len(reason_texts(SEASON, PLAN, (held,) * 12)) == 12
    *named, more, last = reason_texts(SEASON, PLAN, (*(held,) * 3000, other))
    assert (len(named), more) == (12, "So are 2988 more pairs of the clashes: neither may be moved.")
    assert last.startswith("2 pupae (a, b)")


def test_spots_out_of_use():
    shut = (Unusable(place="north", count=14, why="230 cm high, above keeper reach (190 cm)"),)
    assert why(cause="unusable", pupae=("a", "b"), room=1, unusable=shut, minimal=False) == (
        "2 pupae (a, b), due 14 Jul to 15 Jul, could be hung if every spot could be used; as it is, there is "
        "room for only 1. Not used: 14 spots on north (230 cm high, above keeper reach (190 cm)). "
        "Proved for a, b; fewer of them may be too many already."
    )


def test_several_dates_together():
    assert why(cause="other", pupae=("a", "b", "c"), room=2, minimal=True) == (
        "3 pupae (a, b, c), due 14 Jul to 15 Jul, cannot all be hung so that no neighbours are due less than "
        "2 days apart. There is room for only 2 of them. "
        "Proved: they cannot all be hung, but they can without any one of them."
    )


def test_under_a_risk_the_reason_speaks_of_chances():
    plan = replace(PLAN, gap_days=0, settings={"risk": 0.02})
    reason = Reason(cause="other", pupae=("a", "b"), room=1, minimal=True, **DAYS)
    (text,) = reason_texts(SEASON, plan, (reason,))
    assert "more than 2 % likely to dry their wings together" in text


def test_each_way_out_in_words():
    assert way(MoreSpots(place="north", count=1, more=4, length=64)) == (
        "1 more spot at the end of north: make it 64 cm long"
    )
    assert way(MoreSpots(place="yarn", count=0, more=4.5, length=64.5)) == (
        "4.5 cm more of yarn: make it 64.5 cm long"
    )
    assert way(MoreSpots(place="cork", count=2, more=10, length=70)) == (
        "2 more columns of pins on cork: make it 70 cm wide"
    )
    assert way(SmallerGap(days=1.5)) == "a gap of 1.5 days instead of 2 days: plan --gap 1.5; riskier"
    assert way(Rehang(pupae=("h1",))) == "re-hang 1 that hangs already: h1 (plan --rehang)"
    assert way(Cards(dividers=(Divider(("north", "8"), ("north", "12")),))) == (
        "1 card, stiff and clear of wings, between north 8 cm and north 12 cm (dividers: in season.yaml)"
    )
    assert way(Wait(until=datetime(2027, 7, 11, 12), gone=("h1", "h2"), firm=("m7",))) == (
        "wait and plan again on Sun 11 Jul 12:00, if by then h1, h2 have emerged and m7 is firm as reckoned"
    )


def test_many_cards_are_not_listed_one_by_one():
    cards = tuple(Divider(("north", f"{4 * k}"), ("north", f"{4 * k + 4}")) for k in range(1, 8))
    assert way(Cards(dividers=cards)) == (
        "7 cards, stiff and clear of wings, between the two of each clash (dividers: in season.yaml)"
    )


def test_what_is_not_proved_to_be_least_says_so():
    assert way(Rehang(pupae=("h1", "h2"), least=False)) == (
        "re-hang 2 that hang already: h1, h2 (plan --rehang) (perhaps less would do: not proved)"
    )


def test_what_does_not_help_stands_last_in_one_row():
    ways = [NoWay(of="gap"), Rehang(pupae=("h1",)), NoWay(of="cards", why="a and b are on a lid")]
    assert way_texts(SEASON, ways) == (
        "re-hang 1 that hangs already: h1 (plan --rehang)",
        "Tried in vain: a smaller gap; cards (a and b are on a lid)",
    )


def test_what_leaves_fewer_clashes_is_told_after_the_ways_out():
    ways = [Rehang(pupae=("h1", "h2"), least=False, clashes=1, instead=6), SmallerGap(days=1.5)]
    gap, fewer = way_texts(SEASON, ways)
    assert fewer == (
        "Leaves fewer: 1 clash is left instead of 6, "
        "if you re-hang 2 that hang already: h1, h2 (plan --rehang)"
    )
    assert [options(way) for way in ways] == [("--rehang",), ("--gap", "1.5")]
    text = shown(ways_out=(gap, fewer))
    assert "gap:\n  - " not in text
    assert text.index("  - a gap of") < text.index("  Leaves fewer: 1 clash is left")
    alone = shown(ways_out=(fewer,))
    assert "Ways out." not in alone
    assert "\nLeaves fewer: 1 clash is left" in alone


def test_inches_are_told_to_who_writes_in_inches():
    season = replace(SEASON, units="in")
    (text,) = way_texts(season, [MoreSpots(place="north", count=2, more=10.16, length=50.8)])
    assert text == "2 more spots at the end of north: make it 20 in long"


def shown(**told):
    pupae = [Pupa(id=i, species="monarch", pupated=When(date(2027, 7, 4)), place="tub") for i in ("h1", "h2")]
    season = replace(SEASON, pupae=tuple(pupae))
    clash = TooClose(a="h1", b="h2", gap=1, distance=4)
    return str(summary(season, replace(PLAN, clashes=(clash,), **told), {}))


def test_the_summary_shows_both_in_eighty_columns():
    text = shown(reason=("Because. " * 20,), ways_out=("one " * 30, "Tried in vain: a smaller gap"))
    assert max(map(columns, text.splitlines())) <= 80
    assert "\nWhy: Because. Because." in text
    assert "\nWays out. Each alone leaves no clash, at the least price of its kind:\n  - one one" in text
    assert "\n  Tried in vain: a smaller gap\n" in text


def test_where_nothing_helps_that_is_said():
    text = shown(ways_out=("Tried in vain: a smaller gap",))
    assert text.splitlines()[4] == "Tried in vain: a smaller gap"
    assert "Ways out." not in text
    assert "No way out" not in text


def test_what_only_puts_it_off_is_told_as_a_delay_with_what_happens_then():
    until = datetime(2027, 7, 10, 12)
    spots = MoreSpots(place="north", count=2, more=8, length=68, least=True)
    off = HoldBack(pupae=("a",), until=until, then=False)
    first, delay = way_texts(SEASON, [off, spots])
    assert first == "2 more spots at the end of north: make it 68 cm long"
    told = "Only puts it off: leave 1 pupa on its lid until Sat 10 Jul 12:00, hang the others and plan again"
    assert delay == (
        f"{told} then: a (plan --wait). As reckoned nobody has emerged by then, and there is no plan without "
        "clashes then either"
    )
    assert way(replace(off, gone=("b", "c"), then=True, least=False)) == (
        f"{told} then: a (plan --wait; perhaps fewer would do: not proved). As reckoned b, c have emerged by "
        "then, and perhaps all find a spot then"
    )
    assert way(replace(off, then=None)).endswith("and whether all find a spot then was not found out")


def test_a_delay_is_not_listed_among_the_ways_that_leave_no_clash():
    delay = way(HoldBack(pupae=("a",), until=datetime(2027, 7, 10, 12), then=False))
    text = shown(ways_out=("one one", delay))
    assert "\n  - one one\n  Only puts it off: leave 1 pupa" in text
    assert "- Only" not in text
    alone = shown(ways_out=(delay,))
    assert "No way out was found" in alone
    assert "Ways out." not in alone
