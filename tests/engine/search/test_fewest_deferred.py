"""Items deferred: the fewest, or the cheapest, so that nobody who is hung clashes."""

import networkx as nx

from planner.engine.model.instance import Instance
from planner.engine.model.solver import Clock, Effort
from planner.engine.search.deferral import fewest_deferred
from planner.engine.search.deferral_model import Deferrable


def able(*costs):
    """Items 0, 1, … that may be deferred at these costs, without a node then."""
    return [Deferrable((i,), cost) for i, cost in enumerate(costs)]


def test_nobody_is_deferred_where_all_can_be_hung(make, effort):
    inst = make([("h", "i")], [1, 1], nodes="ab", homes={0: "h", 1: "i"}, barred=[0, 1])
    assert fewest_deferred(inst, 2, able(1, 1), effort) == (None, False)


def test_of_two_for_one_spot_the_cheaper_one_is_deferred(make, effort):
    inst = make([("h", "i")], [1, 1], nodes="a", homes={0: "h", 1: "i"}, barred=[0, 1])
    found, some_clash = fewest_deferred(inst, 2, able(2, 1), effort)
    unplaced, waiting = found.levels
    assert (found.items, found.later) == ((1,), {})
    assert (unplaced.name, unplaced.value, unplaced.bound, unplaced.proved) == ("unplaced", 1, 1, True)
    assert (waiting.name, waiting.value, waiting.bound, waiting.proved) == ("waiting", 1, 1, True)
    none = {"left": 0, "clashes": 0}
    assert (found.reached, found.least, some_clash) == (none, none, False)


def test_of_two_alike_in_cost_the_one_due_later_is_deferred(make, effort):
    inst = make([("h", "i")], [9, 1], nodes="a", homes={0: "h", 1: "i"}, barred=[0, 1])
    assert fewest_deferred(inst, 2, able(1, 1), effort)[0].items == (0,)


def test_where_nobody_can_be_deferred_nobody_is(make, effort):
    inst = make([("h", "i")], [1, 1], nodes="a", homes={0: "h", 1: "i"}, barred=[0, 1])
    assert fewest_deferred(inst, 2, able(), effort) == (None, False)


def test_beside_one_deferred_nobody_of_its_date_stays_for_good(make, effort):
    # There is no spot, so 1 stays where it is whether 0, of one date beside it, is deferred or not.
    inst = make([("h", "i")], [1, 1], homes={0: "h", 1: "i"})
    assert fewest_deferred(inst, 2, able(1), effort) == (None, True)
    # Of dates nine days apart both stay.
    inst = make([("h", "i")], [1, 10], homes={0: "h", 1: "i"})
    assert fewest_deferred(inst, 2, able(1), effort) == (None, False)


def test_where_the_model_is_given_up_nobody_is_deferred_and_nothing_is_proved():
    # 60 on lids, each of its own hour, for 45 spots: 2,700 Booleans, and after 2,000 the clock is looked at.
    graph = nx.empty_graph(105)
    homes = {i: 45 + i for i in range(60)}
    dues = tuple(k / 7 for k in range(60))
    inst = Instance(graph, dues, {}, tuple(range(45)), homes=homes, barred=frozenset(homes))
    clock = Clock(60)
    clock.interrupt()
    assert fewest_deferred(inst, 2, able(*[1] * 60), Effort(clock, workers=1)) == (None, False)
    found, _ = fewest_deferred(inst, 2, able(*[1] * 60), Effort(Clock(60), workers=1))
    assert len(found.items) == 15
