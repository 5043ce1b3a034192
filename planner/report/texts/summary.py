"""What a plan comes to, for the terminal: what was reached and proved, and what to look after."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace

from planner.emergence import Forecast
from planner.report.texts.later_evenings import evenings, put_off_words
from planner.report.texts.moves import move_table, urgent
from planner.report.texts.pairs import pair_rows
from planner.report.texts.plan_before import no_longer_holds
from planner.report.texts.reason import PROVED
from planner.report.texts.sheet import Block, Sheet, Table, Words
from planner.report.texts.ways_out import BY_THEN, DELAY, HEAD, LESSENS, NO_HELP, NONE
from planner.season.places import Lid
from planner.season.plan.plan_record import Plan
from planner.season.reading.told_dates import day_told, whole_moment
from planner.season.season import Season
from planner.words import call, count, days, few_ids, ids, some_ids

PENDING, LATER, DRYING, REASON = 1, 2, 3, 4  # left out where a screen is full, the last ones first
MOST_STUCK = 8  # pupae shown; plan.yaml has all
MOST_REASONS = 3  # for clashes, and for not to touch some, told; plan.yaml and the day sheet have all


def summary(
    season: Season,
    plan: Plan,
    forecasts: Mapping[str, Forecast],
    *,
    brief: bool = False,
    old_tags: Collection[str] = (),
    overdue: Collection[str] = (),
) -> Sheet:
    """Say what a plan comes to.

    Parameters
    ----------
    season, plan
        The plan must be of this season.
    forecasts
        Of every present pupa, at the moment of the plan.
    brief
        Where there are clashes: without proofs, and without what does not help beside what does.
    old_tags
        Pupae whose printed tags no longer hold.
    overdue
        Pupae that should have emerged.
    """
    explained = [*_left(season, plan, forecasts), *_why(plan, brief=brief)]
    pairs = pair_rows(season, plan, plan.clashes, rest="out/moves.txt has them")
    parts = (
        _head(season, plan, forecasts, old_tags),
        (*_clashes(season, plan, forecasts), *(explained or pairs)),
        pairs if explained else (),
        [Words(text, tone="warn")] if (text := put_off_words(plan)) else (),
        _stuck(plan),
        _untouched(season, forecasts, {one.pupa for one in plan.waits}, overdue),
        _moves(season, plan),
        _evenings(plan),
    )
    return Sheet.of(parts)


def gist(season: Season, plan: Plan, forecasts: Mapping[str, Forecast]) -> list[str]:
    """The same in a few sentences that name nothing to be typed: for a page, which shows all else."""
    told = [_to_do(season, plan), urgent(plan.moves, plan.on)]
    told += [] if plan.clashes else [_no_clashes(plan, forecasts)]
    told += [words.text for words in _clashes(season, plan, forecasts) if isinstance(words, Words)]
    return [text for text in (*told, *(f"Why: {why}" for why in plan.reason[:MOST_REASONS])) if text]


def _head(
    season: Season, plan: Plan, forecasts: Mapping[str, Forecast], old_tags: Collection[str]
) -> Iterator[Block]:
    yield Words(f"{season.name}: plan of {whole_moment(plan.on)}", tone="head")
    yield Words(_to_do(season, plan))
    if first := urgent(plan.moves, plan.on):
        yield Words(first, tone="warn")
    if not plan.clashes:
        yield Words(_no_clashes(plan, forecasts))
    if told := " ".join(no_longer_holds(season, plan, old_tags)):
        yield Words(told)
    if "clashes_without_rehang" in plan.settings:
        yield Words(_rehung(season, plan))
    if {one.who for one in plan.kept} - {one.who for one in plan.later} or _no_room(plan):
        yield Words(_room(plan))
    if plan.drying:
        yield Words(_drying(plan), spare=bool(plan.clashes) * DRYING)
    if plan.risk is None and season.risk is None and plan.gap_days < season.gap_days:
        yield Words(
            f"Take care: in this plan neighbours may be due {days(plan.gap_days)} apart; "
            f"season.yaml asks for {days(season.gap_days)} (gap_days)."
        )


def _drying(plan: Plan) -> str:
    planned, found = (f"{plan.drying[how]:.1f}" for how in ("as_planned", "as_found"))
    few = "fewer than 0.1" if planned == "0.0" else planned
    instead = f"not {found} as they hang now" if planned != found else "as many as they hang now"
    return f"Expect {few} pairs to dry their wings side by side, {instead}."


def _to_do(season: Season, plan: Plan) -> str:
    """How many are to be moved, now or later, and how many stay on their lids."""
    pupae = count(len(plan.hangs), "pupa", "pupae")
    on_lids = sum(isinstance(season.place.get(h.place), Lid) for h in plan.hangs)
    stays = "1 stays on its lid" if on_lids == 1 else f"{on_lids} stay on their lids"
    stay = f"; {stays}" if on_lids else ""
    first = {move.pupa: move.not_before for move in sorted(plan.moves, key=lambda m: -m.step)}
    now = sum(when <= plan.on for when in first.values())
    later = len(plan.movers) - now
    if not plan.movers:
        return f"{pupae}: nobody is to be moved{stay}."
    if not now:
        return f"{pupae}: nobody can be moved now, {later} later{stay}."
    which = f"all {pupae}" if now == len(plan.hangs) > 1 else f"{now} of {pupae}"
    return f"Move {which} now{f' and {later} later' if later else ''}{stay}."


def _no_clashes(plan: Plan, forecasts: Mapping[str, Forecast]) -> str:
    if not plan.waiting:
        return f"No clashes: no neighbours are {plan.too_near}."
    return f"No clashes. {_pending(plan, forecasts)}"


def _pending(plan: Plan, forecasts: Mapping[str, Forecast]) -> str:
    """How many pairs are too close for now, and until when."""
    pairs = count(len(plan.waiting), "pair")
    firm = {name: f.firm_from for name, f in forecasts.items() if f.stage == "soft" and f.firm_from}
    firm |= {one.pupa: one.until for one in plan.waits}
    each = [min(when) for c in plan.waiting if (when := [firm[n] for n in (c.a, c.b) if n in firm])]
    days = sorted({when.date() for when in each})
    still = "waits on its lid" if plan.waits else "is still soft"
    one = "one of each" if len(plan.waiting) > 1 else "one of the two"
    if not days:
        return f"{pairs} must wait until one of the two is {'moved' if plan.waits else 'firm'}."
    until_when = f"until {day_told(days[-1])}" if len(days) == 1 else f"the last until {day_told(days[-1])}"
    return f"{pairs} must wait{', ' if len(days) > 1 else ' '}{until_when}: {one} {still}."


def _rehung(season: Season, plan: Plan) -> str:
    """What moving those that hang already buys, and at what price."""
    hung = {p.id for p in season.pupae if not isinstance(season.place.get(p.place), Lid)}
    moved = [pupa for pupa in plan.movers if pupa in hung]
    without = int(plan.settings["clashes_without_rehang"])
    before = count(without, "clash", "clashes")
    price = f"{count(int(plan.settings['rehang_price']), 'move')} from a lid"
    if not moved and plan.stuck:
        return f"Re-hanging might leave fewer than {before}, but no order of moves works: see below."
    if not moved and not all(x.value == x.bound for x in plan.proof if x.name in ("left", "clashes")):
        return f"Whether re-hanging leaves fewer than {before} was not found out: give it more --seconds."
    if not moved:
        return f"Re-hanging would not leave fewer than {before}: nobody that hangs is moved."
    left = len(plan.clashes)
    after = "no clash is" if not left else "1 clash is" if left == 1 else f"{left} clashes are"
    each = "are hung again, each counted as" if len(moved) > 1 else "is hung again, counted as"
    return f"{ids(moved)} {each} {price}: {after} left instead of {without}."


def _no_room(plan: Plan) -> int:
    """For how many of those to come there is no room, nor a spot on a later evening."""
    lacking = sum(math.ceil((level.value or 0) - 1e-9) for level in plan.proof if level.name == "room")
    waits = {one.pupa for one in plan.waits}
    later = sum(one.who not in waits and (one.chance or 0) < 1 for one in plan.later)
    return max(0, lacking - later)


def _room(plan: Plan) -> str:
    missing = _no_room(plan)
    own = {one.who for one in plan.later}  # told with their evening
    expected = sum(one.who not in own for one in plan.kept)
    kept = count(expected, "spot is", "spots are")
    if not missing:
        return f"{kept} kept for those to come: there is room for all of them."
    if not expected:
        return f"For {missing} of those to come there is no room yet ('outlook' tells more)."
    return f"{kept} kept for those to come; for {missing} more there is no room yet ('outlook' tells more)."


def _clashes(season: Season, plan: Plan, forecasts: Mapping[str, Forecast]) -> Iterator[Block]:
    if not plan.clashes:
        return
    pairs = count(len(plan.clashes), "pair")
    yield Words(f"CLASHES: {pairs} {plan.near(plan.clashes)}. {_how_sure(season, plan)}", tone="warn")
    if plan.waiting:
        yield Words(f"Besides, {_pending(plan, forecasts)}", spare=PENDING)


def _why(plan: Plan, *, brief: bool) -> Iterator[Block]:
    """Why there are clashes, and the ways out with their prices."""
    for k, text in enumerate(plan.reason[:MOST_REASONS]):
        told = text.partition(PROVED)[0] if brief else text
        yield Words(f"Why: {told}", hang="  ", spare=k and REASON + k)
    if (more := len(plan.reason) - MOST_REASONS) > 0:
        yield Words(f"and {count(more, 'more reason')}, under reason in plan.yaml", "  ", spare=REASON)
    if not plan.ways_out:
        return
    fewer = [text for text in plan.ways_out if text.startswith(LESSENS)]
    delays = [text for text in plan.ways_out if text.startswith(DELAY)]
    vain = [text for text in plan.ways_out if text.startswith(NO_HELP)]
    ways = [text for text in plan.ways_out if text not in (*fewer, *delays, *vain)]
    if ways:
        yield Words(HEAD)
    elif not vain and not fewer:
        yield Words(NONE)
    for text in ways:
        yield Words(f"- {text}", "  ", "  ")
    for text in fewer:
        yield Words(text, "  " if ways else "", "  ")
    for text in vain if not ways else ():
        yield Words(text, hang="  ")
    for text in delays:
        yield Words(text.partition(BY_THEN)[0] if brief else text, "  ", "  ", spare=LATER)
    for text in vain if ways and not brief else ():
        yield Words(text, "  ", "  ")


def _how_sure(season: Season, plan: Plan) -> str:
    must = next((step.bound for step in plan.proof if step.name == "clashes"), None) or 0
    if must >= len(plan.clashes):
        hung = any(not isinstance(season.place.get(p.place), Lid) for p in season.pupae if p.present)
        stay = hung and "clashes_without_rehang" not in plan.settings
        return f"Fewer are impossible{' without re-hanging' if stay else ''}: proved."
    return f"Not proved: perhaps {must:g} would do." if must else "Not proved that any must be."


def _left(season: Season, plan: Plan, forecasts: Mapping[str, Forecast]) -> Iterator[Block]:
    """Who stays on a lid to be cleared. Those not to be touched, or told to wait, are named elsewhere."""
    no_spot: list[str] = []
    stay: list[str] = []
    later: list[str] = []
    waits = {one.pupa for one in plan.waits}
    for name in plan.left:
        forecast, pupa = forecasts.get(name), season.pupa.get(name)
        elsewhere = name in waits or (forecast is not None and not forecast.movable)
        (later if elsewhere else stay if pupa and pupa.stay else no_spot).append(name)
    if no_spot:
        stays = "it stays on its lid" if len(no_spot) == 1 else "they stay on their lids"
        yield Words(f"No spot for {some_ids(no_spot)}: {stays}, which should be cleared.", tone="warn")
    if stay:
        yield Words(f"On a lid to be cleared, but to stay as recorded: {ids(stay)}.")
    if later:
        lids = some_ids({season.pupa[name].place for name in later if name in season.pupa})
        there = count(len(later), "pupa", "pupae")
        yield Words(f"Not to be cleared yet: {lids}. {there} there cannot be moved now.")


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


def _untouched(
    season: Season, forecasts: Mapping[str, Forecast], waits: Collection[str], overdue: Collection[str]
) -> Iterator[Block]:
    """Who is overdue, and who else must not be touched, soft ones first. ``waits``: those told elsewhere."""
    if overdue:
        which = "it is" if len(overdue) == 1 else "they are"
        tell = f"'{call('today', season.folder)}' tells which {which}"
        yield Words(f"Overdue: {len(overdue)}. Look without touching; {tell}.", hang="  ")
    groups: defaultdict[str, list[str]] = defaultdict(list)
    for name, forecast in sorted(forecasts.items(), key=lambda f: _when_free(f[1])):
        if not forecast.movable and name not in waits and name not in overdue:
            groups[forecast.why].append(name)
    for why, names in [*groups.items()][:MOST_REASONS]:
        yield Words(f"Do not touch {few_ids(names)}: {why}.", hang="  ")
    if more := sum(map(len, [*groups.values()][MOST_REASONS:])):
        yield Words(f"Nor {count(more, 'other')}: 'hangplan today' names them.", hang="  ")


def _when_free(forecast: Forecast) -> tuple[str, str]:
    """Soft ones by when they are firm, then the rest by when they are due."""
    soft = forecast.stage == "soft"
    when = forecast.firm_from if soft else forecast.due and forecast.due.median
    return "" if soft else forecast.stage, str(when)


def _moves(season: Season, plan: Plan) -> Iterator[Block]:
    if plan.moves:
        moves = sorted(plan.moves, key=lambda m: m.step)
        table = move_table(season, plan, moves, mixed=True)
        yield replace(table, least=0) if plan.clashes else table


def _evenings(plan: Plan) -> Iterator[Block]:
    """Who is hung when. Where a screen is full it is left out: when to plan again is told below."""
    if rows := [*evenings(plan)]:
        yield Table(("On later evenings", ""), rows, (1,), rest="out/moves.txt has them", least=0)
