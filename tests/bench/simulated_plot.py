"""The picture of the simulated seasons: clashes a season against load."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from statistics import fmean
from typing import Any

from simulated_world import rack

# Okabe and Ito's colours, which colour-blind people tell apart; each way has its own mark and line too.
LOOKS = (
    ("#999999", "x", ":"),
    ("#cc79a7", "v", ":"),
    ("#e69f00", "^", "--"),
    ("#e69f00", "2", "-."),
    ("#d55e00", "s", "--"),
    ("#56b4e9", "D", "-."),
    ("#0072b2", "o", "-"),
    ("#009e73", "P", "-"),
    ("#000000", "*", "-"),
)


def plot(path: Path, jobs: Sequence[Any], found: dict[str, dict[str, float | None]]) -> None:
    """One panel for each rack."""
    import matplotlib

    matplotlib.use("Agg")
    from matplotlib import pyplot

    racks = list(dict.fromkeys(job.rack for job in jobs))
    names = list(dict.fromkeys(job.way for job in jobs if "clashes" in found[job.key]))
    loads = sorted({job.load for job in jobs})
    figure, panels = pyplot.subplots(
        1, len(racks), figsize=(4.5 * len(racks), 3.9), sharey=True, layout="constrained", squeeze=False
    )
    for axes, where in zip(panels[0], racks, strict=True):
        for name, (colour, mark, line) in zip(names, LOOKS, strict=False):
            mean = [
                fmean(
                    found[j.key]["clashes"] or 0
                    for j in jobs
                    if (j.rack, j.way, j.load) == (where, name, load)
                )
                for load in loads
            ]
            axes.plot([100 * x for x in loads], mean, color=colour, marker=mark, linestyle=line, label=name)
        axes.set_yscale("symlog", linthresh=1)  # 0 is the aim, and must be seen
        most = max(map(len, rack(where).near))
        axes.set(
            title=f"{where}: {most} neighbours at most",
            xlabel="spots taken, %",
            xticks=[100 * x for x in loads],
        )
        axes.spines[["top", "right"]].set_visible(False)
    panels[0][0].set_ylim(-0.1, None)  # shared; only now, when all are drawn
    panels[0][0].set_ylabel("clashes in a season of 60 days")
    figure.legend(
        *panels[0][0].get_legend_handles_labels(),
        frameon=False,
        loc="outside lower center",
        ncols=1 + len(racks),
    )
    figure.savefig(path, dpi=120, metadata={"Software": None})
