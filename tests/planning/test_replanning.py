"""A porch season planned again when newcomers are firm: only they are touched, and that is proved."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

from season_world import level

from planner.emergence import known_species
from planner.planning.make_plan import make_plan
from planner.season import Pupa, When, load
from planner.verify import verify

PORCH = Path(__file__).parents[2] / "examples" / "porch"
ON = datetime(2027, 7, 12, 12)


def carried_out(season, plan):
    """The season once everybody hangs where the plan says."""
    to = {m.pupa: m for m in plan.moves}
    return replace(
        season,
        pupae=tuple(
            replace(p, place=to[p.id].to_place, spot=to[p.id].to_spot, x=None, y=None) if p.id in to else p
            for p in season.pupae
        ),
    )


def with_newcomers(season, count, day):
    """So many more on tub-2, not measured: each counts as everybody's neighbour there."""
    new = tuple(Pupa(id=f"new{i}", species="monarch", pupated=When(day), place="tub-2") for i in range(count))
    return replace(season, pupae=season.pupae + new)


def test_five_newcomers_are_touched_and_nobody_else():
    season = load(PORCH, known_species())
    first = make_plan(season, ON, workers=1)
    hung = carried_out(season, first)
    assert make_plan(hung, ON, workers=1).moves == ()  # nothing is left to do
    # Pupated on the 13th: firm from the 15th. Who was soft on the 12th is firm by then as well.
    later = with_newcomers(hung, 5, date(2027, 7, 13))
    again = make_plan(later, ON + timedelta(days=3), workers=1)
    assert verify(later, again) == []
    assert again.clashes == ()
    moved = {m.pupa for m in again.moves}
    # One of the five may stay on the lid: it is alone there then.
    assert moved < {f"new{i}" for i in range(5)} | {"m34", "m35"}
    assert len(moved & {f"new{i}" for i in range(5)}) == 4
    assert level(again, "touched").proved


def test_where_it_is_impossible_to_touch_only_newcomers_the_plan_still_touches_nobody_that_hangs():
    season = load(PORCH, known_species())
    hung = carried_out(season, make_plan(season, ON, workers=1))
    crowd = with_newcomers(hung, 30, date(2027, 7, 13))
    plan = make_plan(crowd, ON + timedelta(days=3), workers=1, seconds=5)
    assert verify(crowd, plan) == []
    places = {p.id: p.place for p in crowd.pupae}
    assert all(places[m.pupa].startswith("tub") for m in plan.moves)
