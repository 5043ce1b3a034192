"""Where the marks of predicted against actual stand, in days from the first day drawn."""

from datetime import date, datetime

import pytest
from matplotlib.collections import LineCollection
from matplotlib.colors import to_hex
from matplotlib.figure import Figure

from planner.draw.sheets.learning import Panel, Seen, learning_plot, limits, predicted_against_actual
from planner.style import VERMILION, WHITE


def seen(day, median, low, high):
    """All in July 2027; hours as decimals of a day."""

    def at(when):
        return datetime(2027, 7, int(when), round(when % 1 * 24))

    return Seen(date(2027, 7, day), at(median), at(low), at(high))


# Foretold for the 13th at noon, between the 11th and the 15th; one came that day, one on the 15th, which the
# interval just touches, one on the 16th, outside.
POINTS = (seen(13, 13.5, 11.5, 15.5), seen(15, 13.5, 11.5, 15.5), seen(16, 13.5, 11.5, 15.5))
BEFORE = Panel("profile", "monarch, by the profile", "mean error 1.67 days", POINTS)
AFTER = Panel("learned", "monarch, learned", "mean error 1.00 days", POINTS[:2])


def drawn(panel, span=None):
    return predicted_against_actual(panel, span or limits(panel.points), Figure().add_subplot())


def marks(ax):
    return [
        (float(x), float(y), to_hex(line.get_markerfacecolor()))
        for line in ax.lines
        for x, y in zip(line.get_xdata(), line.get_ydata(), strict=True)
    ]


def bars(ax):
    """Each bar's position, low end and high end."""
    segments = [s for c in ax.collections if isinstance(c, LineCollection) for s in c.get_segments()]
    return [(float(s[0][0]), float(s[0][1]), float(s[1][1])) for s in segments]


def test_the_axes_hold_every_emergence_and_every_interval():
    assert limits(POINTS) == (date(2027, 7, 11), date(2027, 7, 16))
    ax = drawn(BEFORE)
    # The 11th to the 16th: six days, both ways.
    assert (ax.get_xlim(), ax.get_ylim()) == ((0, 6), (0, 6))


def test_a_mark_stands_in_the_day_it_emerged_at_the_height_of_its_forecast():
    # From the 11th: the 13th's middle is 2.5, the forecast's noon of the 13th too.
    assert [(x, y) for x, y, _ in marks(drawn(BEFORE))] == [(2.5, 2.5), (4.5, 2.5), (5.5, 2.5)]


def test_a_bar_is_the_interval():
    assert bars(drawn(BEFORE)) == [(2.5, 0.5, 4.5), (4.5, 0.5, 4.5), (5.5, 0.5, 4.5)]


def test_a_day_outside_the_interval_is_hollow():
    assert [fill for *_, fill in marks(drawn(BEFORE))] == [VERMILION, VERMILION, WHITE]


def test_before_and_after_differ_in_shape_as_well_as_in_colour():
    assert {line.get_marker() for line in drawn(BEFORE).lines} == {"s"}
    assert {line.get_marker() for line in drawn(AFTER).lines} == {"o"}


def test_those_of_one_day_stand_side_by_side_the_earliest_forecast_first():
    points = (seen(13, 14.5, 13, 16), seen(13, 12.5, 11, 14))
    ax = drawn(Panel("learned", "", "", points), (date(2027, 7, 11), date(2027, 7, 16)))
    assert [(x, y) for x, y, _ in marks(ax)] == [(2.25, 1.5), (2.75, 3.5)]


@pytest.mark.parametrize(
    ("last", "names"),
    [
        (12, ["11 Jul", "12 Jul"]),
        (16, ["11 Jul", "12 Jul", "13 Jul", "14 Jul", "15 Jul", "16 Jul"]),
        (22, ["11 Jul", "13 Jul", "15 Jul", "17 Jul", "19 Jul", "21 Jul"]),
        (31, ["11 Jul", "18 Jul", "25 Jul"]),
    ],
)
def test_at_most_six_days_are_named(last, names):
    ax = drawn(BEFORE, (date(2027, 7, 11), date(2027, 7, last)))
    ax.figure.canvas.draw()
    for axis in (ax.xaxis, ax.yaxis):
        assert [label.get_text() for label in axis.get_ticklabels()] == names


def test_a_whole_year_is_drawn_with_few_names():
    ax = drawn(BEFORE, (date(2027, 1, 1), date(2029, 12, 31)))
    assert len(ax.xaxis.get_ticklocs()) <= 6


@pytest.mark.parametrize(("fmt", "start"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF")])
def test_every_format_is_written_and_the_same_each_time(fmt, start):
    data = learning_plot([(BEFORE, AFTER)], fmt)
    assert data.startswith(start)
    assert data == learning_plot([(BEFORE, AFTER)], fmt)


def test_titles_and_notes_can_be_read_and_a_dollar_is_only_a_dollar():
    panel = Panel("profile", "my $x$ moth", "too few records to judge by", POINTS)
    picture = learning_plot([(panel, AFTER)], "svg").decode()
    for text in ("my $x$ moth", "too few records to judge by", "emerged", "foretold", "bar: 90 % interval"):
        assert text in picture


def test_a_species_without_a_forecast_takes_no_room():
    nothing = Panel("profile", "ghost", "", ()), Panel("learned", "ghost", "", ())
    assert learning_plot([nothing, (BEFORE, AFTER)], "svg") == learning_plot([(BEFORE, AFTER)], "svg")
    with pytest.raises(ValueError, match="no day of emergence is known, so there is no forecast to draw"):
        learning_plot([nothing], "png")


def test_nothing_runs_off_the_sheet_or_over_another_text(monkeypatch):
    figures = []
    monkeypatch.setattr("planner.draw.sheets.learning.plotted", lambda found, _: figures.append(found) or b"")
    learning_plot([(BEFORE, AFTER)] * 2, "png")
    (figure,) = figures
    figure.canvas.draw()
    boxes = [ax.get_tightbbox() for ax in figure.axes]
    page = figure.bbox
    assert all(page.x0 <= b.x0 and b.x1 <= page.x1 and page.y0 <= b.y0 and b.y1 <= page.y1 for b in boxes)
    for i, a in enumerate(boxes):
        assert not any(a.overlaps(b) for k, b in enumerate(boxes) if k > i and k % 2 == i % 2)


def test_a_thousand_emergences_take_no_more_artists_than_three():
    points = tuple(seen(1 + i % 28, 1.5 + i % 28, 1, 3 + i % 28) for i in range(1000))
    many, few = (drawn(Panel("profile", "", "", p), limits(points)) for p in (points, points[:3]))
    assert len(marks(many)) == 1000
    assert (len(many.lines), len(many.collections)) == (len(few.lines), len(few.collections))
