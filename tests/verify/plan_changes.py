"""Small seasons drawn at random, and every kind of small change to a plan, for the two verifiers to judge."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

from hypothesis import strategies as st

from planner.season import Board, Expected, Lid, Line, Pupa, Season, TooClose, When
from planner.season.places.dividers import Divider
from planner.season.plan.plan_record import Kept, Stuck, Waits
from planner.season.season import SpeciesEntry

ON = datetime(2027, 7, 9, 12)
SPOTS = ("4", "8", "12", "6", "6.5", "9.5", "12.5", "30.3", "04", "r1p1", "r1p2", "r2p1", "r9p9", "?", "1e1")
PLACES = ("north", "south", "cork", "tub", "pail", "attic")


@st.composite
def small_seasons(draw):
    """A line with marks, one with sliding clips, a board and two lids; up to five pupae."""
    cm = st.sampled_from([None, 0, 6])
    stands = [{"left": draw(cm), "front": draw(cm)} for _ in range(4)]
    places = (
        Line(name="north", length=18, height=150, clips_every=4, **stands[0]),
        Line(name="south", length=16, height=draw(st.sampled_from([140, 165])), clip_width=3, **stands[1]),
        Board(name="cork", width=12, height=9, pins_every=4.5, pattern="staggered",
              bottom=draw(st.sampled_from([35, 125])), **stands[2]),
        Lid(name="tub", width=40, length=28, clear=draw(st.booleans()), height=120, **stands[3]),
        Lid(name="pail", width=30, length=30),
    )  # fmt: skip
    some = draw(st.integers(1, 4 if draw(st.booleans()) else 8))
    places = tuple(p for n, p in enumerate(places) if n >= 3 or some & (1 << n) or n == 0)
    pupae = []
    for k in range(draw(st.integers(2, 5))):
        number = draw(st.sampled_from([None, 1, 2, 3, 4, 5, 6, 7, 8]))
        when = When(date(2027, 7, number)) if number else None
        x, y = draw(st.sampled_from([(None, None), (4 + 3 * k, 5), (4 + 12 * k % 30, 20)]))
        where = {"place": draw(st.sampled_from(["tub", "tub", "pail"])), "x": x, "y": y}
        if number and draw(st.integers(0, 3)) == 0:
            where = draw(
                st.sampled_from([{"place": "north", "spot": "4"}, {"place": "north", "spot": "9.3"}])
            )
            if any(p.spot == where["spot"] for p in pupae):
                where = {"place": "pail"}
        stay = draw(st.integers(0, 7)) == 0
        species = "slow" if number == 2 else "monarch"  # at 23 °C it stands still: it has no date
        pupae.append(Pupa(id=f"m{k}", species=species, pupated=when, stay=stay, **where))
    cards = st.sampled_from([(), (Divider(("north", "4"), ("north", "8")),)])
    return Season(
        folder=Path("season"), name="small", places=places, pupae=tuple(pupae), lowest=40, highest=160,
        profiles={"slow": SpeciesEntry(lower=25, requirement=100)},
        dividers=draw(cards), risk=draw(st.sampled_from([None, None, None, 0.05])),
        expected=draw(st.sampled_from([(), (Expected(date(2027, 7, 10), 1, "monarch"),)])),
    )  # fmt: skip


def _one(draw, items):
    """An index of one of the items, or None."""
    return draw(st.integers(0, len(items) - 1)) if items else None


def _with(items, n, **changes):
    return tuple(replace(x, **changes) if k == n else x for k, x in enumerate(items))


def rehung(draw, plan):
    n = _one(draw, plan.hangs)
    return replace(plan, hangs=_with(plan.hangs, n, place=draw(st.sampled_from(PLACES)),
                                     spot=draw(st.sampled_from(SPOTS))))  # fmt: skip


def moved_elsewhere(draw, plan):
    """Hang and last step agree on another spot, with the position that belongs to it or the old one."""
    if (n := _one(draw, plan.moves)) is None:
        return plan
    m = plan.moves[n]
    place, spot = draw(st.sampled_from(PLACES[:5])), draw(st.sampled_from(SPOTS))
    x = float(spot) if spot[0].isdigit() else 2.25
    k = next((k for k, h in enumerate(plan.hangs) if h.pupa == m.pupa), None)
    plan = replace(plan, moves=_with(plan.moves, n, to_place=place, to_spot=spot))
    hangs = _with(plan.hangs, k, place=place, spot=spot, x=x, y=0.0)
    return plan if k is None else replace(plan, hangs=hangs)


def swapped(draw, plan):
    a, b = _one(draw, plan.hangs), _one(draw, plan.hangs)
    one, two = plan.hangs[a], plan.hangs[b]
    hangs = _with(plan.hangs, a, place=two.place, spot=two.spot, x=two.x, y=two.y)
    hangs = _with(hangs, b, place=one.place, spot=one.spot, x=one.x, y=one.y)
    there = {one.pupa: (two.place, two.spot), two.pupa: (one.place, one.spot)}
    moves = tuple(
        replace(m, to_place=there[m.pupa][0], to_spot=there[m.pupa][1]) if m.pupa in there else m
        for m in plan.moves
    )
    return replace(plan, hangs=hangs, moves=moves if draw(st.booleans()) else plan.moves)


def dropped(draw, plan):
    n = _one(draw, plan.hangs)
    gone = plan.hangs[n].pupa
    moves = plan.moves if draw(st.booleans()) else tuple(m for m in plan.moves if m.pupa != gone)
    return replace(plan, hangs=tuple(h for k, h in enumerate(plan.hangs) if k != n), moves=moves)


def doubled(draw, plan):
    return replace(plan, hangs=(*plan.hangs, plan.hangs[_one(draw, plan.hangs)]))


def due_changed(draw, plan):
    n = _one(draw, plan.hangs)
    other = draw(st.sampled_from([None, date(2027, 7, 14), date(2027, 7, 15)]))
    return replace(plan, hangs=_with(plan.hangs, n, due=other))


def slid(draw, plan):
    n = _one(draw, plan.hangs)
    x = plan.hangs[n].x
    by = draw(st.sampled_from([-2, -0.5, 0.003, 0.5, 2]))
    changes = {"x": None} if x is None else {"x": x + by}
    if x is not None and draw(st.booleans()):
        changes["spot"] = f"{x + by:g}"
        k = next((k for k, m in enumerate(plan.moves) if m.pupa == plan.hangs[n].pupa), None)
        if k is not None:
            plan = replace(plan, moves=_with(plan.moves, k, to_spot=changes["spot"]))
    return replace(plan, hangs=_with(plan.hangs, n, **changes))


def source_changed(draw, plan):
    n = _one(draw, plan.hangs)
    return replace(plan, hangs=_with(plan.hangs, n, from_place=draw(st.sampled_from([None, *PLACES]))))


def pair_dropped(draw, plan):
    where = draw(st.sampled_from(["clashes", "waiting"]))
    return replace(plan, **{where: getattr(plan, where)[1:]})


def pair_to_the_other_list(draw, plan):
    if draw(st.booleans()):
        return replace(plan, waiting=plan.clashes, clashes=plan.waiting)
    return replace(plan, waiting=plan.waiting + plan.clashes)


def pair_invented(draw, plan):
    a, b = (plan.hangs[_one(draw, plan.hangs)].pupa for _ in "ab")
    pair = TooClose(
        a=a, b=b, gap=draw(st.sampled_from([0.0, 1.0])), distance=draw(st.sampled_from([None, 4.0]))
    )
    where = draw(st.sampled_from(["clashes", "waiting"]))
    return replace(plan, **{where: (*getattr(plan, where), pair)})


def pair_falsified(draw, plan):
    where = draw(st.sampled_from(["clashes", "waiting"]))
    pairs = getattr(plan, where)
    if (n := _one(draw, pairs)) is None:
        return plan
    changes = draw(st.sampled_from([{"gap": 1.5}, {"distance": 3.0}, {"distance": None}]))
    return replace(plan, **{where: _with(pairs, n, **changes)})


def steps_exchanged(draw, plan):
    """Two steps change their places in the order; what is to be done after which is renamed or not."""
    if len(plan.moves) < 2:
        return plan
    a, b = _one(draw, plan.moves), _one(draw, plan.moves)
    one, two = plan.moves[a].step, plan.moves[b].step
    name = {one: two, two: one} if draw(st.booleans()) else {}
    moves = _with(_with(plan.moves, a, step=two), b, step=one)
    return replace(plan, moves=tuple(replace(m, after=tuple(name.get(x, x) for x in m.after)) for m in moves))


def after_changed(draw, plan):
    if (n := _one(draw, plan.moves)) is None:
        return plan
    return replace(
        plan, moves=_with(plan.moves, n, after=draw(st.sampled_from([(), (1,), (2,), (1, 2), (9,)])))
    )


def window_changed(draw, plan):
    if (n := _one(draw, plan.moves)) is None:
        return plan
    which = draw(st.sampled_from(["not_before", "not_after"]))
    by = timedelta(hours=draw(st.sampled_from([-200, -30, -1, 1, 30, 200])))
    return replace(plan, moves=_with(plan.moves, n, **{which: getattr(plan.moves[n], which) + by}))


def move_dropped(draw, plan):
    if (n := _one(draw, plan.moves)) is None:
        return plan
    moves = tuple(
        replace(m, step=m.step - (m.step > plan.moves[n].step)) for k, m in enumerate(plan.moves) if k != n
    )
    return replace(plan, moves=moves)


def parked(draw, plan):
    """One more stop on the way, on any spot."""
    if (n := _one(draw, plan.moves)) is None:
        return plan
    m = plan.moves[n]
    place, spot = draw(st.sampled_from(PLACES)), draw(st.sampled_from(SPOTS))
    first = replace(m, to_place=place, to_spot=spot)
    last = max(x.step for x in plan.moves) + 1
    goes_on = replace(m, step=last, from_place=place, from_spot=spot, after=(m.step,))
    if draw(st.integers(0, 3)) == 0:
        goes_on = replace(goes_on, after=())
    return replace(
        plan, moves=(*_with(plan.moves, n, to_place=first.to_place, to_spot=first.to_spot), goes_on)
    )


def kept_changed(draw, plan):
    who = draw(st.sampled_from(["expected 2027-07-10 monarch", "m0", "m1", "nobody"]))
    since = draw(st.sampled_from([datetime(2027, 7, 10), datetime(2027, 7, 12), datetime(2027, 7, 1)]))
    new = Kept(who=who, place=draw(st.sampled_from(PLACES)), spot=draw(st.sampled_from(SPOTS)),
               since=since, due=date(2027, 7, 21))  # fmt: skip
    if (n := _one(draw, plan.kept)) is None:
        return replace(plan, kept=(new,))
    spot, place = draw(st.sampled_from(SPOTS)), draw(st.sampled_from(PLACES))
    changes = draw(st.sampled_from([{"spot": spot}, {"place": place, "spot": spot}, {"since": since},
                                    {"due": date(2027, 7, 1)}, {"who": who}]))  # fmt: skip
    return replace(plan, kept=_with(plan.kept, n, **changes))


def kept_doubled(_draw, plan):
    return replace(plan, kept=(*plan.kept, *plan.kept))


def level_changed(draw, plan):
    """One number of one level up or down, a little or much; proved or not; twice, or elsewhere."""
    if (n := _one(draw, plan.proof)) is None:
        return plan
    level = plan.proof[n]
    by = draw(st.sampled_from([-7, -1, -0.1, 0.1, 1, 99]))
    key = draw(st.sampled_from(["value", "bound"]))
    return replace(plan, proof=draw(st.sampled_from([
        _with(plan.proof, n, **{key: (getattr(level, key) or 0) + by}),
        _with(plan.proof, n, **{key: (getattr(level, key) or 0) + by}, proved=not level.proved),
        _with(plan.proof, n, **{key: None}),
        _with(plan.proof, n, proved=not level.proved),
        _with(plan.proof, n, name=draw(st.sampled_from(["tidy", "clashes", "touched", "handling", "room"]))),
        (*plan.proof[:n], *plan.proof[n + 1 :]),
        (*plan.proof, level),
        (level, *plan.proof[:n], *plan.proof[n + 1 :]),
    ])))  # fmt: skip


def hoped_changed(draw, plan):
    """Spots kept are only hoped for, or the other way round; or one is hoped for that is none."""
    if draw(st.booleans()):
        return replace(plan, kept=plan.hoped, hoped=plan.kept)
    spoiled = kept_changed(draw, replace(plan, kept=plan.hoped))
    return replace(spoiled, kept=plan.kept, hoped=spoiled.kept)


def later_changed(draw, plan):
    """One that is hung on a later evening comes on another, or elsewhere, sooner or less likely than told."""
    if (n := _one(draw, plan.later)) is None:
        return plan
    one = plan.later[n]
    changes = draw(st.sampled_from([
        *({"since": one.since + timedelta(hours=h)} for h in (-24, 7, 24, 240)),
        *({"spot": spot} for spot in SPOTS), {"chance": 0.5}, {"chance": None}, {"latest": None},
        {"latest": one.since}, {"who": plan.hangs[_one(draw, plan.hangs)].pupa},
    ]))  # fmt: skip
    kept, hoped = (
        [replace(k, **changes) if k is one else k for k in those] for those in (plan.kept, plan.hoped)
    )
    return replace(plan, kept=tuple(kept), hoped=tuple(hoped))


def told_changed(draw, plan):
    """What is said besides: who is left, who is stuck, what is proved, why."""
    name = plan.hangs[_one(draw, plan.hangs)].pupa
    level = plan.proof[0] if plan.proof else None
    return replace(plan, **draw(st.sampled_from([
        {"left": (*plan.left, name)}, {"left": plan.left[1:]}, {"stuck": (Stuck(pupa=name, why="so"),)},
        *({"waits": (Waits(pupa=name, until=plan.on + timedelta(days=d)),)} for d in (-1, 1, 9)),
        {"reason": ("so",)}, {"ways_out": ("so",)}, {"settings": {**plan.settings, "rehang_price": 3.0}},
        {"proof": (replace(level, value=7, bound=7),) if level else ()},
        {"proof": (replace(level, bound=-1, proved=True),) if level else ()},
    ])))  # fmt: skip


CHANGES = (
    rehung, moved_elsewhere, swapped, dropped, doubled, due_changed, slid, source_changed, pair_dropped,
    pair_to_the_other_list, pair_invented, pair_falsified, steps_exchanged, after_changed, window_changed,
    move_dropped, parked, kept_changed, kept_doubled, level_changed, hoped_changed, later_changed,
    told_changed,
)  # fmt: skip
