"""Limits of search, all in one place: each with its unit and its reason."""

from __future__ import annotations

# Booleans of a secondary objective's model: beyond that the solver gains too little in so little work.
LARGE = 8_000
# Booleans beyond which not even the model is made.
LARGEST = 3 * LARGE
# Of all seconds, as deterministic work, for each secondary level: comfort, not safety.
SHARE = 0.02
