"""Items left at their homes till later: the fewest, so that nobody who is hung clashes, now or then."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from planner.engine.model.faults import TooLarge
from planner.engine.model.instance import TENTHS, Instance, Node
from planner.engine.model.level import Level
from planner.engine.model.solver import Effort
from planner.engine.model.sub_instance import without_barred_homes
from planner.engine.search.construct import construct
from planner.engine.search.deferral_model import Deferrable, DeferralModel
from planner.engine.search.lexicographic import is_feasible


@dataclass(frozen=True)
class Deferral:
    """Items deferred, and what that costs with the bound proved.

    ``later``: item → its node then, and which of those to come it is; an item without one has no node.
    ``reached``: levels ``left`` and ``clashes`` → what is left where these are; ``least``: no less is
    possible, whoever is deferred.
    """

    items: tuple[int, ...]
    later: Mapping[int, tuple[Node, int]]
    levels: tuple[Level, ...]
    reached: Mapping[str, int]
    least: Mapping[str, int]


def fewest_deferred(
    inst: Instance,
    gap: float,
    able: Collection[Deferrable],
    effort: Effort,
    *,
    unplaced: bool = True,
    most: int | None = None,
    wanted: Mapping[int, Node] | None = None,
) -> tuple[Deferral | None, bool]:
    """The items to defer for the fewest clashes at the least cost; None: nobody, or not found out.

    Also whether it is proved that some clash whoever is deferred.

    Parameters
    ----------
    inst
        Of which nobody is to come but those who may be deferred.
    gap
        Days.
    able
        Who may be deferred, and when they may be hung then.
    unplaced
        Whether some may be deferred for whom no node is found on a later evening.
    most
        Clashes, at most.
    wanted
        Item → the node that it was to have later by a plan before; it is kept where that costs nothing.

    Notes
    -----
    In order: nobody left and fewest clashes, counted only where some are left or clash in each assignment;
    fewest deferred without a node, a node that only may be free counting with its chance; fewest evenings at
    home. One that is deferred clashes with nobody where it is, for it will have left before either emerges;
    but nobody stays for good beside one that has no node. Of sets alike in all that one is taken whose items
    keep their nodes, and are due late.
    """
    if not able or is_feasible(inst, construct(inst, gap), gap):  # found without the solver
        return None, False
    effort.say("whether some can wait on their lids")
    try:
        return _asked(inst, gap, able, effort, unplaced, most, wanted or {})
    except TooLarge:
        return None, False


def _asked(
    whole: Instance,
    gap: float,
    able: Collection[Deferrable],
    effort: Effort,
    unplaced: bool,
    most: int | None,
    wanted: Mapping[int, Node],
) -> tuple[Deferral | None, bool]:
    """The same, asked of the solver."""
    sure = False
    for counted in (False, True):
        own = whole if counted else without_barred_homes(whole)
        model = DeferralModel(own, whole, gap, able, counted=counted, unplaced=unplaced, effort=effort)
        reached, least = {"left": 0, "clashes": 0}, {"left": 0, "clashes": 0}
        for name, goal in model.goals:
            answer = model.least(goal, effort, fixed=most is None or name != "left")
            if answer is None or answer.bound is None or answer.value is None:
                return None, sure
            reached[name], least[name] = answer.value, answer.bound
            if most is not None and name == "left":  # the fewest left, with however many clashes
                model.at_most(most)
                answer = model.least(goal, effort)
                if answer is None or answer.value is None:
                    return None, sure
                reached[name] = answer.value
        if counted:
            least["clashes"] = max(least["clashes"], int(sure and not whole.barred))
            sure = any(least.values())
        without = model.least(model.without_node, effort)
        if without is None:
            sure = sure or model.infeasible
            continue
        evenings = model.least(model.evenings, effort) or without
        found = model.due_last(wanted, evenings, effort)
        if not found:
            return None, sure
        later = model.later(found, wanted)
        value = sum(one.cost * len(found & {*one.items}) for one in able) + sum(
            model.which[k][1] for _, k in later.values()
        )
        missing = TENTHS * len(found) - sum(model.tenths(*at) for at in later.values())
        levels = (
            _level("unplaced", missing / TENTHS, (without.bound or 0) / TENTHS),
            _level("waiting", value, min(evenings.bound or 0, value) if evenings is not without else 0),
        )
        return Deferral(tuple(sorted(found)), later, levels, reached, least), sure
    return None, sure


def _level(name: str, value: float, bound: float) -> Level:
    return Level(name=name, value=value, bound=bound, proved=value == bound)
