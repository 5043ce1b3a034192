"""A card takes away the one pair of neighbours that it stands between."""

from planner.rack.neighbours import neighbour_graph
from planner.rack.spots import Spot
from planner.season.places.dividers import Divider


def spot(tag, x, place="p"):
    return Spot(place, tag, x, 0, (x, 0, 100))


def test_only_that_pair_is_no_longer_neighbours():
    # 4 cm apart with a reach of 10: all three pairs are neighbours. The card at 6 cm shelters 4|12 too,
    # perhaps, but that is not counted on.
    spots = [spot("4", 4), spot("8", 8), spot("12", 12)]
    graph = neighbour_graph(spots, 10, 20, [Divider(("p", "8"), ("p", "4"))])
    assert {frozenset((a.tag, b.tag)) for a, b in graph.edges} == {
        frozenset(("4", "12")), frozenset(("8", "12")),
    }  # fmt: skip


def test_a_card_stands_across_places():
    spots = [spot("4", 4), spot("4", 5, "q")]
    assert neighbour_graph(spots, 10, 20).number_of_edges() == 1
    assert neighbour_graph(spots, 10, 20, [Divider(("p", "4"), ("q", "4"))]).number_of_edges() == 0


def test_a_card_between_spots_that_are_not_asked_for_is_no_matter():
    spots = [spot("4", 4), spot("8", 8)]
    assert neighbour_graph(spots, 10, 20, [Divider(("p", "8"), ("p", "12"))]).number_of_edges() == 1
