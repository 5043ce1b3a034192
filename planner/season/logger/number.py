"""One cell of temperatures: a number, a mark that nothing was read, or neither."""

from __future__ import annotations

import re
from dataclasses import dataclass

_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?")
_WRITTEN = re.compile(
    r"(?P<number>[+\N{MINUS SIGN}-]?\d*[.,]?\d+)\s*"
    r"(?:(?:Â?[°º˚?\N{REPLACEMENT CHARACTER}])?\s*(?P<scale>[CF])|(?P<one>[℃℉]))?",
    re.IGNORECASE,
)
# What loggers write for a sensor that does not answer, where they write a number.
_NO_READING = re.compile(r"-127([.,]0+)?|-196[.,]60?|[+-]?9{3,5}([.,](9+|0+))?|-99([.,](9+|0+))?")
_ERROR = re.compile(r"(?:error|err|e|fault)[ .:#_-]*[0-9]{1,4}", re.IGNORECASE)


@dataclass(frozen=True)
class Number:
    """What a cell says.

    ``value``: None where it is no number; ``fahrenheit``: the unit behind it, None where there is none;
    ``empty``: it says that nothing was read.
    """

    value: float | None = None
    fahrenheit: bool | None = None
    empty: bool = False


def number_of(text: str) -> Number:
    """What a cell says; ``23,5`` is 23.5, for no temperature has thousands.

    >>> number_of("23,5 °C"), number_of("--"), number_of("2027-07-03")
    (Number(value=23.5, fahrenheit=False, empty=False), Number(value=None, fahrenheit=None, empty=True), \
Number(value=None, fahrenheit=None, empty=False))
    """
    text = text.strip()
    if _NO_READING.fullmatch(text):
        return Number(empty=True)
    if _NUMBER.fullmatch(text):
        return Number(float(text))
    match = _WRITTEN.fullmatch(text)
    if match is not None:
        value = float(match["number"].replace(",", ".").replace("\N{MINUS SIGN}", "-"))
        scale = match["scale"] or match["one"]
        return Number(value, scale in "Ff℉" if scale else None)
    # A word is what the logger says instead of a number; a number with something in it is a slip.
    return Number(empty=not any(letter.isdigit() for letter in text) or _ERROR.fullmatch(text) is not None)
