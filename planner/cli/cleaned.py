"""``mark … cleaned``: what a sick one hung from is cleaned, and open again.

With ``--json``: ``{"cleaned": [{"id", "place", "spot", "on"}, ...], "problems": []}``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from planner.cli.shell.options import moment, when_of
from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import show_json, show_paragraph
from planner.record.pupae_table import unchanged_pupae
from planner.record.refusal import Refused
from planner.season import table
from planner.season.load import digest
from planner.season.places import Lid, fold
from planner.season.problems import shorten
from planner.season.pupae import CLEANED, Pupa
from planner.season.scalars import parse_number
from planner.season.season import Season
from planner.season.store import Store
from planner.season.when import When
from planner.words import call

if TYPE_CHECKING:
    from planner.record.steps_done import Hung


def record_cleaned(store: Store, words: Sequence[str], on: str | None, note: str, *, json_form: bool) -> None:
    """Record that the spots named are clean, or refuse all of it."""
    with store.locked():
        season = open_season(store.folder)
        when = when_of(on, moment(on, season), season)
        before = unchanged_pupae(season)
        those = named(season, words)
        if early := [p for p in those if p.ended and _before(when, p.ended)]:
            raise Refused([f"{p.id}: {when} is before it was found sick, {p.ended}" for p in early])
        cells = {p.id: {CLEANED: str(when)} for p in those}
        for p in those if note else ():
            cells[p.id]["note"] = f"{p.note}; {note}" if p.note else note
        store.describe(f"mark {' '.join(words)} cleaned")
        store.write(table.FILE, table.change(before, cells), expect=digest(before))
    if json_form:
        rows = [{"id": p.id, "place": p.place, "spot": p.spot, "on": str(when)} for p in those]
        show_json({"cleaned": rows, "problems": []})
        return
    show_paragraph(f"recorded: cleaned on {when}: {_spots(season, those)}")
    show_paragraph(f"open again; '{call('plan', season.folder)}' plans with what is now recorded")


def _before(when: When, ended: When) -> bool:
    """Whether it was certainly before; the same minute is not, both may be typed one after the other."""
    return when.latest < ended.earliest or (not when.hour and when.latest == ended.earliest)


def named(season: Season, words: Sequence[str]) -> list[Pupa]:
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
            what = f"closed: {_spots(season, closing)}" if closing else "nothing is closed"
            problems.append(f"{shorten(said, 30)}: no spot that is closed until it is cleaned; {what}")
        found |= {p.id: p for p in those}
    if problems:
        raise Refused(problems)
    return list(found.values())


def _same(spot: str | None, said: str) -> bool:
    a, b = parse_number(spot or ""), parse_number(said)
    return spot == said if a is None or b is None else abs(a - b) < 1e-3


def _spots(season: Season, those: Sequence[Pupa]) -> str:
    return ", ".join(f"{_spot(season, p)} ({p.id})" for p in those)


def _spot(season: Season, pupa: Pupa) -> str:
    from planner.words import where

    if isinstance(season.place[pupa.place], Lid):
        return f"lid {pupa.place}"
    return where(season, pupa.place, pupa.spot or "?")


def closed_note(season: Season) -> Iterator[str]:
    """What is closed until it is cleaned, and how to open it; nothing where nothing is."""
    closing = [p for those in season.closing.values() for p in those]
    if closing:
        first = call(f"mark {closing[0].id} cleaned", season.folder)
        yield f"closed until cleaned: {_spots(season, closing)}; '{first}' opens it again"


def closed_lines(season: Season, sick: Sequence[Pupa]) -> Iterator[str]:
    """After sickness is recorded: what is closed now, and whom to look at. ``season``: as before that."""
    opens = call(f"mark {sick[0].id} cleaned", season.folder)
    yield f"closed until cleaned: {_spots(season, sick)}; then '{opens}' opens it again"
    if beside := _beside(season, sick):
        from planner.words import few_ids

        near = f"hung within its reach, or under it: {few_ids(beside)}"
        yield f"{near}. Look at them daily: they may have caught it"


def _beside(season: Season, sick: Sequence[Pupa]) -> list[str]:
    """Those present who hang beside a sick one, or where its fluid may drip."""
    from planner.rack.neighbours import neighbour_graph
    from planner.rack.spots import home_of

    present = [p for p in season.pupae if p.present]
    homes = {p.id: home_of(season, p.id) for p in present}
    graph = neighbour_graph(list(dict.fromkeys(homes.values())), season.wing_reach, season.drop, ())
    near = {spot for p in sick for spot in graph[homes[p.id]]} if sick else set()
    names = {p.id for p in sick}
    return [p.id for p in present if homes[p.id] in near and p.id not in names]


def not_cleaned(season: Season, hung: Hung) -> str:
    """What to say of one hung on a closed spot; empty where it is not closed."""
    from planner.rack.spots import home_of

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
