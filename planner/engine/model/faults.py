"""Models that cannot be solved, and why; this file loads without the solver, for the command line."""

from __future__ import annotations


class InvalidModel(Exception):  # noqa: N818  (named by what it is, as the solver's status MODEL_INVALID is)
    """A model that the solver calls invalid; the text is the solver's reason."""


class TooLarge(Exception):  # noqa: N818  (nothing is wrong: there is another way)
    """A model is larger than there is time or memory for, or its making was interrupted."""
