"""Construction of a start: who is left over, and how much is looked at for them."""

import networkx as nx

from planner.engine.model.instance import Instance
from planner.engine.search.construct import construct

looks = []


class Counted(dict):
    def __iter__(self):
        looks.append(len(self))
        return super().__iter__()


class Graph(nx.Graph):
    """Counts how often the neighbours of a node are gone through."""

    adjlist_inner_dict_factory = Counted


def test_each_left_over_takes_the_spot_with_fewest_conflicts():
    # Along a path of five, day 0 hangs at both ends. Of two more of day 0 the first takes the middle, between
    # two spots that are open; then either spot left has both its neighbours of day 0.
    inst = Instance(nx.path_graph(5), (0.0, 0.0, 0.0, 0.0), {0: 0, 1: 4}, (1, 2, 3))
    spot_of = construct(inst, 1)
    assert 2 in spot_of.values()
    assert inst.count_clashes(spot_of, 1) == 2


def test_where_neighbours_abound_those_left_over_do_not_look_at_all_of_them_again_and_again():
    # Of 60 of one day on 60 spots, all neighbours of one another, 59 are left over. Each hung is told to its
    # 59 neighbours, and before, each spot is looked at a few times; to look again after each would be
    # 60 · 60 / 2.
    graph = Graph(nx.complete_graph(60).edges)
    inst = Instance(graph, (0.0,) * 60, {}, tuple(graph))
    looks.clear()
    spot_of = construct(inst, 1)
    assert sorted(spot_of) == list(range(60))
    assert len(looks) < 10 * 60
