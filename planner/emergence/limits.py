"""Limits of a forecast, each with its unit."""

STANDSTILL = 1e-9  # degree-days per day that come to nothing in any lifetime
LONGEST_BRIDGE = 3.0  # days without readings that are bridged from both sides
