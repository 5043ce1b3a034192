"""Yarn with clips that slide: what is proved of a season holds against every way to hang it by hand."""

import math
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st
from season_world import ON, day, pupa, season, tub
from tries import tries

from planner.emergence import forecasts
from planner.planning.make_plan import make_plan
from planner.season import Line
from planner.season.places.dividers import Divider
from planner.verify import verify

KNOT = {"cm": 1.0, "in": 1.27}  # free at both ends of a yarn, in cm
TINY = 1e-6


def by_hand(line, units):
    """Every position that a ruler has: whole multiples of ``to_nearest``, both knots free."""
    most = math.floor(line.length / line.to_nearest) + 1
    along = (k * line.to_nearest for k in range(most + 1))
    return [x for x in along if KNOT[units] - TINY <= x <= line.length - KNOT[units] + TINY]


def in_room(line, x):
    return (line.left or 0.0) + x, line.front or 0.0, line.height


def neighbours(case, a, b):
    """Closer than a wing reach, or under one another within the drop; a card between them parts two."""
    (one, x), (other, y) = a, b
    if one is not other and not (one.located and other.located):
        return False
    cm = case.cm_per_unit
    for card in case.dividers:
        (p, px), (q, qx) = ((name, float(spot) * cm) for name, spot in (card.a, card.b))
        for (n, at), (m, bt) in (((p, px), (q, qx)), ((q, qx), (p, px))):
            if (one.name, other.name) == (n, m) and abs(x - at) < TINY and abs(y - bt) < TINY:
                return False
    (x1, y1, z1), (x2, y2, z2) = in_room(one, x), in_room(other, y)
    sideways = math.hypot(x1 - x2, y1 - y2)
    under = sideways < case.wing_reach - TINY and abs(z1 - z2) <= case.drop + TINY
    return under or math.hypot(sideways, z1 - z2) < case.wing_reach - TINY


def fewest(case, dues):
    """(left on their lids, clashes) of the best way of all to hang those on lids."""
    line = {place.name: place for place in case.places if isinstance(place, Line)}
    hung = [
        ((line[p.place], float(p.spot) * case.cm_per_unit), dues[p.id]) for p in case.pupae if p.place in line
    ]
    movers = sorted((p for p in case.pupae if p.place not in line), key=lambda p: dues[p.id])
    free = [(place, x) for place in line.values() for x in by_hand(place, case.units)]
    best = (len(movers) + 1, 0)

    def beside(spot, due, others):
        return sum(abs(due - d) < case.gap_days - TINY and neighbours(case, spot, at) for at, d in others)

    def fits(spot, others):
        return all(
            spot[0] is not at[0] or abs(spot[1] - at[1]) >= spot[0].clip_width - TINY for at, _ in others
        )

    def hang(k, others, left, clashes):
        nonlocal best
        if (left, clashes) >= best:
            return
        if k == len(movers):
            best = (left, clashes)
            return
        due = dues[movers[k].id]
        for spot in free:
            if fits(spot, others):
                hang(k + 1, [*others, (spot, due)], left, clashes + beside(spot, due, others))
        hang(k + 1, others, left + 1, clashes)

    at_hand = sum(
        abs(d - e) < case.gap_days - TINY and neighbours(case, a, b)
        for (a, d), (b, e) in combinations(hung, 2)
    )
    hang(0, hung, 0, at_hand)
    return best


@st.composite
def yarns(draw):
    units = draw(st.sampled_from(["cm", "in"]))
    cm = 1.0 if units == "cm" else 2.54
    some = st.sampled_from
    unit = cm * draw(some([0.5, 0.7, 1, 1.5, 2, 3] if units == "cm" else [0.25, 0.3, 0.5, 1]))
    clip = cm * draw(some([1, 1.5, 2, 3, 4] if units == "cm" else [0.5, 0.75, 1, 1.5]))
    length = cm * draw(some([5, 7, 8, 9, 10, 11, 12, 13] if units == "cm" else [2, 3, 4, 4.5, 5]))
    reach = cm * draw(some([2, 3, 5, 6, 10] if units == "cm" else [1, 2, 3, 4]))
    stands = draw(some([None, None, (0, 0, 0), (2, 0, 10), (0, 4, 3), (1, 0, 30)]))
    lines = [Line(name="n", length=length, height=150, clip_width=clip, to_nearest=unit, below=0)]
    if stands is not None:
        left, front, lower = stands
        lines = [
            Line(name="n", length=length, height=150, clip_width=clip, to_nearest=unit, left=0, front=0),
            Line(
                name="s",
                length=length / 2 + 1,
                height=150 - lower,
                clip_width=clip,
                to_nearest=unit,
                left=left,
                front=front,
            ),
        ]
    pupae = [pupa(f"m{k}", draw(st.integers(1, 7)), f"t{k}") for k in range(draw(st.integers(1, 3)))]
    if draw(st.booleans()):
        at = draw(some([0.3, 0.5, 0.8])) * length / cm
        pupae.append(pupa("h", draw(st.integers(1, 7)), "n", spot=f"{at:.4g}", hung=day(8)))
    cards = ()
    if draw(st.integers(0, 3)) == 0:
        a = draw(some([1, 1.5, 2])) * unit / cm
        b = a + draw(some([1, 1.5, 2, 3])) * clip / cm
        if b * cm < length:
            cards = (Divider(("n", f"{a:.6g}"), ("n", f"{b:.6g}")),)
    lids = [tub(f"t{k}", clear=True) for k in range(3)]
    return season(
        [*lids, *lines],
        pupae,
        units=units,
        wing_reach=reach,
        drop=20,
        dividers=cards,
        lowest=0,
        highest=300,
        clearance=0,
    )


def told(case):
    """The plan's levels; what comes after whom it leaves and who clashes is not asked for."""
    later = {"fewest trouble", "least risk, elbow room and carrying"}
    heard = []
    plan = make_plan(
        case, ON, seconds=20, workers=1, progress=heard.append, stop=lambda: not later.isdisjoint(heard)
    )
    assert verify(case, plan) == []
    return {level.name: level for level in plan.proof}, plan


@given(yarns())
@tries(30)
def test_no_way_to_hang_by_hand_is_better_than_what_is_proved(case):
    now = forecasts(case, ON)
    first = min(f.due.median for f in now.values())
    dues = {name: (f.due.median - first).total_seconds() / 86400 for name, f in now.items()}
    left, clashes = fewest(case, dues)
    levels, plan = told(case)
    assert len(plan.clashes) >= clashes or len(plan.left) > left
    assert levels["left"].bound <= left
    if levels["left"].proved:
        assert levels["left"].value == left
        assert levels["clashes"].bound <= clashes
        if levels["clashes"].proved:
            assert levels["clashes"].value == clashes


def test_two_of_one_day_fit_on_a_short_yarn_in_steps_of_two_centimetres():
    # 13 cm with a knot's centimetre at either end: 2, 4 … 12. Ten apart they are no neighbours.
    yarn = Line(name="s", length=13, height=150, clip_width=3, to_nearest=2)
    plan = make_plan(season([tub(clear=True), yarn], [pupa("a", 1), pupa("b", 1)]), ON, workers=1)
    assert (plan.clashes, plan.left) == ((), ())
    assert sorted(h.x for h in plan.hangs) == [2, 12]
