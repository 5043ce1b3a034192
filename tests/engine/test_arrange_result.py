"""How an arrangement prints, and that it finds out by itself what is wrong with it."""

import re
from dataclasses import replace

import networkx as nx
import pytest

from planner import arrange

WIDEST = arrange(nx.path_graph(4), range(4), seconds=20, workers=1)  # 2: floor(4 / 2)
CLASH = arrange(nx.path_graph(2), [1, 2], gap=2, seconds=20, workers=1)


def test_an_arrangement_prints_what_was_reached_and_proved():
    assert repr(WIDEST) == "<Arrangement of 4 items: smallest gap 2 days, proved widest>"
    open_ = replace(WIDEST, bound=3, proved=False)
    assert repr(open_) == "<Arrangement of 4 items: smallest gap 2 days, not proved: at most 3 days>"
    assert repr(CLASH) == (
        "<Arrangement of 2 items: 1 clash at gap 2 days, proved fewest; smallest gap 1 day>"
    )
    several = replace(CLASH, clashes=((0, 1), (1, 2)), bound=1, proved=False)
    assert repr(several) == (
        "<Arrangement of 2 items: 2 clashes at gap 2 days, at least 1 needed; smallest gap 1 day>"
    )
    free = arrange(nx.empty_graph(1), [3], gap=2)
    assert repr(free) == (
        "<Arrangement of 1 item: no clashes at gap 2 days; smallest gap infinite (nobody has a neighbour)>"
    )


def test_what_is_right_passes():
    WIDEST.verify()
    CLASH.verify()
    arrange(nx.path_graph(3), [], workers=1).verify()
    arrange(nx.path_graph(3), [5, 5], workers=1).verify()  # no neighbours: infinite
    arrange(nx.path_graph(3), [1, 1, 9], gap=2, pinned={0: 0, 1: 1}, workers=1).verify()


# WIDEST hangs dues 0 to 3 on the path 0 - 1 - 2 - 3 with a gap of 2: 1 3 0 2 or 2 0 3 1.
WRONG = {
    "nowhere": (
        replace(WIDEST, spot_of={i: s for i, s in WIDEST.spot_of.items() if i}),
        "item 0 hangs nowhere",
    ),
    "too many": (
        replace(CLASH, spot_of={0: 0, 1: 1, 7: 1}),
        "there is no item 7; items 1 and 7 both hang at 1",
    ),
    "beyond": (replace(CLASH, spot_of={0: 0, 1: "x"}), "item 1 hangs at 'x', which is not in the graph"),
    "pinned": (replace(CLASH, pinned={0: 1}, spot_of={0: 0, 1: 1}), "item 0 is pinned to 1 and hangs at 0"),
    "gap": (replace(WIDEST, smallest_gap=2.5, bound=2.5), "the smallest gap is 2 days, not 2.5 days; "
            "it is called proved, but its bound is not reached"),
    "bound": (replace(WIDEST, bound=1), "the gap 2 days is beyond its bound, 1 day"),
    "unlisted": (replace(CLASH, clashes=()), "items 0 and 1 clash and are not listed"),
    "listed": (
        replace(CLASH, dues=(1.0, 3.0)),
        "the smallest gap is 2 days, not 1 day; items 0 and 1 do not clash and are listed; "
        "0 clashes are fewer than their bound, 1",
    ),
    "unproved": (replace(CLASH, bound=0), "it is called proved, but its bound is not reached"),
}  # fmt: skip


@pytest.mark.parametrize(("arrangement", "message"), WRONG.values(), ids=WRONG)
def test_what_is_wrong_is_said(arrangement, message):
    with pytest.raises(ValueError, match="^" + re.escape(message) + "$"):
        arrangement.verify()


def test_verifying_heeds_the_graph_as_it_is_now():
    graph = nx.path_graph(3)
    a = arrange(graph, [1, 1, 9], gap=2, seconds=20, workers=1)  # 9 in the middle
    graph.add_edge(0, 2)
    with pytest.raises(ValueError, match=r"^the smallest gap is 0 days, not 8 days; items 0 and 1 clash and"):
        a.verify()
