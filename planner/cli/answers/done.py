"""What ``done`` says: where each hangs now, which moves are left, what next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from planner.cli.shell.talk import show, show_json, show_paragraph, tell_paragraph
from planner.follow.progress import Progress
from planner.record.pupae_table import emptied_lids
from planner.record.steps_done import Hung
from planner.season.places import Lid
from planner.season.reading.when import When
from planner.season.season import Season
from planner.words import call, count, ids, where

MOST_CLASHES = 5  # told one by one
MOST_SPOTS = 4  # told with where they hang
WATCH = "Handled while soft or darkening, a pupa may be harmed: leave it alone and look after it."


def report(
    progress: Progress,
    after: Progress,
    hung: Sequence[Hung],
    when: When,
    cautions: Sequence[str],
    json_form: bool,
    clashing: Sequence[str] = (),
) -> None:
    """Tell what was recorded. ``progress`` is from before it, ``after`` from after it."""
    on_record = after.season.pupa
    hung = [replace(h, spot=on_record[h.pupa].spot or h.spot) for h in hung]
    season, left, lids = (
        progress.season,
        after.to_do,
        emptied_lids(progress.season, [h.pupa for h in hung], [h.place for h in hung]),
    )
    if json_form:
        show_json(
            {
                "done": [
                    {
                        "id": h.pupa,
                        "place": h.place,
                        "spot": h.spot,
                        "hung": str(when),
                        "steps": list(h.steps),
                    }
                    for h in hung
                ],
                "remaining": [
                    {"id": m.pupa, "step": m.step, "place": m.to_place, "spot": m.to_spot} for m in left
                ],
                "empty_lids": lids,
                "cautions": list(cautions),
                "clashes": list(clashing),
                "problems": [],
            }
        )
        return
    at = when.told
    show_paragraph(f"recorded: hung on {at}{_who(season, hung)}")
    for name in lids:
        show(f"lid {name} is empty")
    if left:
        moves = count(len(left), "move")
        verb = "remains" if len(left) == 1 else "remain"
        show_paragraph(f"{moves} of the plan {verb}: {ids(m.pupa for m in left)}")
    elif progress.plan.moves:
        show("all moves of the plan are done")
    show_paragraph(f"Next: {_next(season, progress, hung, bool(left))}")
    for text in clashing[:MOST_CLASHES]:
        tell_paragraph(f"note: {text}")
    if len(clashing) > MOST_CLASHES:
        tell_paragraph(f"note: it clashes with {len(clashing) - MOST_CLASHES} more")
    for text in cautions:
        tell_paragraph(f"note: {text}")
    if cautions:
        tell_paragraph(WATCH, hang="")


def _who(season: Season, hung: Sequence[Hung]) -> str:
    """A few with their spots; of more that hang as planned only the names."""
    if len(hung) > MOST_SPOTS and all(h.steps for h in hung):
        return f" as planned: {ids(h.pupa for h in hung)} ({count(len(hung), 'pupa', 'pupae')})"
    return ": " + ", ".join(f"{h.pupa} at {_spot(season, h)}" for h in hung)


def _spot(season: Season, hung: Hung) -> str:
    """``north 36 cm``; on a lid its point, if it was measured: ``tub-2 5,5``."""
    point = f" {hung.spot}" if isinstance(season.place.get(hung.place), Lid) and hung.spot != "?" else ""
    return where(season, hung.place, hung.spot) + point


def _next(season: Season, progress: Progress, hung: Sequence[Hung], left: bool) -> str:
    today = f"'{call('today', season.folder)}' shows what {'may be moved now' if left else 'is next'}"
    if any(not h.steps for h in hung) and progress.plan.hangs:
        return f"'{call('check', season.folder)}' looks whether all is well with that; {today}"
    return today
