"""The weeks to come as a picture: emergences and arrivals above, spots needed and spots there below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil

from matplotlib.axes import Axes

from planner.draw.paper.plot import blank, plotted
from planner.draw.paper.render import look
from planner.draw.paper.words import fit, font
from planner.season.reading.told_dates import DAYS, day_month
from planner.style import BLACK, BLUE, BODY, FAINT, LARGE, ORANGE, QUIET, VERMILION

SIZE = (240.0, 150.0)  # mm
EMERGE, ARRIVE = BLUE, ORANGE  # the second is hatched as well
MOST_NAMES = 16  # days named below the axis


@dataclass(frozen=True)
class Course:
    """One value for each day. ``needed_most``: enough with a chance of 9 in 10; ``spots``: there are."""

    days: Sequence[date]
    emerging: Sequence[float]
    arriving: Sequence[int]
    needed: Sequence[float]
    needed_most: Sequence[int]
    spots: Sequence[int]


@look()
def outlook_picture(title: str, course: Course, fmt: str) -> bytes:
    """The picture's bytes, as png, svg or pdf."""
    figure = blank(*SIZE)
    upper = figure.add_axes((0.08, 0.56, 0.89, 0.31))
    lower = figure.add_axes((0.08, 0.11, 0.89, 0.34))
    figure.text(0.08, 0.94, fit(title, LARGE, 0.89 * SIZE[0], True), fontproperties=font(LARGE, True),
                parse_math=False)  # fmt: skip
    draw_emerging(course, upper)
    draw_spots(course, lower)
    return plotted(figure, fmt)


def draw_emerging(course: Course, ax: Axes) -> Axes:
    """Bars of those who emerge, and beside them of those who arrive to be hung."""
    at = range(len(course.days))
    ax.bar([x - 0.2 for x in at], course.emerging, 0.4, color=EMERGE, label="expected to emerge")
    if any(course.arriving):
        ax.bar([x + 0.2 for x in at], course.arriving, 0.4, color=ARRIVE, edgecolor=BLACK, hatch="//",
               linewidth=0.5, label="expected to arrive")  # fmt: skip
    highest = max(*course.emerging, *course.arriving, 1.0)
    _days(course, ax)
    return _finish(ax, "pupae a day", highest)


def draw_spots(course: Course, ax: Axes) -> Axes:
    """Steps of the spots needed, on average and at most, under the line of those there are."""
    edges = [x - 0.5 for x in range(len(course.days) + 1)]
    ax.stairs(course.needed_most, edges, color=EMERGE, linewidth=1.2, linestyle="--",
              label="at most needed (9 in 10)")  # fmt: skip
    ax.stairs(course.needed, edges, fill=True, color=EMERGE, alpha=0.35)
    ax.stairs(course.needed, edges, color=EMERGE, linewidth=2, label="needed on average")
    ax.stairs(course.spots, edges, color=VERMILION, linewidth=2, baseline=None,
              label=f"spots there: {_from_to(course.spots)}")  # fmt: skip
    _days(course, ax)
    return _finish(ax, "spots", max(*course.needed_most, *course.spots, 1))


def _from_to(spots: Sequence[int]) -> str:
    """``7``, or ``7 to 11``."""
    return " to ".join(map(str, dict.fromkeys((min(spots), max(spots)))))


def _days(course: Course, ax: Axes) -> None:
    """Name the days: all of them, or every second, third … where they are many."""
    step = ceil(len(course.days) / MOST_NAMES)
    at = list(range(0, len(course.days), step))
    ax.set_xlim(-0.7, len(course.days) - 0.3)
    ax.set_xticks(at, [_name(course.days[i]) for i in at])


def _name(day: date) -> str:
    return f"{DAYS[day.weekday()]}\n{day_month(day)}"


def _finish(ax: Axes, unit: str, highest: float) -> Axes:
    ax.set_ylim(0, highest * 1.1)
    ax.set_ylabel(unit, fontproperties=font(BODY))
    for label in (*ax.get_xticklabels(), *ax.get_yticklabels()):
        label.set_fontproperties(font(BODY))
    ax.tick_params(colors=QUIET)
    ax.grid(axis="y", color=FAINT, linewidth=0.4)
    ax.set_axisbelow(True)
    for side in ("top", "right"):
        ax.spines[side].set_visible(False)
    ax.legend(loc="lower right", bbox_to_anchor=(1, 1), ncols=3, frameon=False, prop=font(BODY),
              borderaxespad=0.2)  # fmt: skip
    return ax
