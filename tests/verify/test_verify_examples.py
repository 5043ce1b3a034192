"""Each rule is broken in turn in the plan of each example, and the verifier says so."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from pathlib import Path

import pytest

from planner.cli.shell.season_files import open_season
from planner.planning.make_plan import make_plan
from planner.season import Kept, Level, Lid, Pupa, Stuck, TooClose, Waits
from planner.verify import RULES, verify

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ("porch", "classroom", "butterfly-house", "too-crowded")


@cache
def planned(name):
    season = open_season(EXAMPLES / name)
    on = max(p.pupated.latest for p in season.pupae if p.pupated) + timedelta(days=1)
    plan = make_plan(season, on, seconds=2, workers=1)
    assert verify(season, plan) == []
    assert plan.moves
    return season, plan


def hang(plan, name, **changes):
    return replace(plan, hangs=tuple(replace(h, **changes) if h.pupa == name else h for h in plan.hangs))


def move(plan, step, **changes):
    return replace(plan, moves=tuple(replace(m, **changes) if m.step == step else m for m in plan.moves))


def to(plan, m, place, spot, x, y=0.0):
    """Hang the pupa of a move elsewhere, by the list and in the end."""
    return move(hang(plan, m.pupa, place=place, spot=spot, x=x, y=y), m.step, to_place=place, to_spot=spot)


def parked(plan, m, place, spot):
    """One more stop for the last pupa of the list."""
    on = replace(m, step=m.step + 1, from_place=place, from_spot=spot, after=(*m.after, m.step))
    plan = move(plan, m.step, to_place=place, to_spot=spot)
    return replace(plan, moves=(*plan.moves, on))


def same_spot(season, plan):
    first, last = plan.moves[0], plan.moves[-1]
    there = next(h for h in plan.hangs if h.pupa == first.pupa)
    return to(plan, last, there.place, there.spot, there.x, there.y)


def touched(season, plan):
    """Take one that must not be moved, or else ask for the first mover to be left."""
    who = plan.moves[0].pupa
    return replace(season, pupae=tuple(replace(p, stay=p.id == who or p.stay) for p in season.pupae)), plan


def clips(season, plan):
    """Two movers a hair apart on a line with sliding clips."""
    wide = next((p for p in season.places if getattr(p, "clip_width", None)), None)
    if wide is None or len(plan.moves) < 2:
        return None
    a, b = plan.moves[0], plan.moves[1]
    u = season.cm_per_unit
    return to(to(plan, a, wide.name, "10", 10 * u), b, wide.name, "10.5", 10.5 * u)


def lid(season, plan):
    others = (p for p in season.places if isinstance(p, Lid) and p.name != plan.moves[0].from_place)
    there = next(others, None)
    return there and to(plan, plan.moves[0], there.name, "1,1", 1.0, 1.0)


def sick_there(season, plan):
    """One was sick where the first mover is to hang, and that is not cleaned."""
    first = plan.moves[0]
    sick = Pupa(id="zz3", species=season.species, pupated=None, place=first.to_place, spot=first.to_spot,
                outcome="parasitised")  # fmt: skip
    return replace(season, pupae=(*season.pupae, sick)), plan


def unlisted_clash(_season, plan):
    """All that hang at once due: nobody keeps any gap, and no pair is listed."""
    return replace(plan, gap_days=60.0, clashes=(), waiting=())


FIRST = TooClose(a="zz1", b="zz2", gap=0.0, distance=1.0)
NOBODY = Kept(who="nobody", place="attic", spot="1", since=datetime(2027, 7, 9), due=date(2027, 7, 20))

# For each rule one way to break it: (season, plan) -> plan, or (season, plan); None where it cannot be here.
BREAK = {
    "once": lambda _, p: replace(p, hangs=p.hangs[1:]),
    "spot": lambda _, p: to(p, p.moves[0], p.moves[0].to_place, "9999", 9999.0),
    "position": lambda _, p: hang(p, p.moves[0].pupa, x=1.234),
    "clips": clips,
    "shared": same_spot,
    "lid": lid,
    "reach": lambda s, p: (replace(s, highest=s.lowest + 0.1), p),
    "clearance": lambda s, p: (replace(s, clearance=400.0), p),
    "closed": sick_there,
    "touch": touched,
    "from": lambda _, p: hang(p, p.moves[0].pupa, from_place=None),
    "left": lambda _, p: replace(p, left=(*p.left, p.moves[0].pupa)),
    "due": lambda _, p: hang(p, p.moves[0].pupa, due=date(2030, 1, 1)),
    "dates": lambda _, p: hang(p, p.moves[0].pupa, due=date(2030, 1, 1)),
    "moves": lambda _, p: replace(p, moves=p.moves[1:]),
    "time": lambda _, p: move(p, 1, not_after=p.on - timedelta(hours=1)),
    "order": same_spot,
    "after": lambda _, p: move(p, 1, after=(1,)),
    "park": lambda _, p: parked(p, p.moves[-1], "attic", "4"),
    "stuck": lambda _, p: replace(p, stuck=(Stuck(pupa=p.moves[0].pupa, why="no spot is free"),)),
    "waits": lambda _, p: replace(p, waits=(Waits(pupa=p.moves[0].pupa, until=p.on + timedelta(days=1)),)),
    "clash": unlisted_clash,
    "listed": lambda _, p: replace(p, clashes=(*p.clashes, FIRST)),
    "evenings": lambda _, p: replace(p, hoped=(replace(NOBODY, who=p.moves[0].pupa),)),
    "kept": lambda _, p: replace(p, kept=(*p.kept, NOBODY)),
    "proof": lambda _, p: replace(p, proof=(Level(name="clashes", value=99, bound=0, proved=True),)),
    "reason": lambda _, p: replace(p, clashes=(), left=(), reason=("few spots",)),
}  # fmt: skip


def test_every_rule_has_a_way_to_break_it():
    assert set(BREAK) == {name for name, _ in RULES}


@pytest.mark.parametrize("name", NAMES)
def test_each_rule_broken_in_the_plan_of_an_example_is_told(name):
    season, plan = planned(name)
    untold, here = [], 0
    for rule, change in BREAK.items():
        if (spoiled := change(season, plan)) is None:
            continue
        here += 1
        case = spoiled if isinstance(spoiled, tuple) else (season, spoiled)
        if rule not in {b.rule for b in verify(*case)}:
            untold.append(rule)
    assert untold == []
    assert here >= len(BREAK) - 2  # not everywhere are there clips that slide, or another lid


def test_no_rule_is_passed_over_in_all_examples():
    without = {
        "clips"
    }  # no example has clips that slide: tests/verify/test_verify_mutations.py breaks that rule
    done = {rule for rule, change in BREAK.items() if change(*planned("porch")) is not None}
    assert done == set(BREAK) - without
