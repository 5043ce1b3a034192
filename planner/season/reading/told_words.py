"""What the keeper calls a pupa, such as ``chrysalis``, in all that is told in words.

Like the style of dates it holds for all that one command says. Files and ``--json`` keep to ``pupa``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from contextvars import ContextVar

# Not in names of files and options, nor where plan.yaml names a field.
_WORD = re.compile(r"(?<![-\w./])(p|P)upa(e?)(?![-\w/]|\.\w)")
_CALLED: ContextVar[tuple[str, str] | None] = ContextVar("word for a pupa, and for several", default=None)


def tell_pupae_as(word: str | None, names: Iterable[str] = ()) -> None:
    """Tell pupae by another word.

    Parameters
    ----------
    word
        ``chrysalis``, or with its plural ``chrysalis, chrysalids``; None: pupa.
    names
        The keeper's own, of places for example: where one of them has the word in it, pupae stay pupae, for
        no name must be told otherwise than it is.
    """
    plain = word is None or any(_WORD.search(name) for name in names)
    _CALLED.set(None if plain or word is None else one_and_several(word))


def one_and_several(word: str) -> tuple[str, str]:
    """The word for one and for several.

    >>> one_and_several("cocoon"), one_and_several("chrysalis"), one_and_several("Puppe, Puppen")
    (('cocoon', 'cocoons'), ('chrysalis', 'chrysalises'), ('Puppe', 'Puppen'))
    """
    one, _, several = (part.strip() for part in word.partition(","))
    return one, several or one + ("es" if one.endswith(("s", "x", "z", "ch", "sh")) else "s")


def in_keepers_words(text: str) -> str:
    """A text in which pupae are called as the keeper calls them."""
    called = _CALLED.get()
    return text if called is None else _WORD.sub(lambda match: _as_spelled(match, called), text)


def _as_spelled(match: re.Match[str], called: tuple[str, str]) -> str:
    word = called[bool(match[2])]
    return word[0].upper() + word[1:] if match[1] == "P" else word
