"""The verifier: whether a plan keeps every rule, judged from the season and the plan alone.

No plan is written or shown that has not passed it. It shares no code with what makes plans, so a mistake
there cannot hide the breach that it causes here. The forecasts are the one exception: dates and chances come
from `planner.emergence` in both. Therefore the rule ``dates`` computes the plain dates again in another way.

Each rule is one function from a `Case` to its findings; its docstring says what it demands and why. ``RULES``
lists them all, each with the short name that the keeper reads.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable

from planner.season.places import Lid
from planner.season.plan.plan_record import Hang, Plan, TooClose
from planner.season.season import Season
from planner.verify.breach import Breach
from planner.verify.case import Case, Findings
from planner.verify.dates import dates_reckoned
from planner.verify.evenings import later_can_be_moved, later_keeps_rules
from planner.verify.kept import kept_apart, kept_exists, kept_in_time, kept_is_free
from planner.verify.moves import moved_from_record, moved_in_time, moves_match, untouched
from planner.verify.order import after_is_enough, moves_in_order, parked_well, stuck_is_told
from planner.verify.pairs import clashes_told, nothing_invented
from planner.verify.proofs import (
    bounds_are_sane,
    levels_in_order,
    neighbours_are_counted,
    older_levels,
    values_are_true,
)
from planner.verify.spots import (
    clips_fit,
    enough_clearance,
    nobody_to_a_lid,
    not_closed,
    one_per_spot,
    position_agrees,
    spot_exists,
    within_reach,
)

__all__ = ["RULES", "Breach", "clashes", "false_claims", "older_levels", "verify"]

CLAIMS = "proof"  # the rule about what a plan claims of its own levels


def verify(season: Season, plan: Plan, *, claims: bool = True) -> list[Breach]:
    """Every breach of every rule, in the order of ``RULES``; empty when the plan may be carried out.

    A plan with clashes passes as long as it lists all of them.

    Parameters
    ----------
    claims
        Whether the rule ``proof`` is applied: what the plan claims about its own levels. A false claim harms
        no pupa, so a plan in force is judged without it.

    Raises
    ------
    ValueError
        A species has no profile.
    FaultyFiles
        The temperatures cannot be read.
    """
    case = Case(season, plan)
    return [
        Breach(name, pupae, what)
        for name, rule in RULES
        if claims or name != CLAIMS
        for pupae, what in rule(case)
    ]


def false_claims(season: Season, plan: Plan) -> list[str]:
    """What the rule ``proof`` finds: the plan's false claims about its own levels, as sentences.

    ``season`` must be the one that the plan was made from. Errors as of `verify`.
    """
    case = Case(season, plan)
    return [what for name, rule in RULES if name == CLAIMS for _, what in rule(case)]


def clashes(season: Season, plan: Plan) -> list[TooClose]:
    """All clashing pairs under a plan, sorted by their ids, whether or not the plan lists them.

    Which pairs clash is said at `Case.clashes`. Errors as of `verify`.
    """
    return sorted(Case(season, plan).clashes.values(), key=lambda pair: (pair.a, pair.b))


def hangs_once(case: Case) -> Findings:
    """Each present pupa hangs exactly once, and no other pupa hangs.

    A pupa that the plan leaves out would be forgotten on its lid; one that it has twice cannot be hung by it.
    """
    hangs: defaultdict[str, list[Hang]] = defaultdict(list)
    for hang in case.plan.hangs:
        hangs[hang.pupa].append(hang)
    for pupa in case.season.pupae:
        if pupa.present and pupa.id not in hangs:
            yield (pupa.id,), f"{pupa.id} hangs nowhere: allowed is one spot for each pupa present"
    for name, found in hangs.items():
        if len(found) > 1:
            where = ", ".join(f"{hang.place} at {hang.spot}" for hang in found)
            yield (name,), f"{name} hangs {len(found)} times ({where}): allowed is once"
        recorded = case.season.pupa.get(name)
        if recorded is None:
            yield (name,), f"{name} hangs but is not recorded: allowed are pupae of the season"
        elif not recorded.present:
            yield (name,), f"{name} hangs but is recorded as {recorded.outcome}: allowed is no spot"


def left_is_told(case: Case) -> Findings:
    """The pupae under ``left`` are exactly those that stay on a lid to be cleared, each named once.

    The keeper needs that lid, so must know who is still on it.
    """
    staying = {one.pupa.id: one for one in case.hung if isinstance(one.place, Lid) and one.place.clear}
    left = Counter(case.plan.left)
    for name, one in staying.items():
        if name not in left:
            yield (name,), f"{name} stays on {one}, which is to be cleared: allowed is that only under left"
    for name, times in left.items():
        if name not in staying:
            yield (name,), f"{name} is under left: allowed are only those who stay on a lid to be cleared"
        elif times > 1:
            yield (name,), f"{name} is under left {times} times: allowed is once"


def due_as_forecast(case: Case) -> Findings:
    """The due day of each entry is the day forecast: the keeper watches the rack by it."""
    for hang in case.plan.hangs:
        if hang.pupa not in case.forecasts:
            continue  # not present: hangs_once says so
        due = case.due(hang.pupa)
        if hang.due != (due and due.day):
            said, true = (f"due {day}" if day else "due on no day" for day in (hang.due, due and due.day))
            yield (hang.pupa,), f"{hang.pupa} is {said} in the plan: allowed is {true}, as forecast"


def who_waits_can(case: Case) -> Findings:
    """Each deferred pupa is on a lid, could be moved now, and can still be moved when its wait is over.

    Its wait must end after the plan is made and before it may be darkening. A pupa that waits longer must not
    be moved any more and emerges on its lid.
    """
    told = Counter(one.pupa for one in case.plan.waits)
    on_lid = {one.pupa.id for one in case.hung if isinstance(one.place, Lid) and one.stays}
    for one in case.plan.waits:
        forecast = case.forecasts.get(one.pupa)
        if one.pupa not in on_lid or forecast is None:
            yield (one.pupa,), f"{one.pupa} waits: allowed are only those who stay on a lid"
            continue
        if told[one.pupa] > 1:
            yield (one.pupa,), f"{one.pupa} waits {told[one.pupa]} times: allowed is once"
        if not forecast.movable:
            yield (
                (one.pupa,),
                f"{one.pupa} waits: allowed are only those who may be moved now ({forecast.why})",
            )
        dark = forecast.dark_from
        if one.until <= case.plan.on or (dark and one.until >= dark):
            before = f" and before {dark:%Y-%m-%d %H:%M}, when it may be darkening" if dark else ""
            yield (
                (one.pupa,),
                f"{one.pupa} waits until {one.until:%Y-%m-%d %H:%M}: allowed is after the plan{before}",
            )


def reason_is_called_for(case: Case) -> Findings:
    """A reason and ways out are given only by a plan with clashes or pupae under ``left``.

    They explain why there are such, so without any they would be false.
    """
    plan = case.plan
    if (plan.reason or plan.ways_out) and not plan.clashes and not plan.left:
        yield (), "a reason or ways out are told: allowed is that only with clashes or pupae left behind"


RULES: tuple[tuple[str, Callable[[Case], Findings]], ...] = (
    ("once", hangs_once),
    ("spot", spot_exists),
    ("position", position_agrees),
    ("clips", clips_fit),
    ("shared", one_per_spot),
    ("lid", nobody_to_a_lid),
    ("reach", within_reach),
    ("clearance", enough_clearance),
    ("closed", not_closed),
    ("touch", untouched),
    ("from", moved_from_record),
    ("left", left_is_told),
    ("due", due_as_forecast),
    ("dates", dates_reckoned),
    ("moves", moves_match),
    ("time", moved_in_time),
    ("order", moves_in_order),
    ("after", after_is_enough),
    ("park", parked_well),
    ("stuck", stuck_is_told),
    ("waits", who_waits_can),
    ("clash", clashes_told),
    ("listed", nothing_invented),
    ("evenings", later_can_be_moved),
    ("evenings", later_keeps_rules),
    ("kept", kept_exists),
    ("kept", kept_in_time),
    ("kept", kept_is_free),
    ("kept", kept_apart),
    ("proof", levels_in_order),
    ("proof", values_are_true),
    ("proof", neighbours_are_counted),
    ("proof", bounds_are_sane),
    ("reason", reason_is_called_for),
)
