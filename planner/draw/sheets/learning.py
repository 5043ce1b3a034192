"""Predicted against actual days of emergence, with the 90 % intervals: what a species' records show."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from matplotlib.axes import Axes
from matplotlib.ticker import FixedLocator, FuncFormatter

from planner.draw.paper.plot import blank, plotted
from planner.draw.paper.render import look
from planner.draw.paper.words import fit, font, plain
from planner.season.reading.told_dates import day_month
from planner.style import BLUE, BODY, FAINT, LARGE, QUIET, SMALLEST, UNKNOWN, VERMILION, WHITE

MARKS = {"profile": ("s", VERMILION), "learned": ("o", BLUE)}
PANEL, LEFT, GAP, HEAD, FOOT = 100.0, 22.0, 24.0, 20.0, 18.0  # mm
WIDTH = LEFT + 2 * PANEL + GAP + 8
STEPS = (1, 2, 7, 14, 28, 56)  # days from one date on an axis to the next
MOST_DATES = 6
LEGEND = "bar: 90 % interval; grey: foretold for the very day; hollow: that day lies outside the interval"


@dataclass(frozen=True)
class Seen:
    """One emergence: its day, and the forecast's median and interval."""

    day: date
    median: datetime
    low: datetime
    high: datetime

    @property
    def within(self) -> bool:
        """Whether any hour of the day lies in the interval."""
        start = datetime.combine(self.day, time())
        return self.low < start + timedelta(days=1) and self.high > start


@dataclass(frozen=True)
class Panel:
    """Forecasts of one kind, ``profile`` or ``learned``, of one species."""

    kind: str
    title: str
    note: str
    points: tuple[Seen, ...]


@look()
def learning_plot(rows: Sequence[tuple[Panel, Panel]], fmt: str) -> bytes:
    """Make the file: one row for each species, before and after side by side.

    Raises ValueError for an unknown format, where no forecast is to be drawn, or a PNG would be too high.
    """
    drawn = [pair for pair in rows if any(panel.points for panel in pair)]
    if not drawn:
        raise ValueError("no day of emergence is known, so there is no forecast to draw")
    row = HEAD + PANEL + FOOT
    height = row * len(drawn)
    figure = blank(WIDTH, height)
    for i, pair in enumerate(drawn):
        span = limits([*pair[0].points, *pair[1].points])
        for k, panel in enumerate(pair):
            corner = (LEFT + k * (PANEL + GAP), height - i * row - HEAD - PANEL)
            place = (corner[0] / WIDTH, corner[1] / height, PANEL / WIDTH, PANEL / height)
            predicted_against_actual(panel, span, figure.add_axes(place))
    return plotted(figure, fmt)


def limits(points: Sequence[Seen]) -> tuple[date, date]:
    """First and last day on both axes: of all emergences and intervals."""
    days = [d for p in points for d in (p.day, p.low.date(), p.high.date())]
    return min(days), max(days)


def predicted_against_actual(panel: Panel, span: tuple[date, date], ax: Axes) -> Axes:
    """Draw one panel; both axes in days from the first of ``span``.

    The hour of an emergence is not known: those of one day stand side by side within it, the earliest
    forecast first.
    """
    first, length = span[0], (span[1] - span[0]).days + 1
    zero = datetime.combine(first, time())
    # A forecast is right for the day from its start to its end: the squares along the diagonal.
    corners = [k // 2 for k in range(1, 2 * length + 1)]
    floor = [k // 2 for k in range(2 * length)]
    ax.fill_between(corners, floor, [k + 1 for k in floor], color=UNKNOWN, linewidth=0, zorder=1)
    marker, colour = MARKS[panel.kind]
    by_day = defaultdict[date, list[Seen]](list)
    for point in sorted(panel.points, key=lambda p: p.median):
        by_day[point.day].append(point)
    marks: dict[bool, list[tuple[float, float]]] = {True: [], False: []}
    bars = []
    for day, points in by_day.items():
        for i, point in enumerate(points):
            x = (day - first).days + (i + 0.5) / len(points)
            times = (point.low, point.median, point.high)
            low, median, high = ((t - zero) / timedelta(days=1) for t in times)
            bars.append((x, low, high))
            marks[point.within].append((x, median))
    ax.vlines(*zip(*bars, strict=True), color=colour, linewidth=0.8, zorder=2)
    for within, at in marks.items():
        face = colour if within else WHITE
        xs, ys = [x for x, _ in at], [y for _, y in at]
        ax.plot(xs, ys, marker, ms=3.5, mfc=face, mec=colour, mew=0.8, zorder=3)
    ax.set(xlim=(0, length), ylim=(0, length), aspect="equal")
    _dates(first, length, ax)
    ax.spines[["top", "right"]].set_visible(False)
    ax.set_title(
        fit(plain(panel.title), LARGE, PANEL),
        loc="left",
        pad=18,
        parse_math=False,
        fontproperties=font(LARGE),
    )
    ax.text(0, 1.02, fit(panel.note, BODY, PANEL), transform=ax.transAxes, fontproperties=font(BODY))
    ax.set_xlabel("emerged", fontproperties=font(BODY))
    ax.set_ylabel("foretold", fontproperties=font(BODY))
    if panel.kind == "profile":
        ax.text(0, -0.16, LEGEND, transform=ax.transAxes, fontproperties=font(SMALLEST), color=QUIET)
    return ax


def _dates(first: date, length: int, ax: Axes) -> None:
    """Mark at most MOST_DATES days in their middle, the same on both axes."""
    step = next((s for s in STEPS if length / s <= MOST_DATES), -(-length // MOST_DATES))
    for axis in (ax.xaxis, ax.yaxis):
        axis.set_major_locator(FixedLocator([day + 0.5 for day in range(0, length, step)]))
        axis.set_major_formatter(FuncFormatter(lambda at, _: day_month(first + timedelta(days=int(at)))))
        for label in axis.get_ticklabels():
            label.set_fontproperties(font(SMALLEST))
    ax.grid(color=FAINT, linewidth=0.2, zorder=0)
