"""What ``learn`` gives beside its text: the plot, and everything for programs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from planner.cli.shell.talk import show_json
from planner.record.refusal import Refused
from planner.season.season import Season

if TYPE_CHECKING:
    from planner.draw.sheets.learning import Panel
    from planner.emergence import Accuracy, Due, Learned
    from planner.emergence.posterior import Summary


ACCURACY = ("error", "covered", "covered_if_right")


def drawing(season: Season, found: Sequence[Learned], fmt: str) -> bytes:
    """The plot's bytes. Raises Refused when there is nothing to draw."""
    from planner.draw.sheets.learning import learning_plot

    try:
        return learning_plot([_panels(season, x) for x in found], fmt)
    except ValueError as e:
        raise Refused([f"nothing was drawn: {e}"]) from None


def _panels(season: Season, learned: Learned) -> tuple[Panel, Panel]:
    from planner.draw.sheets.learning import Panel, Seen
    from planner.report.texts.judgement import covered_if_right, few

    found = []
    for kind, title, accuracy in (
        ("profile", "by the profile", learned.accuracy_before),
        ("learned", "learned from the other days", learned.accuracy_after),
    ):
        dues = [(c.ended, c.before if kind == "profile" else c.after) for c in learned.compared]
        points = tuple(Seen(ended, due.median, due.low, due.high) for ended, due in dues if due)
        right = covered_if_right(due for _, due in dues)
        note = f"mean error {accuracy.error:.2f} days; within the interval {accuracy.covered * 100:.0f} %"
        note += f" ({right * 100:.0f} % if right)"
        if few(season, learned):
            note = "too few records to judge by"
        found.append(Panel(kind, f"{learned.species}, {title}", note, points))
    return found[0], found[1]


def show_learned_json(
    season: Season, found: Sequence[Learned], now: datetime, accepted: Sequence[str], files: Sequence[Path]
) -> None:
    """Print everything for programs.

    ``{"on": moment, "assumption": text, "species": [...], "accepted": [species], "files": [path]}``, of each
    species ``{"species", "records", "hanging", "unused": [{"pupa", "why"}], "few": true or false,
    "unscored": how many had no date to compare, "before", "after":
    {"requirement", "spread", "season_share", "day_share", "days": [median, low, high], "error",
    "covered", "covered_if_right"}, "rate": degree-days a day, "gain": {"mean", "uncertain"}, "overruled":
    text, "compared": [{"pupa", "ended", "before", "after": {"median", "low", "high"}}]}``. Errors and gains
    are days, covered is a share; they are null with too few records, as is whatever else is not known.
    """
    from planner.emergence import assumption

    show_json(
        {
            "on": now.isoformat(),
            "assumption": assumption(season),
            "species": [_species(season, x) for x in found],
            "accepted": list(accepted),
            "files": [str(f) for f in files],
        }
    )


def _species(season: Season, learned: Learned) -> dict[str, Any]:
    from planner.report.texts.judgement import covered_if_right, few, gain, pace

    speed, better = pace(season, learned), gain(season, learned)
    too_few = few(season, learned)

    def values(summary: Summary, accuracy: Accuracy, dues: Iterable[Due | None]) -> dict[str, Any]:
        known = {} if too_few else {**asdict(accuracy), "covered_if_right": covered_if_right(dues)}
        return {
            **asdict(summary),
            "days": speed and list(speed.days(summary)),
            **{k: None if math.isnan(v := known.get(k, math.nan)) else v for k in ACCURACY},
        }

    return {
        "species": learned.species,
        "records": learned.records,
        "hanging": learned.hanging,
        "unused": [{"pupa": pupa, "why": why} for pupa, why in learned.unused],
        "few": too_few,
        "unscored": learned.unscored,
        "before": values(learned.before, learned.accuracy_before, (c.before for c in learned.compared)),
        "after": values(learned.after, learned.accuracy_after, (c.after for c in learned.compared)),
        "rate": speed and speed.rate,
        "gain": better and asdict(better),
        "overruled": learned.overruled,
        "compared": [
            {"pupa": c.pupa, "ended": c.ended.isoformat(), "before": _due(c.before), "after": _due(c.after)}
            for c in learned.compared
        ],
    }


def _due(due: Due | None) -> dict[str, str] | None:
    if due is None:
        return None
    return {k: getattr(due, k).isoformat(timespec="minutes") for k in ("median", "low", "high")}


def plain(values: dict[str, Any]) -> dict[str, Any]:
    """Dates as text."""
    return {k: v.isoformat() if isinstance(v, date) else v for k, v in values.items()}
