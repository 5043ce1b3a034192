"""An event as it stands in a slip and in the log of what was taken: one level of texts, judged key by key."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime
from typing import Any

from planner.record.event import Cleaned, Event, Marked, Moved, Noted, Pupated, Recorded, TakenBack
from planner.record.marks import DARKENING
from planner.record.newcomers import Newcomer
from planner.record.pupae_table import note_fits
from planner.season.pupae import OUTCOMES
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import FIRST_YEAR, LAST_YEAR, parse_number
from planner.season.reading.when import When

Raw = dict[str, Any]
NEW = "+"  # before the id of an event: the pupa that it records
LONGEST = 40  # letters of a name or a spot
FORMULA = ("=", "+", "-", "@")  # what a spreadsheet would reckon with at the beginning of a cell
_ID = re.compile(r"[a-z0-9]{8,20}")
_AT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}")


class _Fields:
    """The texts of one event; each is asked for once, and what nobody asked for is a fault."""

    def __init__(self, raw: Raw):
        self.rest = dict(raw)

    def text(self, key: str, most: int = LONGEST, *, needed: bool = True) -> str:
        found = self.rest.pop(key, "")
        if not isinstance(found, str) or not found.isprintable() or len(found) > most:
            raise ValueError(f"{key}: {_shown(found)} is no line of at most {most} visible characters")
        if needed and not found.strip():
            raise ValueError(f"{key} is missing")
        return found.strip()

    def id(self, key: str) -> str:
        found = self.text(key)
        if not _ID.fullmatch(found):
            raise ValueError(f"{key}: {_shown(found)} is no id of an event")
        return found

    def note(self, *, needed: bool = False) -> str:
        found = self.text("note", 10_000, needed=needed)
        if not note_fits(found):
            raise ValueError("note: is too long")
        return f"'{found}" if found.startswith(FORMULA) else found

    def when(self, key: str) -> When | None:
        found = self.text(key, needed=False)
        return When.parse(found) if found else None


def event_of(raw: Any, device: str) -> Event:
    """The event that a slip or the log has in this form. Raises ValueError, saying what is wrong with it."""
    if not isinstance(raw, dict):
        raise ValueError(f"{_shown(raw)} is no event")
    fields = _Fields(raw)
    kind, common = fields.text("kind"), {"id": fields.id("id"), "at": _moment(fields), "device": device}
    if kind not in _KINDS:
        raise ValueError(f"kind: {_shown(kind)} is none of {', '.join(_KINDS)}")
    found = _KINDS[kind](fields, common)
    if fields.rest:
        raise ValueError(f"{_shown(next(iter(fields.rest)))} is not part of an event '{kind}'")
    return found


def _moment(fields: _Fields) -> str:
    found = fields.text("at")
    if not _AT.fullmatch(found) or not FIRST_YEAR <= int(found[:4]) <= LAST_YEAR:
        raise ValueError(f"at: {_shown(found)} is no time such as 2027-07-03T21:30:05.000")
    try:
        datetime.fromisoformat(found)
    except ValueError:
        raise ValueError(f"at: {_shown(found)}: there is no such time") from None
    return found


def _shown(found: Any) -> str:
    try:
        return f"'{shorten(str(found), 40)}'"
    except (ValueError, RecursionError):  # a number of more figures than are printed, lists within lists
        return "what stands there"


def _of_pupa(fields: _Fields, common: dict[str, str]) -> dict[str, Any]:
    return {**common, "pupa": fields.text("pupa"), "when": When.parse(common["at"][:16])}


def _recorded(fields: _Fields, common: dict[str, str]) -> Event:
    x, y = fields.text("x", needed=False), fields.text("y", needed=False)
    numbers = parse_number(x), parse_number(y)
    if (x or y) and None in numbers:
        raise ValueError(f"x, y: {_shown(f'{x},{y}')} is no point")
    newcomer = Newcomer(
        lid=fields.text("lid"),
        pupated=fields.when("pupated"),
        point=(numbers[0], numbers[1]) if numbers[0] is not None and numbers[1] is not None else None,
        species=fields.text("species", needed=False).lower(),
        note=fields.note(),
        source=f"newcomer of {common['at'][11:16]}",
    )
    return Recorded(**common, newcomer=newcomer)


def _moved(fields: _Fields, common: dict[str, str]) -> Event:
    anyway = fields.rest.pop("anyway", False)
    if not isinstance(anyway, bool):
        raise ValueError(f"anyway: {_shown(anyway)}: allowed is true or false")
    found = _of_pupa(fields, common)
    return Moved(**found, place=fields.text("place"), spot=fields.text("spot"), anyway=anyway)


def _marked(fields: _Fields, common: dict[str, str]) -> Event:
    what = fields.text("what")
    if what not in (DARKENING, *OUTCOMES):
        raise ValueError(f"what: {_shown(what)} is none of {', '.join((DARKENING, *OUTCOMES))}")
    return Marked(**_of_pupa(fields, common), what=what, note=fields.note())


def _pupated(fields: _Fields, common: dict[str, str]) -> Event:
    return Pupated(**_of_pupa(fields, common), note=fields.note())


def _cleaned(fields: _Fields, common: dict[str, str]) -> Event:
    return Cleaned(**_of_pupa(fields, common), note=fields.note())


def _noted(fields: _Fields, common: dict[str, str]) -> Event:
    return Noted(**_of_pupa(fields, common), note=fields.note(needed=True))


def _taken_back(fields: _Fields, common: dict[str, str]) -> Event:
    return TakenBack(**common, of=fields.id("of"))


_KINDS: dict[str, Callable[[_Fields, dict[str, str]], Event]] = {
    "recorded": _recorded,
    "moved": _moved,
    "marked": _marked,
    "pupated": _pupated,
    "cleaned": _cleaned,
    "noted": _noted,
    "taken back": _taken_back,
}
