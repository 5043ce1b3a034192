"""A season made by a test, with what its files hold: as if it had been read from its folder."""

from dataclasses import replace

from planner.season.load import LARGEST_READINGS, LEARNED
from planner.season.reading.yaml_text import LARGEST
from planner.season.store.disk import read_bytes


def as_read(season):
    readings, forecast = (
        read_bytes(season.folder, file, LARGEST_READINGS) if file else None
        for file in (season.temperature_file, season.forecast_file)
    )
    learned = read_bytes(season.folder, LEARNED, LARGEST)
    return replace(season, readings=readings, forecast_table=forecast, learned=learned)
