"""Errors that only a fault of ours can raise; this file loads without the solver, for the command line."""

from __future__ import annotations


class InvalidModel(Exception):  # noqa: N818  (named by what it is, as the solver's status MODEL_INVALID is)
    """A model that the solver calls invalid; the text is the solver's reason."""
