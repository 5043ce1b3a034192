"""What a plan has for evenings to come: who is hung when, and the last evening on which it may be moved."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from planner.report.texts.sheet import Block, Table, Words
from planner.season.plan.plan_record import Kept, Plan
from planner.season.reading.told_dates import day_month, day_told, since
from planner.season.season import Season
from planner.words import few_ids, ids, percent, where


def evenings(plan: Plan) -> Iterator[tuple[str, str]]:
    """Each evening to come and who is hung then: ``Tue 13 Jul``, ``m34, m35 when firm``."""
    for day, ones in groupby(plan.later, key=lambda one: one.since.date()):
        yield day_told(day), evening_words(plan, [*ones])


def evening_words(plan: Plan, ones: Sequence[Kept]) -> str:
    """Who is hung on one evening, and when: ``m34 when firm; m7 when its spot is free (85 % likely)``."""
    taken = [one for one in ones if _waits_for_spot(plan, one)]
    soft = [one.who for one in ones if one not in taken]
    parts = [f"{few_ids(soft)} when firm"] if soft else []
    if taken:
        spot = "its spot is" if len(taken) == 1 else "their spots are"
        parts.append(f"{few_ids([one.who for one in taken])} when {spot} free" + _likely(taken))
    return "; ".join(parts) + _latest(ones)


def put_off_words(plan: Plan) -> str:
    """Who is only put off, as no spot is known for it yet, and when to plan again; empty where nobody is."""
    if not (put_off := plan.put_off):
        return ""
    stays = "stays on its lid" if len(put_off) == 1 else "stay on their lids"
    again = "--wait" if plan.evenings <= 2 else f"--evenings {plan.evenings}"
    on = since(min(one.until for one in put_off))
    off = f"That only puts it off: plan again, with {again}, on {on}."
    return f"{ids([one.pupa for one in put_off])} {stays} for now: no spot is known yet. {off}"


def later_table(season: Season, plan: Plan) -> Iterator[Block]:
    """A row for each pupa that is hung on a later evening, for the move list."""
    if not plan.later:
        return
    yield Words("On later evenings: plan again then, the steps are made that evening")
    rows = [
        (
            day_told(one.since),
            one.who,
            season.pupa[one.who].place if one.who in season.pupa else "",
            where(season, one.place, one.spot),
            "when free" if _waits_for_spot(plan, one) else "when firm",
            "" if one.chance is None or one.chance >= 1 else f"{percent(one.chance)} free",
            "" if one.latest is None else day_month(one.latest),
        )
        for one in plan.later
    ]
    yield Table(("evening", "pupa", "from", "to", "", "likely", "at the latest"), rows, (3,))


def _waits_for_spot(plan: Plan, one: Kept) -> bool:
    """Whether one is hung when its spot is free; the others have only to be firm."""
    return one.who in {wait.pupa for wait in plan.waits} or (one.chance is not None and one.chance < 1)


def _likely(ones: Sequence[Kept]) -> str:
    """How likely the spots are free by then, where that is not sure: ``(85 % likely)``."""
    chances = sorted({percent(one.chance) for one in ones if one.chance is not None and one.chance < 1})
    if not chances:
        return ""
    least = min(one.chance for one in ones if one.chance is not None)
    return f" ({percent(least)} likely{' or more' if len(chances) > 1 else ''})"


def _latest(ones: Sequence[Kept]) -> str:
    """The last evening on which the first of them may be moved."""
    last = min((one.latest for one in ones if one.latest), default=None)
    if last is None:
        return ""
    this = min(one.since for one in ones)
    return ", no later" if last.date() <= this.date() else f", at the latest {day_month(last)}"
