"""Which step waits for which, who is parked, and one step after another; spots are letters."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from order_world import DAY, NOW, Course, any_order, crowded
from tries import tries

# waits


def test_a_spot_is_taken_when_its_pupa_has_left():
    # a's pupa wants b, whose pupa wants c, whose pupa goes to the free x: the last one first
    course = Course({"a": "b", "b": "c", "c": "x"})
    assert course.said() == ["c>x", "b>c", "a>b"]
    assert course.parked == {}


def test_moves_to_free_spots_wait_for_nobody():
    course = Course({"a": "x", "b": "y"})
    assert list(course.steps.edges) == []


def test_a_clip_waits_for_its_room():
    # x is free, but b hangs too near to it
    course = Course({"a": "x", "b": "y"}, crowds=crowded("xb"))
    assert course.said() == ["b>y", "a>x"]


def test_the_room_that_a_pupa_takes_itself_is_no_reason_to_wait():
    assert Course({"a": "x"}, crowds=crowded("xa")).said() == ["a>x"]


# rings


def test_two_change_places_by_way_of_a_spare_spot():
    course = Course({"a": "b", "b": "a"}, spare="z")
    assert course.said() == ["a>z", "b>a", "z>b"]
    assert course.carried_out() == []


def test_a_ring_of_five_needs_one_to_be_parked():
    course = Course(dict(zip("abcde", "bcdea", strict=True)), spare="z")
    assert len(course.order) == 6
    assert course.carried_out() == []


def test_two_rings_need_two_to_be_parked_on_one_spare_spot_one_after_the_other():
    course = Course({"a": "b", "b": "a", "c": "d", "d": "c"}, spare="z")
    assert course.said() == ["a>z", "b>a", "z>b", "c>z", "d>c", "z>d"]


def test_where_two_rings_meet_the_one_in_both_is_parked():
    # a's target x crowds b and d; where these go, f and e, is crowded by a
    ways, crowds = {"a": "x", "b": "f", "d": "e"}, crowded("xb", "xd", "fa", "ea")
    course = Course(ways, spare="z", crowds=crowds, windows={"a": (-1, 1)})
    assert course.said() == ["a>z", "b>f", "d>e", "z>x"]


def test_nobody_moves_in_a_full_rack():
    course = Course({"a": "b", "b": "a"}, spare="ab")
    assert course.stuck == [[0, 1]]


def test_a_free_spot_too_near_to_where_they_go_is_no_spare_one():
    assert Course({"a": "b", "b": "a"}, spare="z", crowds=crowded("zb")).stuck == [[0, 1]]


def test_the_one_with_the_longest_window_is_parked():
    windows = {"a": (-1, 1), "b": (-1, 5), "c": (-1, 2)}
    course = Course({"a": "b", "b": "c", "c": "a"}, spare="z", windows=windows)
    assert course.said() == ["b>z", "a>b", "c>a", "z>c"]


def test_the_nearest_spare_spot_is_chosen():
    assert Course({"a": "b", "b": "a"}, spare="zxy").said()[0] == "a>x"


def test_a_spot_that_nobody_needs_is_better_than_a_nearer_one_that_is_waited_for():
    # x will be taken by l; z by nobody
    course = Course({"a": "b", "b": "a", "l": "x"}, spare="xz")
    assert set(course.parked.values()) == {"z"}


def test_a_spot_to_be_taken_later_will_do_and_is_waited_for():
    course = Course({"a": "b", "b": "a", "l": "x"}, spare="x")
    assert course.said() == ["a>x", "b>a", "x>b", "l>x"]


def test_a_spot_that_another_leaves_for_good_will_do():
    # the only free spot x is taken at once by c, which leaves c free
    course = Course({"a": "b", "b": "a", "c": "x"}, spare="cx", places={"c": 0, "a": 1, "b": 1, "x": 1})
    assert course.carried_out() == []
    assert course.said() in (["c>x", "a>c", "b>a", "c>b"], ["a>x", "b>a", "x>b", "c>x"])


def test_where_one_parked_is_not_enough_two_are():
    # Between b and d only spots too near to b are free. b makes way to c, d to a, and both go on.
    course = Course({"d": "b", "b": "d"}, spare="abcd", crowds=crowded("ab", "bc"))
    assert len(course.order) == 4
    assert course.carried_out() == []


def _rod(spots, reach):
    """Spots in a row, on no two of which within so many of one another two clips fit."""
    return crowded(*[(a, b) for i, a in enumerate(spots) for b in spots[i + 1 : i + 1 + reach]])


def test_where_a_deadlock_is_broken_otherwise_than_thought_the_spots_before_it_are_chosen_anew():
    # The spot chosen for one counted on who would be parked for the next one: steps went round in a ring.
    ways = {"d": "k", "l": "g", "b": "d", "j": "a", "g": "m"}
    course = Course(ways, spare="abcdefghijklm", crowds=_rod("abcdefghijklm", 1))
    assert (course.stuck, course.carried_out()) == ([], [])


def test_a_spot_that_leaves_none_to_the_next_deadlock_is_given_up_for_another():
    ways = {"d": "g", "g": "e", "i": "b", "a": "i"}
    course = Course(ways, spare="abcdefghi", crowds=_rod("abcdefghi", 1))
    assert (course.stuck, course.carried_out()) == ([], [])
    assert len(course.parked) == 2


# times


def test_a_step_is_not_before_the_one_it_waits_for():
    course = Course({"a": "b", "b": "x"}, windows={"a": (-1, 4), "b": (2, 9)})
    assert course.windows[0, 0] == (NOW + 2 * DAY, NOW + 4 * DAY)
    assert course.windows[1, 0] == (NOW + 2 * DAY, NOW + 4 * DAY)


def test_a_ring_is_done_in_one_go_when_all_may_be_touched():
    course = Course({"a": "b", "b": "a"}, spare="z", windows={"a": (-1, 4), "b": (2, 9)})
    assert set(course.windows.values()) == {(NOW + 2 * DAY, NOW + 4 * DAY)}
    assert len(course.windows) == 3


@pytest.mark.parametrize("end", [1.99, 2])
def test_who_darkens_before_the_other_is_firm_cannot_wait_for_it(end):
    course = Course({"a": "b", "b": "x"}, windows={"a": (-1, end), "b": (2, 9)})
    assert (set(course.late), course.stuck) == ({(0, 0), (1, 0)} if end < 2 else set(), [])
    if end < 2:
        assert {(b.firm, b.dark) for b in course.late.values()} == {(1, 0)}


def test_it_is_too_late_for_who_has_darkened():
    course = Course({"a": "x"}, windows={"a": (-3, -0.01)})
    assert set(course.late) == {(0, 0)}


def test_what_can_be_done_now_is_done_now_and_the_rest_in_as_few_rounds_as_can_be():
    # By now: b. Later c (from day 1) and d (from 2 to 3) together; e from day 4.
    windows = {"c": (1, 9), "b": (-1, 9), "e": (4, 9), "d": (2, 3)}
    course = Course({"c": "3", "b": "2", "e": "5", "d": "4"}, windows=windows)
    assert course.said() == ["b>2", "c>3", "d>4", "e>5"]


def test_a_spare_spot_that_comes_free_too_late_is_not_used():
    # c leaves its spot only on day 4, when a and b are darkening; nothing else is free for them
    course = Course(
        {"a": "b", "b": "a", "c": "x"},
        spare="c",
        windows={"a": (-1, 3), "b": (-1, 3), "c": (4, 9)},
    )
    assert course.stuck == [[0, 1]]


# grouped


def test_steps_are_grouped_by_the_place_they_start_from():
    places = dict.fromkeys("ac", 0) | dict.fromkeys("bd", 1)
    assert Course({"a": "1", "b": "2", "c": "3", "d": "4"}, places=places).said() == [
        "a>1", "c>3", "b>2", "d>4"
    ]  # fmt: skip


def test_a_place_that_others_wait_for_comes_before_them_and_is_visited_once():
    # the lid's a (place 0) wants b, which hangs on a line (place 2); the lid of place 1 waits for nobody
    places = {"a": 0, "c": 0, "e": 1, "b": 2}
    assert Course({"a": "b", "c": "3", "e": "4", "b": "5"}, places=places).said() == [
        "b>5", "a>b", "c>3", "e>4"
    ]  # fmt: skip


def test_within_a_place_they_come_by_their_key():
    places = dict.fromkeys("abc", 0)
    assert Course({"a": "1", "b": "2", "c": "3"}, places=places, key=lambda s: -s[0]).said() == [
        "c>3", "b>2", "a>1"
    ]  # fmt: skip


def test_who_is_parked_goes_on_before_the_next_place_is_begun():
    # a and b change places between two lines; c and d of the same lines have nothing to do with that
    places = {"a": 0, "c": 0, "z": 0, "b": 1, "d": 1}
    course = Course({"a": "b", "b": "a", "c": "3", "d": "4"}, spare="z", places=places)
    assert course.said() == ["c>3", "a>z", "b>a", "z>b", "d>4"]


def test_nobody_is_parked_before_all_is_ready():
    # a and b change places, but a's target crowds e, which can go only when f has left
    places = {"a": 0, "z": 0, "b": 0, "e": 1, "f": 1}
    course = Course({"a": "b", "b": "a", "e": "f", "f": "6"}, spare="z", places=places, crowds=crowded("be"))
    assert course.said() == ["f>6", "e>f", "a>z", "b>a", "z>b"]


# properties


@st.composite
def racks(draw):
    """Who hangs where and goes where, on spots 0…; and what is open to be parked on."""
    spots = list(range(draw(st.integers(1, 9))))
    number = draw(st.integers(0, len(spots)))
    homes = draw(st.permutations(spots))[:number]
    targets = draw(st.permutations(spots))[:number]
    stay = {a for a, b in zip(homes, targets, strict=True) if a == b}
    ways = {a: b for a, b in zip(homes, targets, strict=True) if a != b}
    return ways, [s for s in spots if s not in stay], len(spots) - number


@tries(60)
@given(racks(), st.randoms(use_true_random=False))
def test_any_change_of_places_works_in_any_order_allowed_with_one_parked_for_each_ring(rack, chance):
    ways, spare, free = rack
    course = Course(ways, spare=spare)
    if not free:
        assert len(course.stuck) == len(course.precedence.deadlocks)
        assert bool(course.stuck) == bool(ways)  # in a full rack all moves go round
        return
    assert (course.stuck, course.carried_out()) == ([], [])
    assert len(course.parked) == len(course.precedence.deadlocks)
    assert len(course.order) == len(ways) + len(course.parked)
    for _ in range(5):
        assert course.carried_out(any_order(course.steps, chance)) == []


@st.composite
def crowded_racks(draw):
    """The same where some spots beside one another leave no room for two clips."""
    spots = list(range(draw(st.integers(3, 8))))
    crowds = crowded(*[(a, a + 1) for a in spots[:-1] if draw(st.booleans())])
    number = draw(st.integers(1, 4))

    def some():
        taken = []
        for spot in draw(st.permutations(spots)):
            if len(taken) < number and not crowds.get(spot, set()) & set(taken):
                taken.append(spot)
        return taken

    homes, targets = some(), some()
    ways = {a: b for a, b in zip(homes, targets, strict=False) if a != b}
    stay = {a for a, b in zip(homes, targets, strict=False) if a == b}
    shut = stay.union(*(crowds.get(s, set()) for s in stay))
    if len(homes) != len(targets):
        ways, shut = {}, set()
    return ways, [s for s in spots if s not in shut], crowds, stay


def fewest_touches(ways, spots, crowds, stay):
    """By trying everything: steps until all are where they should be, or None."""
    start, goal = tuple(ways), tuple(ways.values())
    reached, level, steps = {start}, [start], 0
    while level and goal not in reached:
        steps, following = steps + 1, []
        for state in level:
            for item, here in enumerate(state):
                others = (set(state) | stay) - {here}
                for spot in spots:
                    if spot in others or crowds.get(spot, set()) & others:
                        continue
                    after = (*state[:item], spot, *state[item + 1 :])
                    if after not in reached:
                        reached.add(after)
                        following.append(after)
        level = following
    return steps if goal in reached else None


@tries(60)
@given(crowded_racks(), st.randoms(use_true_random=False))
def test_where_clips_need_room_no_order_at_all_takes_fewer_touches(rack, chance):
    ways, spare, crowds, stay = rack
    course = Course(ways, spare=spare, crowds=crowds)
    fewest = fewest_touches(ways, spare, crowds, stay)
    if course.stuck:
        # Only what needs more to be parked than there are rings may be given up: the plan then tells it.
        assert fewest is None or fewest > len(ways) + len(course.precedence.deadlocks)
        return
    assert course.carried_out() == []
    assert len(course.order) == fewest
    for _ in range(5):
        assert course.carried_out(any_order(course.steps, chance)) == []


@tries(50)
@given(racks(), st.data())
def test_in_their_order_all_steps_are_done_within_their_times(rack, data):
    ways, spare, _ = rack
    hours = st.integers(-48, 96)
    windows = {}
    for source in ways:
        start = data.draw(hours) / 24
        windows[source] = start, max(0, start) + data.draw(st.integers(0, 72)) / 24
    course = Course(ways, spare=spare, windows=windows)
    if course.stuck or course.late:
        return
    clock = NOW
    for step in course.order:
        start, end = course.windows[step]
        clock = max(clock, start)
        assert clock <= end
        assert start >= course.transfers[step[0]].not_before
        assert end <= course.transfers[step[0]].not_after
