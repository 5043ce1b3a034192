"""The picture of what `compare.py` measured: docs/images/compare.json → docs/images/compare.png.

Run by hand: ``python tests/bench/compare_plot.py``.
"""

from __future__ import annotations

import json
from pathlib import Path

import matplotlib.pyplot as plt

IMAGES = Path(__file__).parents[2] / "docs" / "images"
STYLE = {  # colours of Okabe and Ito, and a mark of its own for each: colour is not the only sign
    "ours": ("#0072B2", "o", "ours"),
    "cp-sat": ("#D55E00", "s", "CP-SAT, one Boolean per pupa and spot"),
    "highs": ("#009E73", "^", "HiGHS, one variable per spot and date"),
    "colouring": ("#CC79A7", "D", "greedy colouring of spots"),
    "person": ("#555555", "v", "sorted and dealt in turn"),
}
KINDS = {"lines": "Empty lines", "hung": "A third hangs already"}
WHAT = {"seconds": "processor seconds", "GiB": "peak memory, GiB"}


def main() -> None:
    found = json.loads((IMAGES / "compare.json").read_text())
    fig, axes = plt.subplots(2, 2, figsize=(10, 7.2), sharex=True, sharey="row", layout="constrained")
    for column, (kind, title) in zip(axes.T, KINDS.items(), strict=True):
        column[0].set_title(title, fontsize=11)
        for ax, (key, label) in zip(column, WHAT.items(), strict=True):
            for method, (colour, mark, name) in STYLE.items():
                rows = [r for r in found["rows"] if (r["kind"], r["method"]) == (kind, method)]
                done = [r for r in rows if r[key] is not None]
                at, values = [r["pupae"] for r in done], [max(r[key], 1e-3) for r in done]
                ax.plot(at, values, color=colour, lw=1.4, marker=mark, label=name)
                for r, value in zip(done, values, strict=True):
                    fill = colour if r["clean"] == r["trials"] else "white"
                    ax.plot(r["pupae"], value, mark, ms=7, color=colour, mfc=fill)
                for r in rows:
                    if r[key] is None and key == "seconds":
                        ax.plot(r["pupae"], found["limit"], "x", ms=9, mew=2, color=colour)
            ax.set(xscale="log", yscale="log")
            ax.xaxis.set_major_formatter(lambda n, _: f"{n:,.0f}")
            ax.yaxis.set_major_formatter(lambda v, _: f"{v:g}")
            ax.yaxis.set_minor_formatter(
                lambda v, _, key=key: f"{v:g}" if key == "GiB" and f"{v:.0e}"[0] in "25" else ""
            )
            ax.grid(True, which="major", color="#dddddd", lw=0.6)
            ax.spines[["top", "right"]].set_visible(False)
            if ax is axes[0, 0] or ax is axes[1, 0]:
                ax.set_ylabel(label)
        column[1].set_xlabel("pupae")
    fig.legend(*axes[0, 0].get_legend_handles_labels(), loc="outside upper center", ncols=3, frameon=False)
    limit = f"×: stopped after {found['limit']} processor seconds"
    note = f"filled: no clash in any trial; hollow: clashes left; {limit}"
    fig.supxlabel(note, fontsize=9)
    fig.savefig(IMAGES / "compare.png", dpi=110)


if __name__ == "__main__":
    main()
