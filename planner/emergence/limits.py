"""Limits of the degree-day curve, each with its unit."""

STANDSTILL = 1e-9  # degree-days per day; at a lower rate no total counts as ever reached
LONGEST_BRIDGE = 3.0  # days; a longer gap in the readings is not bridged
FARTHEST = 1e5  # days; a total reached later counts as never reached
