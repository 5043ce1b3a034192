"""How many examples a property is tried with."""

from hypothesis import settings


def tries(number, **more):
    """So many; with ``--hypothesis-profile long`` ten times as many."""
    return settings(max_examples=number * settings.default.max_examples // 100, **more)
