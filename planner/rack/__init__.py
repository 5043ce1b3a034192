"""The spots of a rack with their coordinates, and the neighbour graph on them."""

from planner.rack.spots import Spot, home_of, positions, spots

__all__ = ["Spot", "home_of", "positions", "spots"]
