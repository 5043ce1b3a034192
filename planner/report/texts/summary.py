"""What a plan comes to, for the terminal: what was reached and proved, and what to look after."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping

from planner.emergence import Forecast
from planner.report.texts.moves import move_table
from planner.report.texts.pairs import pair_rows
from planner.report.texts.sheet import Block, Sheet, Table, Words
from planner.report.texts.text import CAUTION
from planner.report.texts.ways_out import DELAY, HEAD, NO_HELP, NONE
from planner.season.places import Lid
from planner.season.plan.plan_record import Plan
from planner.season.season import Season
from planner.words import count, days, ids, moment

FIRST = 8  # moves shown; the move list has all
MOST_CLASHES = 30  # pairs shown; the move list and plan.yaml have all
MOST_WAITING = 8  # pairs shown; plan.yaml has all
MOST_STUCK = 8  # pupae shown; plan.yaml has all
NO_SPOT = "no spot for it"  # why one is left on a lid to be cleared that could be moved
_MEANING = {
    "waiting": "evenings on lids",
    "left": "left on lids to clear",
    "clashes": "clashes",
    "trouble": "weight of the clashes",
    "touched": "pupae to move",
    "handling": "moves, by price",
    "room": "to come, without room",
    "length": "yarn used",
    "carrying": "carrying and order",
    "smallest_gap": "smallest gap, days",
    "close": "hung by near dates",
    "risk": "pairs drying together",
    "elbow_room": "too near for hands",
}


def summary(season: Season, plan: Plan, forecasts: Mapping[str, Forecast]) -> Sheet:
    """Say what a plan comes to.

    Parameters
    ----------
    season, plan
        The plan must be of this season.
    forecasts
        Of every present pupa, at the moment of the plan.
    """
    parts = (
        _head(season, plan),
        _proof(season, plan),
        _clashes(season, plan),
        _why(plan),
        _waits(plan),
        _waiting(season, plan),
        _left(season, plan, forecasts),
        _stuck(plan),
        _untouched(forecasts),
        _moves(season, plan),
    )
    return Sheet.of(parts)


def _head(season: Season, plan: Plan) -> Iterator[Block]:
    yield Words(f"{season.name}: plan of {moment(plan.on)}, {plan.on.year}", tone="head")
    on_lids = sum(isinstance(season.place.get(h.place), Lid) for h in plan.hangs)
    stay = f"{on_lids} stay on lids" if on_lids != 1 else "1 stays on a lid"
    pupae, hang = count(len(plan.hangs), "pupa", "pupae"), len(plan.hangs) - on_lids
    verb = "hangs" if hang == 1 else "hang"
    yield Words(f"{pupae}: {hang} {verb} on lines and boards, {stay}; {len(plan.movers)} to be moved.")
    if not plan.clashes:
        yield Words(_no_clashes(plan))
    if "clashes_without_rehang" in plan.settings:
        yield Words(_rehung(season, plan))
    if plan.kept or any(level.name == "room" for level in plan.proof):
        yield Words(_room(plan))
    if plan.drying:
        planned, found = (f"{plan.drying[how]:.1f}" for how in ("as_planned", "as_found"))
        instead = f"instead of {found} as they hang now" if planned != found else "as they hang now too"
        yield Words(f"Expect {planned} pairs to dry their wings side by side, {instead}.")
    if plan.risk is None and season.risk is None and plan.gap_days < season.gap_days:
        yield Words(
            f"Take care: in this plan neighbours may be due {days(plan.gap_days)} apart; "
            f"season.yaml asks for {days(season.gap_days)} (gap_days)."
        )


def _no_clashes(plan: Plan) -> str:
    if not plan.waiting:
        return f"No clashes: no neighbours are {plan.too_near}."
    pairs = count(len(plan.waiting), "pair")
    return f"No clashes. {pairs} must wait, as listed below: one of each is not moved yet."


def _rehung(season: Season, plan: Plan) -> str:
    """What moving those that hang already buys, and at what price."""
    hung = {p.id for p in season.pupae if not isinstance(season.place.get(p.place), Lid)}
    moved = [pupa for pupa in plan.movers if pupa in hung]
    before = count(int(plan.settings["clashes_without_rehang"]), "clash", "clashes")
    price = f"{plan.settings['rehang_price']:g}"
    if not moved and plan.stuck:
        return f"Re-hanging might leave fewer than {before}, but no order of moves works: see below."
    if not moved and not all(x.value == x.bound for x in plan.proof if x.name in ("left", "clashes")):
        return f"Whether re-hanging leaves fewer than {before} was not found out: give it more --seconds."
    if not moved:
        return f"Re-hanging would not leave fewer than {before}: nobody that hangs is moved."
    after = count(len(plan.clashes), "clash", "clashes")
    who = f"Re-hung: {ids(moved)}, each as bad as {price} moves from a lid."
    return f"{who} That leaves {after} instead of {before}."


def _room(plan: Plan) -> str:
    missing = sum(math.ceil((level.value or 0) - 1e-9) for level in plan.proof if level.name == "room")
    kept = count(len(plan.kept), "spot is", "spots are")
    if not missing:
        return f"{kept} kept for those to come: there is room for all of them."
    return f"{kept} kept for those to come; for {missing} more there is no room yet ('outlook' tells more)."


def _proof(season: Season, plan: Plan) -> Iterator[Block]:
    if not plan.proof:
        return
    rows = [
        (
            f"  {_meaning(season, level.name):<22}",
            f"{_number(_shown(season, level.name, level.value)):>8}",
            f"{_number(_shown(season, level.name, level.bound)):>8}",
            "proved" if level.proved else "not proved: better may exist",
        )
        for level in plan.proof
    ]
    yield Table(("Sought, in this order", f"{'reached':>8}", f"{'at best':>8}", ""), rows, (3,))


def _meaning(season: Season, name: str) -> str:
    meaning = _MEANING.get(name, name)
    return f"{meaning}, {season.units}" if name == "length" else meaning


def _shown(season: Season, name: str, value: float | None) -> float | None:
    """A length in the unit of the season: in plan.yaml all are centimetres."""
    return value / season.cm_per_unit if value is not None and name == "length" else value


def _number(value: float | None) -> str:
    return "none" if value is None else f"{value:.5g}"


def _clashes(season: Season, plan: Plan) -> Iterator[Block]:
    if not plan.clashes:
        return
    pairs = count(len(plan.clashes), "pair")
    yield Words(f"CLASHES: {pairs} {plan.near(plan.clashes)}. {_how_sure(plan)}", tone="warn")
    yield from pair_rows(season, plan, plan.clashes[:MOST_CLASHES])
    if (more := len(plan.clashes) - MOST_CLASHES) > 0:
        yield Words(f"and {more} more; the move list names all", "  ")


def _why(plan: Plan) -> Iterator[Block]:
    """Why there are clashes, and the ways out with their prices."""
    for text in plan.reason:
        yield Words(f"Why: {text}", hang="  ")
    if not plan.ways_out:
        return
    help_no = [text for text in plan.ways_out if text.startswith((DELAY, NO_HELP))]
    ways = [text for text in plan.ways_out if text not in help_no]
    yield Words(HEAD if ways else NONE)
    for text in ways:
        yield Words(f"- {text}", "  ", "  ")
    for text in help_no:
        yield Words(text, "  ", "  ")


def _how_sure(plan: Plan) -> str:
    must = next((step.bound for step in plan.proof if step.name == "clashes"), None) or 0
    if must >= len(plan.clashes):
        return "Fewer are impossible: proved."
    return f"Not proved: perhaps {must:g} would do." if must else "Not proved that any must be."


def _waits(plan: Plan) -> Iterator[Block]:
    if plan.waits:
        stay = "stays on its lid" if len(plan.waits) == 1 else "stay on their lids"
        pupae = count(len(plan.waits), "pupa", "pupae")
        who = ids([one.pupa for one in plan.waits])
        until = moment(min(one.until for one in plan.waits))
        yield Words(
            f"{pupae} {stay} for now: {who}. Plan again, with --wait, on {until}.",
            tone="warn",
        )


def _waiting(season: Season, plan: Plan) -> Iterator[Block]:
    if not plan.waiting:
        return
    why = "One of the two is still soft: plan again when it is firm."
    if plan.waits:
        why = "One of the two is still soft, or waits: it is parted from the other when it is moved."
    yield Words(f"Waiting: {count(len(plan.waiting), 'pair')} too close for now. {why}")
    yield from pair_rows(season, plan, plan.waiting[:MOST_WAITING])
    if (more := len(plan.waiting) - MOST_WAITING) > 0:
        yield Words(f"and {more} more, under waiting in plan.yaml", "  ")


def _left(season: Season, plan: Plan, forecasts: Mapping[str, Forecast]) -> Iterator[Block]:
    if not plan.left:
        return
    groups: defaultdict[str, list[str]] = defaultdict(list)
    waits = {one.pupa for one in plan.waits}
    for name in plan.left:
        forecast, pupa = forecasts.get(name), season.pupa.get(name)
        why = forecast.why if forecast else ""
        if not why:
            why = "waits for a spot" if name in waits else NO_SPOT
            why = "to stay, as recorded" if pupa and pupa.stay else why
        groups[why].append(name)
    kept = sum(len(names) for why, names in groups.items() if why != NO_SPOT)
    those = "" if kept == len(plan.left) else f"{kept} of them "
    but = f"; {those}not to be moved now, and not counted above" if kept else ""
    yield Words(f"Left on lids to be cleared: {count(len(plan.left), 'pupa', 'pupae')}{but}", tone="warn")
    for why, names in groups.items():
        yield Words(f"{why}: {ids(names)}", "  ", "  ")


def _stuck(plan: Plan) -> Iterator[Block]:
    if not plan.stuck:
        return
    so = "so it stays where it hangs" if len(plan.stuck) == 1 else "so they stay where they hang"
    pupae = count(len(plan.stuck), "pupa", "pupae")
    yield Words(f"No order of moves works for {pupae}, {so}. One more spot to park on may mend it.")
    for one in plan.stuck[:MOST_STUCK]:
        yield Words(f"{one.pupa}: {one.why}", "  ", "  ")
    if (more := len(plan.stuck) - MOST_STUCK) > 0:
        yield Words(f"and {more} more, under stuck in plan.yaml", "  ")


def _untouched(forecasts: Mapping[str, Forecast]) -> Iterator[Block]:
    groups: defaultdict[str, list[str]] = defaultdict(list)
    for name, forecast in sorted(forecasts.items(), key=lambda f: _when_free(f[1])):
        if not forecast.movable:
            groups[forecast.why].append(name)
    if not groups:
        return
    pupae = count(sum(map(len, groups.values())), "pupa", "pupae")
    yield Words(f"Not to be touched now: {pupae}", tone="head")
    for why, names in groups.items():
        yield Words(f"{why}: {ids(names)}", "  ", "  ")


def _when_free(forecast: Forecast) -> tuple[str, str]:
    """Soft ones by when they are firm, then the rest by when they are due."""
    soft = forecast.stage == "soft"
    when = forecast.firm_from if soft else forecast.due and forecast.due.median
    return "" if soft else forecast.stage, str(when)


def _moves(season: Season, plan: Plan) -> Iterator[Block]:
    if not plan.moves:
        return
    moves = sorted(plan.moves, key=lambda m: m.step)
    shown = moves[:FIRST]
    title = "Moves" if len(shown) == len(moves) else f"First {len(shown)} of {len(moves)} moves"
    yield Words(title, tone="head")
    yield move_table(season, plan, shown, mixed=True)
    yield Words(CAUTION)
