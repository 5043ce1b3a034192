"""A core is a set of items that cannot all hang, of which none can be left out."""

from planner.engine.explain.unsatisfiable_core import find_cores, shrink


def test_an_instance_without_core_gives_none(make, effort):
    assert list(find_cores(make([(0, 1)], [1, 5]), 2, effort)) == []
    assert list(find_cores(make([(0, 1)], []), 2, effort)) == []


def test_a_core_is_minimal_in_items_and_in_pins(make, effort):
    # Node 0 is beside 1 and 2. Pinned 1 (due 5) alone bars item 0 (due 5) from node 0; pinned 2 is of 9.
    inst = make([(0, 1), (0, 2)], [5, 5, 9], pinned={1: 1, 2: 2})
    (core,) = find_cores(inst, 2, effort)
    assert (core.items, core.pinned, core.minimal) == ((0,), (1,), True)


def test_shrinking_finds_a_set_of_which_none_can_be_left_out():
    asked = []

    def still(some):
        asked.append(tuple(some))
        return {3, 7, 8} <= set(some)

    assert shrink(range(16), lambda i: i, still) == [3, 7, 8]
    assert len(asked) < 40


def test_of_units_that_are_alike_only_one_is_tried():
    asked = []

    def still(some):
        asked.append(tuple(some))
        return len(some) >= 9

    assert len(shrink(range(16), lambda i: 0, still)) == 9
    # All, then 16 - 8, 16 - 4, 12 - 4, 12 - 2, 10 - 2, 10 - 1, 9 - 1: each size until it cannot be left out.
    assert [len(some) for some in asked] == [0, 8, 12, 8, 10, 8, 9, 8]
