"""What the page knows: the season as plain data, for the scripts in it and for the templates.

Times are whole minutes from the beginning of the first day shown, local time; None where there is none.
"""

from __future__ import annotations

import hashlib
import math
import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property
from pathlib import Path
from typing import Any

from planner.emergence import assumption, profile_of
from planner.follow.day import LEAST, Day
from planner.follow.outlook import Room, room
from planner.follow.prospects import Prospect, prospects
from planner.report.texts.day_sections import hangs
from planner.season.direction import Names, names_of
from planner.season.places import Lid
from planner.season.plan.plan_record import Move, Plan, TooClose
from planner.season.pupae import OUTCOMES, SICK, Pupa
from planner.season.reading.told_dates import DAYS, MONTHS, month_first, whole_moment
from planner.season.reading.told_words import one_and_several
from planner.season.season import Season
from planner.words import FAR, Advised, as_told, natural, percent, where

FEWEST_DAYS, MOST_DAYS = 7, 60
OUT = 0.5  # chance of having emerged from which a spot is shown as free from then on
# Words on a tag: short enough for its width.
WORDS = {
    "may": "move",
    "firm": "firm",
    "stay": "stay",
    "soft": "soft",
    "dark": "dark",
    "due": "due",
    "late": "late",
    "out": "out?",
    "gone": "out ✓",
}


@dataclass(frozen=True)
class Shown:
    """One present pupa as the page shows it.

    ``moves``: what the plan asks for, in its order; mostly one. ``clash``: the plan leaves it too near to one
    due too soon after or before it.
    """

    number: int
    prospect: Prospect
    state: str
    word: str
    moves: tuple[Move, ...]
    clash: bool


@dataclass(frozen=True)
class PageData:
    """A season at one moment, and the days that can be looked at. ``day.plan`` has passed the verifier.

    ``plan_note``: why there is no plan, or in what it is out of date. ``own_id``: of the season, empty where
    it has none. ``taken``: ids of the events that it has from phones.
    """

    day: Day
    plan_note: Advised | None = None
    own_id: str = ""
    taken: tuple[str, ...] = ()

    @property
    def season(self) -> Season:
        """The season itself."""
        return self.day.season

    @property
    def plan(self) -> Plan | None:
        """The plan in force."""
        return self.day.plan

    @cached_property
    def names(self) -> Names:
        """Names to be kept apart where they stand in a text: some run from right to left."""
        return names_of(self.season)

    @cached_property
    def days(self) -> list[date]:
        """From today to when the last is likely out, within bounds."""
        last = max((p.by.date() for p in self.day.all if p.by), default=self.day.today)
        number = min(max((last - self.day.today).days + 2, FEWEST_DAYS), MOST_DAYS)
        return [self.day.today + timedelta(days=i) for i in range(number)]

    @cached_property
    def room(self) -> Room:
        """Spots needed on each day."""
        return room(self.season, self.day.now, self.plan, len(self.days), self.day.since)

    @cached_property
    def moves(self) -> tuple[Move, ...]:
        """Every move the plan still asks for, in its order."""
        return tuple(sorted(self.plan.moves if self.plan else (), key=lambda m: m.step))

    @cached_property
    def shown(self) -> list[Shown]:
        """Everybody present, in natural order of their ids."""
        found = prospects(self.season, self.day.now, self.days, self.day.since)
        found.sort(key=lambda p: natural(p.pupa.id))
        there = {p.pupa.id for p in found}
        pairs = self.plan.clashes if self.plan else ()
        clash = {name for c in pairs if {c.a, c.b} <= there for name in (c.a, c.b)}
        own: dict[str, tuple[Move, ...]] = {}
        for move in self.moves:
            own[move.pupa] = (*own.get(move.pupa, ()), move)
        return [
            Shown(i, p, *first_state(p, self.day.today, bool(to)), to, p.pupa.id in clash)
            for i, p in enumerate(found)
            for to in [own.get(p.pupa.id, ())]
        ]

    def since(self, when: datetime | None) -> int | None:
        """From when something may be done: whole minutes from the first day's beginning, never too early."""
        minutes = self._minutes(when)
        return None if minutes is None else math.ceil(minutes)

    def until(self, when: datetime | None) -> int | None:
        """Until when: never too late."""
        minutes = self._minutes(when)
        return None if minutes is None else math.floor(minutes)

    def _minutes(self, when: datetime | None) -> float | None:
        start = datetime.combine(self.days[0], time())
        return None if when is None else (when - start).total_seconds() / 60


def first_state(p: Prospect, today: date, asked: bool) -> tuple[str, str]:
    """State and word on the day the page is made; the page's scripts reckon the same for every day.

    ``asked``: the plan asks for a move of it. Of nobody else is said "move": that would read as an order.
    """
    f = p.forecast
    if p.overdue:
        return "late", WORDS["late"]
    if p.chances[today] >= LEAST:
        return "due", percent(p.chances[today])
    if f.stage in ("soft", "prepupa"):
        return "soft", "J" if f.stage == "prepupa" else WORDS["soft"]
    if f.stage == "darkening":
        return "dark", WORDS["dark"]
    if p.pupa.stay:
        return "stay", WORDS["stay"]
    return "may", WORDS["may" if asked else "firm"]


def as_json(page: PageData) -> dict[str, Any]:
    """All that the scripts need."""
    season, plan = page.season, page.plan
    alike: dict[int, int] = {}  # pupae of which the same is known share one row of chances
    chances: list[list[float]] = []
    pupae = []
    for one in page.shown:
        key = id(one.prospect.emergence)
        if one.prospect.emergence is not None and key not in alike:
            alike[key] = len(chances)
            chances.append([round(one.prospect.chances[d], 4) for d in page.days])
        pupae.append(_pupa(page, one, alike.get(key)))
    number = {one.prospect.pupa.id: one.number for one in page.shown}
    free = [max(0.0, d.free) for d in page.room.days]
    return {
        "key": f"hangplan {page.own_id or _digest(season.name, season.timezone)}",
        "season": page.own_id,
        "name": season.name,
        "taken": page.taken,
        "day": page.days[0].isoformat(),
        "days": len(page.days),
        "now": page.until(page.day.now),
        "least": LEAST,
        "out": OUT,
        "words": WORDS,
        "outcomes": OUTCOMES,
        "sick": SICK,
        "closed": [_closed(page, p) for those in season.closing.values() for p in those],
        "months": MONTHS,
        "weekdays": DAYS,
        "month_first": month_first(),
        "folder": command_folder(season.folder),
        "planned": plan is not None,
        "spots": [d.spots for d in page.room.days],
        "free": [round(f, 1) for f in free],
        "freeLeast": [max(0, d.free_least) for d in page.room.days],
        "emerging": [round(d.emerging, 2) for d in page.room.days],
        "chances": chances,
        "pupae": pupae,
        "clashes": _pairs(plan, plan.clashes, number) if plan else [],
        "waiting": _pairs(plan, plan.waiting, number) if plan else [],
    }


def _closed(page: PageData, pupa: Pupa) -> dict[str, str]:
    """A sick one that is gone, and what it hung from: closed until that is cleaned."""
    place = page.season.place[pupa.place]
    at = pupa.place if isinstance(place, Lid) else hangs(page.season, pupa)
    return {"id": pupa.id, "place": pupa.place, "at": page.names.apart(at)}


def _digest(*parts: str) -> str:
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()[:12]


def command_folder(folder: Path) -> str:
    """The season as the last word of a command: quoted, empty where the keeper stands in it."""
    return "" if folder == Path() else shlex.quote(str(folder))


def _pupa(page: PageData, one: Shown, row: int | None) -> dict[str, Any]:
    season, p = page.season, one.prospect
    f, due = p.forecast, p.forecast.due
    profile = profile_of(season, p.pupa.species)
    found: dict[str, Any] = {
        "id": p.pupa.id,
        "kind": f"{profile.name}, {one_and_several(profile.word)[0]}",
        "pupated": str(p.pupa.pupated) if p.pupa.pupated else "",
        "place": p.pupa.place,
        "spot": p.pupa.spot or "",
        "at": page.names.apart(hangs(season, p.pupa)),
        "firm": page.since(f.firm_from),
        "dark": page.until(f.dark_from),
        "due": page.until(due.median if due else None),
        "low": page.until(due.low if due else None),
        "high": page.until(due.high if due else None),
        "by": page.since(p.by),
        "row": row,
    }
    _, x, y = season.place[p.pupa.place].recorded(p.pupa, season.cm_per_unit)
    if x is not None and y is not None:
        found["xy"] = [round(x, 3), round(y, 3)]
    if seen := p.pupa.darkening:
        found["sight"] = page.until(seen.earliest)
    rare = {"prepupa": p.pupa.pupated is None, "stays": p.pupa.stay, "note": p.pupa.note, "doubt": f.note}
    found |= {key: value for key, value in rare.items() if value}
    steps = [
        {
            "step": m.step,
            "place": m.to_place,
            "spot": m.to_spot,
            "at": page.names.apart(where(season, m.to_place, m.to_spot)),
            "after": page.since(m.not_before),
            "before": page.until(None if m.not_after - page.day.now > FAR else m.not_after),
        }
        for m in one.moves
    ]
    return found | {"to": steps}


def _pairs(plan: Plan, found: Sequence[TooClose], number: dict[str, int]) -> list[list[Any]]:
    """``[a, b, days]``, pupae by their number on the page; days None where one has no date."""
    return [
        [number[c.a], number[c.b], None if plan.undated([c]) else as_told(c.gap)]
        for c in found
        if {c.a, c.b} <= set(number)
    ]


def made_words(page: PageData) -> tuple[str, str]:
    """When it was made, and with which temperatures the dates were reckoned."""
    return whole_moment(page.day.now), assumption(page.season)
