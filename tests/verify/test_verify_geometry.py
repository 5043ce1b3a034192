"""Who is whose neighbour, found a second time by looking at all pairs; and how fast the verifier finds it."""

from datetime import date, datetime, timedelta
from itertools import combinations
from math import dist

from hypothesis import given
from hypothesis import strategies as st
from tries import tries
from verify_world import ON, World, good, pupa, season

from planner.season.places import Board, Lid, Line, Place
from planner.season.plan.plan_record import Hang, Plan
from planner.verify import clashes, verify
from planner.verify.geometry import locate, neighbours
from planner.verify.places import point

HALVES = st.integers(0, 60).map(lambda n: n / 2)  # such that many are exactly at reach or drop
STANDS = st.one_of(st.none(), st.integers(0, 30))


@st.composite
def racks(draw: st.DrawFn) -> World:
    """Draw a few places standing near each other or not at all, and up to 14 pupae on them."""
    stands = [{"left": draw(STANDS), "front": draw(STANDS)} for _ in range(4)]
    places: tuple[Place, ...] = (
        Line(name="upper", length=40, height=draw(HALVES) + 100, clip_width=0.5, **stands[0]),
        Line(name="lower", length=40, height=draw(HALVES) + 100, clip_width=0.5, **stands[1]),
        Board(name="cork", width=30, height=30, pins_every=5, bottom=100, pattern="staggered", **stands[2]),
        Lid(name="tub", width=40, length=40, height=draw(HALVES) + 100, **stands[3]),
    )
    pupae, hangs = [], []
    for n in range(draw(st.integers(0, 14))):
        place, x, y, spot = draw(st.sampled_from(places)), draw(HALVES), draw(HALVES), "?"
        at: tuple[float, float] | None = (x, y)
        if isinstance(place, Line):
            y, spot = 0.0, f"{x:g}"
        elif isinstance(place, Board):
            row, pin = draw(st.integers(1, 6)), draw(st.integers(1, 5))
            spot, x, y = f"r{row}p{pin}", 5 * pin - (0 if row % 2 == 0 else 2.5), 30 - 5 * row + 2.5
        elif draw(st.booleans()):
            at = None
        pupated = date(2027, 7, 1) + timedelta(days=draw(st.integers(0, 4)))
        on_lid = isinstance(place, Lid)
        pupae.append(pupa(f"n{n}", str(pupated), place.name, at if on_lid else spot))
        measured = at is not None
        hangs.append(
            Hang(
                pupa=f"n{n}",
                place=place.name,
                spot=spot,
                x=x if measured else None,
                y=y if measured else None,
                due=pupated + timedelta(days=10),
            )
        )
    reach, drop = draw(st.sampled_from([0.5, 5, 10, 12.5])), draw(st.sampled_from([0, 5, 20]))
    made = season(places, tuple(pupae), wing_reach=reach, drop=drop)
    return World(made, Plan(on=ON, gap_days=2, hangs=tuple(hangs)))


def naive(world: World) -> dict[tuple[str, str], float | None]:
    """Find all neighbours from the plan's own x and y, one pair after another."""
    found: dict[tuple[str, str], float | None] = {}
    reach, drop = world.season.wing_reach, world.season.drop
    for a, b in combinations(world.plan.hangs, 2):
        here, there = world.season.place[a.place], world.season.place[b.place]
        if a.x is None or b.x is None:
            if here is there:
                found[a.pupa, b.pupa] = None
            continue
        known = here.left is not None or here.front is not None
        known_too = there.left is not None or there.front is not None
        if here is not there and not (known and known_too):
            continue
        p, q = rack(here, a), rack(there, b)
        sideways, apart = dist(p[:2], q[:2]), dist(p, q)
        # all lengths are halves, so that squares and their sums are exact
        if apart < reach or (sideways < reach and abs(p[2] - q[2]) <= drop):
            found[a.pupa, b.pupa] = apart
    return found


def rack(place: Place, hang: Hang) -> tuple[float, float, float]:
    assert hang.x is not None
    assert hang.y is not None
    left, front = place.left or 0, place.front or 0
    if isinstance(place, Line):
        return left + hang.x, front, place.height
    if isinstance(place, Board):
        return left + hang.x, front, place.bottom + hang.y
    assert isinstance(place, Lid)
    return left + hang.x, front + place.length - hang.y, place.height


@tries(150)
@given(racks())
def test_neighbours_are_those_that_a_look_at_all_pairs_finds(world):
    hung = locate(world.season, world.plan)
    pairs = list(neighbours(hung, world.season.wing_reach, world.season.drop))
    found = {tuple(sorted((a.pupa.id, b.pupa.id))): apart for a, b, apart in pairs}
    assert len(found) == len(pairs)  # each pair once
    assert found == {tuple(sorted(pair)): apart for pair, apart in naive(world).items()}


@tries(50)
@given(racks())
def test_clashes_are_the_neighbours_due_less_than_the_gap_apart(world):
    due = {hang.pupa: hang.due for hang in world.plan.hangs}
    expected = {
        frozenset(pair): apart
        for pair, apart in naive(world).items()
        if abs((due[pair[0]] - due[pair[1]]).days) < world.plan.gap_days
    }
    found = clashes(world.season, world.plan)
    assert {frozenset((pair.a, pair.b)): pair.distance for pair in found} == expected
    assert found == sorted(found, key=lambda pair: (pair.a, pair.b))
    listed = World(world.season, world.plan).claim(clashes=tuple(found))
    told = {breach.rule for breach in verify(listed.season, listed.plan)}
    assert not told & {"clash", "listed"}


def test_a_tag_rounded_to_thousandths_means_its_mark():
    # marks every third of an inch: the fourth is at 4/3 in, written 1.333, and 3.3867 cm from the left
    line = Line(name="fine", length=100, height=150, clips_every=2.54 / 3)
    fourth = point(line, "1.333", 2.54)
    assert fourth is not None
    assert fourth.x == 4 * (2.54 / 3)
    beside = point(line, "1.33", 2.54)
    assert beside is not None
    assert beside.x == 1.33 * 2.54  # 0.08 mm off is not that mark


def test_the_third_dimension_counts():
    # 6 cm sideways and 8 cm in height: exactly 10 cm apart; with drop 5 only the distance counts
    def pair(height: float) -> World:
        places = (
            Line(name="upper", length=40, height=100 + height, clip_width=1, left=0),
            Line(name="lower", length=40, height=100, clip_width=1, left=0),
        )
        pupae = (pupa("u", "2027-07-01", "upper", "10"), pupa("v", "2027-07-01", "lower", "16"))
        hangs = tuple(Hang(pupa=p.id, place=p.place, spot=p.spot or "") for p in pupae)
        return World(season(places, pupae, drop=5), Plan(on=ON, gap_days=2, hangs=hangs))

    assert clashes(pair(8).season, pair(8).plan) == []
    (found,) = clashes(pair(7.99).season, pair(7.99).plan)
    assert found.distance is not None
    assert round(found.distance, 6) == 9.992002  # sqrt(36 + 7.99²)


def test_exactly_wing_reach_apart_is_not_too_close():
    # a1 is due 7 July, as is a4 at 16 cm; h1 8 July at 30.3 cm: from 20.3 cm it is 10 cm away
    world = good().place("north", clips_every=None, clip_width=0.1, to_nearest=0.01)
    assert world.to("a4", "north", "20.3", 20.3).says() == []
    assert world.to("a4", "north", "20.31", 20.31).says() == [
        "clash: a4 (due 2027-07-07) and h1 (due 2027-07-08) hang 9.99 cm apart with 1 day between them: "
        "allowed is 2 days or more, or to list them under clashes"
    ]


def test_places_whose_stand_is_known_have_neighbours_in_each_other():
    # Line south stands 40 cm further right and 6 cm before line north: s2 at 40 + 14 = 54 cm is hypot(6, 6) =
    # 8.485 cm from e1 at 48 and hypot(2, 6) = 6.325 cm from e2 at 52, all due 12 July; s1 two days before.
    world = good().place("north", left=0, front=2).place("south", left=40, front=8)
    assert world.says() == [
        "clash: s2 (due 2027-07-12) and e1 (due 2027-07-12) hang 8.485 cm apart with 0 days between them: "
        "allowed is 2 days or more, or to list them under clashes",
        "clash: s2 (due 2027-07-12) and e2 (due 2027-07-12) hang 6.325 cm apart with 0 days between them: "
        "allowed is 2 days or more, or to list them under clashes",
    ]


def test_who_hangs_in_the_drop_of_another_is_its_neighbour():
    # Line south 20 cm, exactly the drop, under line north and 2 cm behind it; s2 at x 54, e1 at 48, e2 at 52:
    # hypot(6, 2, 20) = 20.976 cm and hypot(2, 2, 20) = 20.199 cm.
    world = good().place("north", left=0, front=2).place("south", left=40, front=0, height=130)
    assert world.says() == [
        "clash: s2 (due 2027-07-12) and e1 (due 2027-07-12) hang 20.976 cm apart with 0 days between them: "
        "allowed is 2 days or more, or to list them under clashes",
        "clash: s2 (due 2027-07-12) and e2 (due 2027-07-12) hang 20.199 cm apart with 0 days between them: "
        "allowed is 2 days or more, or to list them under clashes",
    ]
    assert world.place("south", height=129.99).says() == []


def test_of_two_thousand_pupae_just_the_pairs_nearer_than_the_gap_clash():
    # 4 lines with a pupa every 4 cm and dates 0, 3, 6, 9, 12 days in turn; reach 10 cm is two spots each way
    lines = tuple(Line(name=f"line-{k}", length=2004, height=150, clips_every=4) for k in range(4))
    pupae, hangs = [], []
    for k in range(4):
        for n in range(1, 501):
            pupated = date(2027, 7, 1) + timedelta(days=3 * (n % 5))
            name, x = f"p{k}-{n}", 4 * n
            pupae.append(pupa(name, str(pupated), f"line-{k}", str(x)))
            due = pupated + timedelta(days=10)
            hangs.append(Hang(pupa=name, place=f"line-{k}", spot=str(x), x=x, y=0, due=due))
    made = season(lines, tuple(pupae))
    plan = Plan(on=datetime(2027, 7, 4), gap_days=3, hangs=tuple(hangs))
    assert verify(made, plan) == []
    # Three days apart are only next neighbours: 499 pairs a line, less the 100 (4 and 5, 9 and 10, ... 499
    # and 500) where the dates start again, which are 12 days apart.
    wider = clashes(made, Plan(on=plan.on, gap_days=3.5, hangs=plan.hangs))
    assert len(wider) == 4 * (499 - 100)
