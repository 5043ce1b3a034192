"""Load a season's folder, or say everything that is wrong with it."""

from __future__ import annotations

import hashlib
from collections.abc import Collection
from dataclasses import replace
from pathlib import Path

from planner.season import settings
from planner.season.logger.layout import in_fahrenheit
from planner.season.logger.text import LARGEST as LARGEST_READINGS
from planner.season.places import Lid, Place, fold
from planner.season.pupae import Pupa, table
from planner.season.pupae.record import Record, read_record
from planner.season.reading.problems import FaultyFiles, Problem
from planner.season.reading.yaml_text import LARGEST
from planner.season.season import Season
from planner.season.settings import Settings, read_settings
from planner.season.store.disk import digest as digest  # others look for it here
from planner.season.store.disk import read_bytes
from planner.season.validate import validate

# Read and written by planner.emergence; what they say changes every date.
LEARNED = "learned.yaml"
EARLIER = "earlier.yaml"


def inputs_of(season: Season) -> tuple[str, ...]:
    """Names of all files that dates and plans are made from, whether they are there or not."""
    tables = [name for name in (season.temperature_file, season.forecast_file, *_files(season)) if name]
    return (settings.FILE, table.FILE, LEARNED, EARLIER, *tables)


def _files(season: Season) -> list[str]:
    """Files of readings of places, each once."""
    stated = (p.temperature.file for p in season.places if p.temperature is not None)
    return list(dict.fromkeys(name for name in stated if name))


def digest_now(season: Season, name: str) -> str | None:
    """Digest of what a file of the season holds now; None where there is none that can be read."""
    try:
        if not (season.folder / name).is_file():  # a pipe would be waited for
            return None
        with (season.folder / name).open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return None


def load(folder: Path, known_species: Collection[str]) -> Season:
    """Read ``season.yaml`` and, if they are there, ``pupae.csv`` and what dates are reckoned from.

    Parameters
    ----------
    folder
        The season's folder.
    known_species
        Names of the species that need no entry under ``profiles:``.

    Raises
    ------
    FaultyFiles
        With all problems of ``season.yaml`` and ``pupae.csv``, and of files that cannot be read at all.
    """
    if not folder.is_dir():
        what = "there is no such folder" if not folder.exists() else "is not a folder: a season is a folder"
        raise FaultyFiles([Problem(str(folder), 0, 0, "", what)])
    yaml_data = read_bytes(folder, settings.FILE, LARGEST)
    if yaml_data is None:
        what = f"there is no such file in {folder}: 'hangplan new' writes one to start from"
        raise FaultyFiles([Problem(settings.FILE, 0, 0, "", what)])
    problems: list[Problem] = []
    stated: Settings | None = None
    try:
        stated, report = read_settings(yaml_data, folder, known_species)
        problems += report.problems
    except FaultyFiles as e:
        problems += e.found
    digests = {settings.FILE: digest(yaml_data)}
    record = Record(None, (), (), ())
    try:
        csv_data = read_bytes(folder, table.FILE, table.LARGEST)
        if csv_data is not None:
            digests[table.FILE] = digest(csv_data)
            record = (
                read_record(csv_data, stated.season.cm_per_unit, stated.season.species, stated.season.looks)
                if stated
                else read_record(csv_data, 1.0, "")
            )
            problems += record.problems
    except FaultyFiles as e:
        problems += e.found
    found: dict[str, bytes | None] = {}
    if stated is not None:
        problems += validate(stated, record, frozenset(known_species))
        tables = [
            (name, LARGEST_READINGS)
            for name in (stated.season.temperature_file, stated.season.forecast_file, *_files(stated.season))
        ]
        for name, largest in (*tables, (LEARNED, LARGEST), (EARLIER, LARGEST)):
            try:
                found |= {name: read_bytes(folder, name, largest)} if name else {}
            except FaultyFiles as e:
                problems += e.found
    if problems or stated is None:
        raise FaultyFiles(problems)
    digests |= {name: digest(data) for name, data in found.items() if data is not None}
    places = {fold(p.name): p for p in stated.season.places}
    pupae = tuple(_settle(p, places[fold(p.place)]) for p in record.pupae)
    readings = found.get(stated.season.temperature_file or "")
    return replace(
        stated.season,
        fahrenheit=stated.season.fahrenheit
        or in_fahrenheit(readings or b"", stated.season.temperature_column),
        pupae=pupae,
        readings=readings,
        forecast_table=found.get(stated.season.forecast_file or ""),
        learned=found[LEARNED],
        earlier=found[EARLIER],
        place_readings={name: data for name in _files(stated.season) if (data := found[name]) is not None},
        digests=digests,
    )


def _settle(pupa: Pupa, place: Place) -> Pupa:
    """Spell the place as stated, and keep of spot and point what that kind of place has."""
    if isinstance(place, Lid):
        return replace(pupa, place=place.name, spot=None)
    return replace(pupa, place=place.name, x=None, y=None)
