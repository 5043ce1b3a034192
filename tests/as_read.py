"""A season made by a test, with what its files hold: as if it had been read from its folder."""

from dataclasses import replace

from planner.season.load import LARGEST_READINGS, LEARNED, read_bytes
from planner.season.yaml_text import LARGEST


def as_read(season):
    file = season.temperature_file
    readings = read_bytes(season.folder, file, LARGEST_READINGS) if file else None
    return replace(season, readings=readings, learned=read_bytes(season.folder, LEARNED, LARGEST))
