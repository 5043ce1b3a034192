"""What the tags say that were made last: ``out/tags.json`` in the season's folder.

It is written with each file of tags, and can be deleted at any time: then all tags count as new. What was
made is taken for printed. A day due that has moved by a warm week does not make a tag new.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from planner.season.plan.plan_record import Hang, Plan
from planner.season.reading.problems import FaultyFiles
from planner.season.season import Season
from planner.season.store.disk import read_bytes, write_output

FILE = "tags.json"
LARGEST = 20_000_000  # bytes

Content = tuple[str, ...]


@dataclass(frozen=True)
class MadeTags:
    """Pupa → what the tag says that was made for it last; ``groups``: the card of its group."""

    tags: Mapping[str, Content] = field(default_factory=dict)
    groups: Mapping[str, Content] = field(default_factory=dict)

    def new(self, now: Mapping[str, Content], *, groups: bool) -> list[str]:
        """Pupae for which there is none yet."""
        made = self.groups if groups else self.tags
        return [pupa for pupa in now if pupa not in made]

    def changed(self, now: Mapping[str, Content], *, groups: bool) -> list[str]:
        """Pupae of which it no longer holds: spot, date, species or group is another."""
        made = self.groups if groups else self.tags
        return [pupa for pupa, content in now.items() if made.get(pupa, content) != content]

    def with_made(self, now: Mapping[str, Content], *, groups: bool) -> MadeTags:
        """The same once these were made."""
        if groups:
            return MadeTags(self.tags, {**self.groups, **now})
        return MadeTags({**self.tags, **now}, self.groups)


def content(season: Season, hang: Hang, group: Iterable[str] = ()) -> Content:
    """What the tag of a pupa says of it, the day due aside; ``group``: all that its card stands for."""
    pupa, place = season.pupa[hang.pupa], season.place[hang.place]
    day = pupa.pupated.day.isoformat() if pupa.pupated else ""
    spot = hang.spot if place.offers_spots and not hang.spot.startswith("?") else ""
    return pupa.species, day, hang.place, spot, *group


def to_print(season: Season, plan: Plan, made: MadeTags) -> tuple[list[str], list[str]]:
    """Those whose tags no longer hold, and those the plan moves that have none."""
    there = (hang for hang in plan.hangs if hang.pupa in season.pupa and season.pupa[hang.pupa].present)
    now = {hang.pupa: content(season, hang) for hang in there}
    untagged = {*made.new(now, groups=False)}
    return made.changed(now, groups=False), [pupa for pupa in plan.movers if pupa in untagged]


def read_made(season: Path) -> MadeTags | None:
    """What was made last; None: nothing, or it cannot be read."""
    try:
        data = read_bytes(season / "out", FILE, LARGEST)
        if data is None or len(data) > LARGEST:
            return None
        found = json.loads(data)
        parts = [
            {str(pupa): tuple(map(str, said)) for pupa, said in found[key].items()}
            for key in ("tags", "groups")
        ]
    except (FaultyFiles, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None
    return MadeTags(*parts)


def write_made(season: Path, made: MadeTags) -> None:
    """Note what was made. Raises StoreError."""
    text = json.dumps({"tags": made.tags, "groups": made.groups}, indent=1)
    write_output(season / "out" / FILE, f"{text}\n".encode())
