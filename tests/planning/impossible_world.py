"""Impossible seasons whose cause is known, and how each way out is applied.

Marks are 4 cm apart and a wing reach is 10: two marks in between keep two of one date apart (12 cm). The gap
is 2 days.
"""

from dataclasses import replace
from datetime import timedelta
from functools import cache

from season_world import ON, line, plan_of, pupa, season, tub

from planner.engine.model.solver import Clock, Effort
from planner.planning.infeasible.ways_out import explain_plan
from planner.season import Board, Line, When


def many(names, number, **more):
    return [pupa(name, number, **more) for name in names]


SEASONS = {
    # Of 7 marks the first, fourth and seventh are out of reach of one another: room for 3 of one date.
    "four of one date": season([tub(clear=True), line(marks=7)], many("abcd", 5)),
    # Dates two days apart may hang side by side, but there are 3 marks.
    "more than spots": season(
        [tub(clear=True), line(marks=3)], [pupa("a", 1), pupa("b", 3), pupa("c", 5), pupa("d", 7)]
    ),
    # h on the second mark of four is within reach of all others.
    "beside one that hangs": season(
        [tub(clear=True), line(marks=4)], [pupa("h", 5, "n", spot="8"), pupa("a", 5)]
    ),
    "two that hang side by side": season(
        [tub(), line(marks=5)], [pupa("h", 5, "n", spot="4"), pupa("k", 5, "n", spot="8")]
    ),
    # To stay, both of them, on a lid, where no card can stand.
    "two told to stay": season(
        [tub(), line(marks=5)], [pupa("a", 5, x=5, y=5, stay=True), pupa("b", 5, x=8, y=5, stay=True)]
    ),
    "out of reach": season(
        [tub(clear=True), Line(name="n", length=22, height=230, clips_every=4)], [pupa("a", 5)], highest=190.0
    ),
    # One mark; on the low line the marks have 7 cm below them, and 11 are needed.
    "too little room below": season(
        [tub(clear=True), line(marks=1), Line(name="low", length=9, height=12, clips_every=4, below=5)],
        [pupa("a", 3), pupa("b", 5)],
    ),
    # Two pins 5 cm apart.
    "a small board": season(
        [tub(clear=True), Board(name="cork", width=10, height=5, pins_every=5, bottom=100)], many("ab", 5)
    ),
    # Clips slide from 1 to 8 cm: 7 cm apart at most.
    "a short yarn": season(
        [tub(clear=True), Line(name="yarn", length=9, height=150, clip_width=3)], many("ab", 5)
    ),
    # The one mark is taken by h, which is about to emerge.
    "taken until tomorrow": season(
        [tub(clear=True), line(marks=1)], [pupa("h", When.parse("2027-06-29"), "n", spot="4"), pupa("a", 5)]
    ),
    # b, a day from a and from c, needs one end of the four marks; a and c then both need the other.
    "one between two dates": season(
        [tub(clear=True), line(marks=4)], [pupa("a", 4), pupa("b", 5), pupa("c", 6)]
    ),
    # Days in between: two a day apart may hang together at a gap of one day.
    "a day apart": season([tub(clear=True), line(marks=2)], [pupa("a", 4), pupa("b", 5)]),
}


def unmet(case, on=ON, **options):
    """Clashes of the best plan, and those left on lids to be cleared."""
    plan = plan_of(case, on, **options)
    return len(plan.clashes) + len(plan.left)


@cache
def found(name):
    case = SEASONS[name]
    return explain_plan(case, plan_of(case), Effort(Clock(20), workers=1))


def ways(name, kind):
    return [way for way in found(name).ways if way.kind == kind]


def lengthened(case, way, less=0.0):
    """With the marks, columns or cm of a way out, or ``less`` of them."""
    place = case.place[way.place]
    wanted = (way.count or way.more) - less
    after = place.longer(wanted)
    return replace(case, places=tuple(after if p is place else p for p in case.places))


def emerged(case, gone, on):
    pupae = (replace(p, outcome="emerged", ended=When(on.date())) if p.id in gone else p for p in case.pupae)
    return replace(case, pupae=tuple(pupae))


def kept(case, names):
    """With some that are to stay."""
    return replace(case, pupae=tuple(replace(p, stay=p.stay or p.id in names) for p in case.pupae))


def day_before(moment):
    return moment - timedelta(days=1)
