"""Arrangements on graphs: nodes, dues and budgets, nothing of seasons. ``arrange`` is its door."""
