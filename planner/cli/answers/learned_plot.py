"""The plot of ``learn``: forecasts against records, by the profile and as learned."""

from __future__ import annotations

from collections.abc import Sequence

from planner.draw.sheets.learning import Panel, Seen, learning_plot
from planner.emergence import Learned
from planner.record.refusal import Refused
from planner.report.texts.judgement import covered_if_right, few, spans
from planner.season.season import Season
from planner.words import percent


def drawing(season: Season, found: Sequence[Learned], fmt: str) -> bytes:
    """The plot's bytes. Raises Refused when there is nothing to draw."""
    try:
        return learning_plot([_panels(season, x) for x in found], fmt)
    except ValueError as e:
        raise Refused([f"nothing was drawn: {e}"]) from None


def _panels(season: Season, learned: Learned) -> tuple[Panel, Panel]:
    found = []
    for kind, title, accuracy in (
        ("profile", "by the profile", learned.accuracy_before),
        ("learned", "learned from the other days", learned.accuracy_after),
    ):
        dues = [(c.ended, c.before if kind == "profile" else c.after) for c in learned.compared]
        points = tuple(Seen(ended, due.median, due.low, due.high) for ended, due in dues if due)
        right = covered_if_right((due for _, due in dues), spans(learned))
        note = f"mean error {accuracy.error:.2f} days; within the interval {percent(accuracy.covered)}"
        note += f" ({percent(right)} if right)"
        if few(season, learned):
            note = "too few records to judge by"
        found.append(Panel(kind, f"{learned.species}, {title}", note, points))
    return found[0], found[1]
