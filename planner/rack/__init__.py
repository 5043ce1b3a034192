"""Spots with coordinates, and who would be whose neighbour on them."""

from planner.rack.spots import Spot, home_of, positions, spots

__all__ = ["Spot", "home_of", "positions", "spots"]
