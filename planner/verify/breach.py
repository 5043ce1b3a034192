"""The output of the verifier: what breaks a rule."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Breach:
    """One breach of a rule.

    Attributes
    ----------
    rule
        Short name, as in ``RULES``.
    pupae
        Ids of the pupae concerned; may be empty.
    what
        A sentence saying what was found and what is allowed.
    """

    rule: str
    pupae: tuple[str, ...]
    what: str

    def __str__(self) -> str:
        return f"{self.rule}: {self.what}"
