"""Clips that slide: as good as every layout there is on small lines, and as the closed forms say."""

from datetime import date, timedelta

import pytest
from season_world import plan_of, pupa, season, tub

from planner.season import Board, Line, When
from planner.season.places.dividers import Divider


def day(number):
    """July; 0 and less are the last of June."""
    return When(date(2027, 7, 1) + timedelta(days=number - 1))


def yarn(length, **more):
    return Line(name="n", length=length, height=150, **({"clip_width": 10, "to_nearest": 5} | more))


def crowd(dates, length, **more):
    """Everybody must leave the lid; wing reach 20 and a clip 10 wide unless said otherwise."""
    settings = {
        "wing_reach": 20,
        **{k: more.pop(k) for k in ("wing_reach", "gap_days", "elbow_room") if k in more},
    }
    pupae = [pupa(f"p{i}", day(d)) for i, d in enumerate(dates)]
    return season([tub(clear=True), yarn(length, **more)], pupae, **settings)


# Objectives that come once it is known who fits: the proof of some takes all the time it is given.
LATER = {"fewest trouble", "least risk, elbow room and carrying"}


def room_in(case):
    """The plan that is best in whom it leaves and who clashes; what comes after is not asked for."""
    told = []
    return plan_of(case, progress=told.append, stop=lambda: not LATER.isdisjoint(told))


def fits(dates, length, **more):
    """Whether a line with so many cm between its first and last position holds them all without a clash."""
    plan = room_in(crowd(dates, length + 10, **more))  # a knot's room at either end, to the nearest 5 cm
    wrong = next((x for x in plan.proof if x.name in ("left", "clashes") and x.value), None)
    assert wrong is None or wrong.bound > 0, "not proved either way"
    return wrong is None


# dates 1,1,2,2,3,3 of July: firm on the 9th; clip 10, gap 2, so 1 and 3 may hang clip to clip
@pytest.mark.parametrize(("reach", "length"), [(15, 60), (20, 70), (25, 85), (30, 100), (40, 130)])
def test_two_of_each_of_three_dates(reach, length):
    assert fits([1, 1, 2, 2, 3, 3], length, wing_reach=reach)
    assert not fits([1, 1, 2, 2, 3, 3], length - 5, wing_reach=reach)


@pytest.mark.parametrize(("reach", "length"), [(15, 70), (20, 70), (25, 85), (30, 100), (40, 130)])
def test_eight_dates_at_a_gap_of_four(reach, length):
    # Firm by noon of the 9th are those of the 7th at most, so the eight begin on 30 June; it is the gaps
    # between them that count.
    assert fits(range(8), length, wing_reach=reach, gap_days=4)
    assert not fits(range(8), length - 5, wing_reach=reach, gap_days=4)


def test_a_clip_goes_beside_one_that_hangs_already_at_its_centimetre():
    # One hangs at 7.5 cm. Another of its date fits a wing reach, 20 cm, further: at 27.5 or more; between
    # them one of a far date a clip's width from both: 17.5. The line ends at 30, and keeps 1 cm for its knot.
    case = season(
        [tub(clear=True), yarn(30, to_nearest=0.5)],
        [pupa("a", day(3), "n", spot="7.5"), pupa("b", day(3)), pupa("c", day(7))],
        wing_reach=20,
    )
    plan = plan_of(case)
    assert {h.pupa: h.spot for h in plan.hangs} == {"a": "7.5", "b": "27.5", "c": "17.5"}


def test_mixed_with_marks_and_a_board_behind():
    places = [
        tub(clear=True),
        yarn(60, left=0, front=10, clip_width=3, to_nearest=0.5),
        Line(name="m", length=40, height=120, clips_every=4),
        Board(name="b", width=40, height=20, pins_every=5, bottom=135, left=0, front=5),
    ]
    plan = room_in(season(places, [pupa(f"p{i}", day(1 + i % 6)) for i in range(24)]))
    assert not plan.clashes
    assert not plan.left


@pytest.mark.parametrize(("room", "need", "crowded"), [(None, 10, 0), (30, 30, 0), (90, 90, 0), (95, 95, 1)])
def test_free_yarn_leaves_room_for_hands(room, need, crowded):
    # Two of far dates may hang clip to clip, 10 cm apart, and do not on an empty yarn. It may be used from 5
    # to 95 cm: as much as is asked for is kept, but for what is longer than that.
    plan = plan_of(crowd([1, 7], 100, elbow_room=room))
    one, other = sorted(h.x for h in plan.hangs)
    level = next(x for x in plan.proof if x.name == "elbow_room")
    assert (level.value, level.proved) == (crowded, not crowded)
    assert crowded or other - one >= need


@pytest.mark.parametrize("fixed", [True, False])
def test_without_elbow_room_nobody_hangs_too_near(fixed):
    # Ten of far dates in turn on ten marks or on a yarn of just their ten clips: side by side is fine.
    line = Line(name="n", length=44, height=150, **({"clips_every": 4} if fixed else {"clip_width": 4}))
    pupae = [pupa(f"p{i}", day(1 + 3 * (i % 3))) for i in range(10)]
    plan = plan_of(season([tub(clear=True), line], pupae, elbow_room=0, wing_reach=5))
    level = next(x for x in plan.proof if x.name == "elbow_room")
    assert (level.value, level.proved) == (0, True)


def test_on_a_crowded_yarn_clips_touch():
    # Seven clips of 10 cm on 60 cm, 5 to 65: side by side is the only way, and with a gap of one day
    # nobody clashes.
    plan = plan_of(crowd(range(1, 8), 70, gap_days=1, wing_reach=12))
    assert sorted(h.x for h in plan.hangs) == [5, 15, 25, 35, 45, 55, 65]
    assert (
        next(x for x in plan.proof if x.name == "elbow_room").value == 0
    )  # 6 cm, half the wing reach, are kept


@pytest.mark.parametrize("ends", [("2", "9"), ("2.5", "8"), ("3", "6.5")])
@pytest.mark.parametrize("reach", [7, 10])
def test_a_card_between_two_places_where_nobody_hangs_yet_is_made_use_of(ends, reach):
    yarn = Line(name="y", length=10, height=150, clip_width=3.0, to_nearest=0.5)
    card = Divider(("y", ends[0]), ("y", ends[1]))
    case = season([tub(clear=True), yarn], [pupa("a", 5), pupa("b", 5)], dividers=(card,), wing_reach=reach)
    assert plan_of(case).clashes == ()
