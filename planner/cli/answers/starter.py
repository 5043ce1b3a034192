"""A season to start from, as the text of season.yaml: one for cm and inches, with a keeper's answers."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from importlib import resources
from math import ceil
from pathlib import Path

from planner.cli.shell.place_words import PlaceToBe
from planner.emergence import known_species, shipped
from planner.record.left_in_other_unit import usual_reach
from planner.season.pupae.record import Record
from planner.season.reading.problems import FaultyFiles, Problem
from planner.season.reading.scalars import tidy
from planner.season.settings import FILE, read_settings
from planner.season.validate import validate

# What the starter, which is in cm, says in inches: of keys and of places, by their names.
_INCHES = {
    "units": "in",
    "paper": "Letter",
    "wing_reach": "4",
    "elbow_room": "2",
    "drop": "8",
    "clearance": "4.5",
    "keeper_reach": "{lowest: 16, highest: 75}",
    "temperature": "{constant: 73 F}",
    "north": "length: 72, height: 60, clips_every: 2",
    "south": "length: 72, height: 48, clip_width: 1.25",
    "cork": "width: 24, height: 18, pins_every: 2, pattern: staggered, bottom: 36",
    "tub-1": "width: 23, length: 16",
    "tub-2": "width: 23, length: 16, clear: no",
    "cup": "diameter: 3.5",
}
KIT = "kit.yaml"  # the starter of a cup and a net cage
KIT_SPECIES = "painted-lady"  # where none is named
_WALLS = 4  # of a net cage
_WALL = {
    "cm": (30.0, "bottom: 75"),
    "in": (12.0, "bottom: 30"),
}  # how wide and high one is; the cage on a table
_COMMENT = 32  # the column in which the starter's comments begin
_SETTING = re.compile(r"(?P<key>(?:# )?(?P<name>\w+)): (?P<value>\S.*?)(?P<comment> +# .*)?")
_PLACE = re.compile(r"  - \{(?P<kind>\w+: (?P<name>[\w-]+)), (?P<rest>.*)\}")
_BARE = re.compile(r"[^\W\d_][\w-]*(?:[ /][\w-]+)*|[0-9.]+( [CF])?")  # needs no quotes in YAML
_COUNT = re.compile(r"count: \d+")
_NOT_TEXT = {"y", "n", "yes", "no", "on", "off", "true", "false", "null"}


@dataclass(frozen=True)
class Starter:
    """A season to be. ``None``: as the starter has it; ``places`` empty: the keeper has none yet.

    ``kit``: so many caterpillars in a cup, and a net cage; then there are no other places.
    """

    units: str = "cm"
    name: str | None = None
    timezone: str | None = None
    species: str | None = None
    temperature: str | None = None
    places: tuple[PlaceToBe, ...] | None = None
    kit: int | None = None

    def text(self) -> str:
        """The file. Where the keeper names places, those of the starter become comments."""
        said = dict(_INCHES) if self.units == "in" else {"units": self.units}
        if self.kit:
            said |= {
                "species": KIT_SPECIES,
                "temperature": f"{{constant: {'72 F' if self.units == 'in' else 22}}}",
            }
            said["wing_reach"] = self._wing_reach(self.species or KIT_SPECIES)
        if self.name is not None:
            said["season"] = quoted(self.name)
        if self.timezone is not None:
            said["timezone"] = quoted(self.timezone)
        if self.species is not None:
            said["species"] = quoted(self.species)
            said["wing_reach"] = self._wing_reach(self.species)
            said["elbow_room"] = tidy(float(said["wing_reach"]) / 2)
        if self.temperature is not None:
            said["temperature"] = f"{{constant: {quoted(self.temperature)}}}"
        return "".join(f"{line}\n" for line in self._lines(said))

    def _lines(self, said: dict[str, str]) -> Iterator[str]:
        for line in starter(KIT if self.kit else FILE).splitlines():
            if self.kit and line.startswith("  - {board: wall"):
                yield from self._walls(float(said["wing_reach"]))
            elif self.kit and line.startswith("#   - {pupating"):
                yield _COUNT.sub(f"count: {self.kit}", line)
            elif place := _PLACE.fullmatch(line):
                shown = f"{{{place['kind']}, {said.get(place['name'], place['rest'])}}}"
                yield f"  - {shown}" if self.places is None else f"  # - {shown}"
            elif setting := _SETTING.fullmatch(line):
                yield _line(setting, said.get(setting["name"], setting["value"]))
            else:
                yield line
            if line == "places:":
                yield from (f"  - {{{p.kind}: {quoted(p.name)}, {p.rest}}}" for p in self.places or ())

    def _walls(self, reach: float) -> Iterator[str]:
        """As many walls of the cage as the caterpillars need, with pins a wing reach apart."""
        assert self.kit
        wide, bottom = _WALL[self.units]
        pins = max(1, ceil(wide / reach) - 1) ** 2
        size = f"width: {tidy(wide)}, height: {tidy(wide)}, pins_every: {tidy(reach)}, pattern: square"
        for n in range(1, min(_WALLS, ceil(self.kit / pins)) + 1):
            yield f"  - {{board: wall-{n}, {size}, {bottom}}}"

    def _wing_reach(self, species: str) -> str:
        """About one wingspan of a species."""
        profile = shipped().get(species.strip().lower())
        return tidy(usual_reach(profile.wing_reach if profile else 10.0, self.units))

    def problems(self, folder: Path) -> list[Problem]:
        """All that is wrong with it as a season of that folder, by the rules of every season."""
        if not self.places and self.places is not None:  # judged with those of the starter: the rest is right
            return replace(self, places=None).problems(folder)
        known = frozenset(known_species())
        try:
            stated, report = read_settings(self.text().encode(), folder, known)
        except FaultyFiles as e:
            return list(e.found)
        return sorted({*report.problems, *validate(stated, Record(None, (), (), ()), known)})


def starter(name: str = FILE) -> str:
    """The starter itself: a season in cm, with a comment on each setting."""
    return resources.files("planner.cli").joinpath("starter", name).read_text(encoding="utf-8")


def quoted(text: str) -> str:
    """A text as YAML has it, in quotes where it needs them."""
    text = text.encode("utf-8", "replace").decode()  # what a terminal could not decode is in no file
    plain = _BARE.fullmatch(text) and text.lower() not in _NOT_TEXT
    return text if plain else json.dumps(text, ensure_ascii=False)


def _line(setting: re.Match[str], value: str) -> str:
    """A line of the starter with another value, its comment where all comments begin."""
    line = f"{setting['key']}: {value}"
    if setting["comment"] is None:
        return line
    return f"{line}{' ' * max(3, _COMMENT - len(line))}{setting['comment'].lstrip()}"
