"""What a sick one hung from is closed until it is cleaned: what is closed, and what opens it again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from planner.rack.spots import home_of
from planner.record.marks import certainly_before
from planner.record.pupae_table import with_note
from planner.record.refusal import Refused
from planner.record.steps_done import Hung
from planner.season.places import Lid, fold
from planner.season.pupae import CLEANED, Pupa
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import parse_number
from planner.season.reading.when import When
from planner.season.season import Season
from planner.words import call, where


def against(pupa: Pupa, when: When) -> Iterator[str]:
    """Why what it hung from cannot have been cleaned then."""
    if not pupa.closes:
        yield f"{pupa.id}: nothing is closed where it hung"
    elif pupa.ended and certainly_before(when, pupa.ended):
        yield f"{pupa.id}: {when.told} is before it was found sick, {pupa.ended.told}"


def cells(pupa: Pupa, when: When, note: str) -> dict[str, str]:
    """What to write into the row of a sick one."""
    return {CLEANED: str(when)} | with_note(pupa, note)


def meant(season: Season, words: Sequence[str]) -> list[Pupa]:
    """The sick ones whose spots are meant: by id, by place (all on it), ``north 36`` or ``north:36``."""
    closing = [p for those in season.closing.values() for p in those]
    places = {fold(p.name): p.name for p in season.places}
    ids = {p.id.lower() for p in season.pupae}
    found: dict[str, Pupa] = {}
    problems = []
    parts = list(words)
    while parts:
        word = said = parts.pop(0)
        place, colon, spot = word.rpartition(":")
        if fold(word) in places:
            place, spot = word, ""
            if parts and fold(parts[0]) not in places and parts[0].lower() not in ids:
                spot = parts.pop(0)
                said = f"{word} {spot}"
        elif not colon:
            place = ""
        if fold(place) in places:
            name = places[fold(place)]
            those = [p for p in closing if p.place == name and (not spot or _same(p.spot, spot))]
        else:
            those = [p for p in closing if p.id.lower() == word.lower()]
        if not those:
            what = f"closed: {spots_text(season, closing)}" if closing else "nothing is closed"
            problems.append(f"{shorten(said, 30)}: no spot that is closed until it is cleaned; {what}")
        found |= {p.id: p for p in those}
    if problems:
        raise Refused(problems)
    return list(found.values())


def _same(spot: str | None, said: str) -> bool:
    a, b = parse_number(spot or ""), parse_number(said)
    return spot == said if a is None or b is None else abs(a - b) < 1e-3


def spots_text(season: Season, those: Sequence[Pupa]) -> str:
    """Where these hang or hung, each with who it was."""
    return ", ".join(f"{_spot(season, p)} ({p.id})" for p in those)


def _spot(season: Season, pupa: Pupa) -> str:
    if isinstance(season.place[pupa.place], Lid):
        return f"lid {pupa.place}"
    return where(season, pupa.place, pupa.spot or "?")


def closed_note(season: Season) -> Iterator[str]:
    """What is closed until it is cleaned, and how to open it; nothing where nothing is."""
    closing = [p for those in season.closing.values() for p in those]
    if closing:
        first = call(f"mark {closing[0].id} cleaned", season.folder)
        yield f"closed until cleaned: {spots_text(season, closing)}; '{first}' opens it again"


def not_cleaned(season: Season, hung: Hung) -> str:
    """What to say of one hung on a closed spot; empty where it is not closed."""
    place = season.place.get(hung.place)
    if place is None or hung.place not in season.closing:
        return ""
    if isinstance(place, Lid):
        sick = season.closing[hung.place][0].id
        why = f"closed until cleaned: {sick} was sick there"
    else:
        moved = replace(season.pupa[hung.pupa], place=hung.place, spot=hung.spot, x=None, y=None)
        there = replace(season, pupae=tuple(moved if p.id == hung.pupa else p for p in season.pupae))
        why = home_of(there, hung.pupa).unusable
    if "closed" not in why:
        return ""
    return f"{hung.pupa}: recorded, but that is {why}. Hang it elsewhere, or clean it and say so"
