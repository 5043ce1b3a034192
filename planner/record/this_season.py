"""Whether slips are of the season they are to be taken into."""

from __future__ import annotations

from collections.abc import Sequence

from planner.record.refusal import Refused
from planner.record.slip import Slip
from planner.season.reading.problems import shorten
from planner.season.season import Season


def of_this_season(season: Season, own: str | None, slips: Sequence[Slip]) -> None:
    """Refuse slips of another season than that of the id ``own``; where one has no id the name must do."""
    wrong = [s for s in slips if (s.season != own if s.season and own else s.name != season.name)]
    if wrong and wrong[0].name == season.name:
        raise Refused([f"the slip is of another season of that name, '{shorten(season.name, 40)}'"])
    if wrong:
        other, name = shorten(wrong[0].name, 40), shorten(season.name, 40)
        raise Refused([f"the slip is of another season, '{other}': this one is '{name}'"])
