"""Why there is no plan without clashes, in sentences that name pupae, dates and spots."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator

from planner.report.texts.pairs import no_date
from planner.season.plan.plan_record import Plan
from planner.season.plan.reason_record import Reason
from planner.season.reading.told_dates import day_month
from planner.season.season import Season
from planner.words import MOST_NAMED, count, some_ids, where

MOST = MOST_NAMED  # spots named
PROVED = " Proved"  # how the sentence begins that tells how far the proof goes
MANY = 2  # with a date; of fewer there is no gap to be told
MOST_HELD = 12  # pairs named of which neither may be moved: all of them are among the plan's clashes


def reason_texts(season: Season, plan: Plan, reasons: tuple[Reason, ...]) -> tuple[str, ...]:
    """One paragraph for each cause; the plan says what counts as too near."""
    held = [one for one in reasons if one.cause == "held"]
    named = [*held[:MOST_HELD], *(one for one in reasons if one.cause != "held")]
    undated = {h.pupa for h in plan.hangs if h.due is None}
    texts = [" ".join((*_TEXTS[one.cause](season, plan, one), *_no_date(one, undated))) for one in named]
    if (more := len(held) - MOST_HELD) > 0:
        pairs = f"So {'is' if more == 1 else 'are'} {count(more, 'more pair', 'more pairs')}"
        texts.insert(MOST_HELD, f"{pairs} of the clashes: neither may be moved.")
    return tuple(texts)


def _near(plan: Plan, one: Reason) -> str:
    """What makes those clash, in words; who has no date may be due with any other."""
    undated = {h.pupa for h in plan.hangs if h.due is None}
    crowd = {*(one.crowd or one.pupae), *one.hanging}
    perhaps = "perhaps due on one day"
    if not crowd & undated:
        return plan.too_near
    return perhaps if len(crowd - undated) < MANY else f"{plan.too_near}, or {perhaps}"


def _no_date(one: Reason, undated: Collection[str]) -> Iterator[str]:
    """Who of those has no date, where dates count."""
    everybody = dict.fromkeys((*one.crowd, *one.pupae, *one.hanging))
    names = [name for name in everybody if name in undated]
    if names and one.cause != "spots":
        yield no_date(names)


def _due(plan: Plan, one: Reason) -> str:
    if one.first is None:
        return "without a date"
    first, last = day_month(one.first), day_month(one.last)
    due = f"due {first}" if first == last else f"due {first} to {last}"
    undated = {h.pupa for h in plan.hangs if h.due is None}
    return f"{due} or on a day not known" if undated & {*(one.crowd or one.pupae)} else due


def _who(plan: Plan, one: Reason) -> str:
    crowd = one.crowd or one.pupae
    return f"{count(len(crowd), 'pupa', 'pupae')} ({some_ids(crowd)}), {_due(plan, one)},"


def _spots(season: Season, one: Reason) -> str:
    """``, for instance north 4 cm, north 16 cm and 2 more``; on lids they are counted."""
    named = [where(season, place, spot) for place, spot in one.spots if spot]
    more = [f"{len(named) - MOST} more"] if len(named) > MOST else []
    on_lids = Counter(place for place, spot in one.spots if not spot)
    told = [*named[:MOST], *more, *(f"{many} on {lid}" for lid, many in on_lids.items())]
    return f", for instance {', '.join(told)}" if told else ""


def _last(one: Reason) -> Iterator[str]:
    """How far the proof goes."""
    number = len(one.pupae)
    if one.minimal and number > 1:
        who = f"{some_ids(one.pupae)} alone" if len(one.crowd) > number else "they"
        yield f"Proved: {who} cannot all be hung, but they can without any one of them."
    elif one.minimal:
        yield "Proved."
    else:
        yield f"Proved for {some_ids(one.pupae)}; fewer of them may be too many already."


def _held(season: Season, plan: Plan, one: Reason) -> Iterator[str]:
    due = {h.pupa: f"due {day_month(h.due)}" if h.due else "no date" for h in plan.hangs}
    sides = [
        f"{name} ({where(season, place, spot) if spot else place}, {due.get(name, 'due ?')})"
        for name, (place, spot) in zip(one.pupae, one.spots, strict=True)
    ]
    yield f"{' and '.join(sides)} are too close, and neither may be moved."
    yield "; ".join(f"{name}: {why}" for name, why in zip(one.pupae, one.why, strict=True)) + "."


def _no_spots(season: Season, plan: Plan, one: Reason) -> Iterator[str]:  # noqa: ARG001
    need = "needs" if len(one.crowd) == 1 else "need"
    leave = f"must leave {', '.join(one.clear)}" if one.clear else f"{need} a spot"
    there = f"there is room for only {one.room}" if one.room else "no spot is free"
    yield f"{_who(plan, one)} {leave}, and {there}, whatever their dates.{_unusable(one)}"
    yield from _last(one)


def _apart(season: Season, plan: Plan, one: Reason) -> Iterator[str]:
    there = count(one.room, "such spot", "such spots")
    yield f"{_who(plan, one)} each need a spot out of reach of the others: they are {_near(plan, one)}."
    yield f"There {'is' if one.room == 1 else 'are'} only {there}{_spots(season, one)}.{_unusable(one)}"
    yield from _last(one)


def _beside(season: Season, plan: Plan, one: Reason) -> Iterator[str]:
    at = {h.pupa: where(season, h.place, h.spot) for h in plan.hangs}
    there: defaultdict[str, list[str]] = defaultdict(list)
    for name in one.hanging:
        there[at.get(name, "?")].append(name)
    named = [f"{some_ids(names)} ({spot})" for spot, names in [*there.items()][:MOST]]
    more = sum(map(len, [*there.values()][MOST:]))
    hung = ", ".join(named) + (f" and {more} more" if more else "")
    find = "finds" if len(one.pupae) == 1 else "find"
    only = f"{find} room for only {one.room}" if one.room else f"{find} no spot"
    yield f"{_who(plan, one)} {only}: beside the free spots hang others, {_near(plan, one)}."
    yield f"These may not be moved: {hung}."
    yield from _last(one)


def _out_of_use(season: Season, plan: Plan, one: Reason) -> Iterator[str]:  # noqa: ARG001
    room = f"there is room for only {one.room}" if one.room else "there is none"
    yield f"{_who(plan, one)} could be hung if every spot could be used; as it is, {room}.{_unusable(one)}"
    yield from _last(one)


def _other(season: Season, plan: Plan, one: Reason) -> Iterator[str]:
    yield f"{_who(plan, one)} cannot all be hung so that no neighbours are {_near(plan, one)}."
    yield f"There is room for only {one.room} of them{_spots(season, one)}.{_unusable(one)}"
    yield from _last(one)


def _unusable(one: Reason) -> str:
    """Which spots are out of use, where there are any."""
    told = [f"{count(u.count, 'spot')} on {u.place} ({u.why})" for u in one.unusable]
    return f" Not used: {', '.join(told)}." if told else ""


_TEXTS = {
    "held": _held,
    "spots": _no_spots,
    "apart": _apart,
    "beside": _beside,
    "unusable": _out_of_use,
    "other": _other,
}
