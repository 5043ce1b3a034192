"""The temperatures in one column of a logger's table, each text understood once."""

from __future__ import annotations

from planner.season.logger.columns import Column
from planner.season.logger.layout import Layout
from planner.season.logger.number import number_of
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import from_fahrenheit

COLDEST, HOTTEST = -60.0, 70.0  # °C; no air temperature lies outside
HOTTEST_F = 158.0  # the same in °F
Value = float | str | None  # °C, or what is wrong with a cell; None: it says that nothing was read


class Values:
    """Reads one column; ``known``: what its texts mean, as far as they were read."""

    def __init__(self, name: str, column: Column, layout: Layout) -> None:
        self.name, self.at, self.fahrenheit, self.layout = name, column.at, column.fahrenheit, layout
        self.written = column.written if column.heading.rank < 2 else ""
        self.known: dict[str, Value] = {}

    def read(self, text: str) -> Value:
        """The temperature that a cell names; from then on it is known."""
        value = self.known[text] = self._read(text)
        return value

    def _read(self, text: str) -> Value:
        number = number_of(text)
        if number.empty:
            return None
        if number.value is None:
            return self.fault(text)
        if number.fahrenheit not in (None, self.fahrenheit):
            column = f"{self.name} is in {'°F' if self.fahrenheit else '°C'} by its column"
            return f"'{shorten(text)}': {column}: write all in one unit"
        celsius = from_fahrenheit(number.value) if self.fahrenheit else number.value
        return celsius if COLDEST <= celsius <= HOTTEST else self.fault(text, number.value)

    def fault(self, text: str, value: float = 0.0) -> str:
        """What is told of a cell that holds no temperature."""
        allowed = "-76 to 158 °F is allowed" if self.fahrenheit else "-60 to 70 °C is allowed"
        if not self.fahrenheit and HOTTEST < value <= HOTTEST_F:
            name = f"'{shorten(self.written, 40)} (°F)'" if self.written else f"{self.name}_F"
            line = "the first line" if self.layout.line == 1 else f"line {self.layout.line}"
            allowed += f"; if it is in °F, write {name} in {line}"
        return f"'{shorten(text)}' is not a temperature: {allowed}"
