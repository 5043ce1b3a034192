"""Newcomers out of a lid drawn in letters."""

from __future__ import annotations

from collections.abc import Callable

from planner.record.newcomers import Newcomer, find_lid
from planner.record.refusal import Refused
from planner.season.lists.sketch import PLAIN, read_sketch
from planner.season.places import Lid
from planner.season.reading.scalars import tidy
from planner.season.reading.when import When
from planner.season.season import Season

LARGEST = 2_000_000  # bytes of a sketch


def from_sketch(
    season: Season,
    data: bytes,
    file: str,
    lid: str,
    plain: When,
    species: str,
    note: str,
    read_date: Callable[[str], When],
) -> list[Newcomer]:
    """A newcomer for each letter; ``lid`` of the call goes before the sketch's own, ``plain`` is for x.

    ``read_date``: reads a date that stands in the sketch; raises ValueError.
    """
    sketch = read_sketch(data, file, read_date)
    wanted = lid or sketch.words.get("lid", "")
    if not wanted:
        raise Refused([f"{file}:1:0: which lid is it? add a line 'lid: NAME', or name it in the call"])
    place = find_lid(season, wanted)
    if not isinstance(place, Lid):
        raise Refused([f"{'--lid' if lid else file}: {place}"])
    found = []
    for one in sketch.drawn:
        x, y = (float(tidy(round(v / season.cm_per_unit, 2))) for v in sketch.point(one, place))
        found.append(
            Newcomer(
                lid=place.name,
                pupated=sketch.dates.get(one.letter, plain),
                point=(x, y),
                species=species or sketch.words.get("species", "").lower(),
                note=note or sketch.words.get("note", ""),
                source=f"{file}:{one.line}:{one.column + 1}",
                any_date=one.letter == PLAIN and PLAIN not in sketch.dates,
                grid=(place.width / sketch.columns, place.length / sketch.rows),
            )
        )
    return found
