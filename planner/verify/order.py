"""The verifier's rules about the order of steps, both as listed and as their precedences allow."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf

from planner.season.places import Lid, Line
from planner.season.plan.plan_record import Hang, Move
from planner.season.season import Season
from planner.verify.case import Case, Findings
from planner.verify.geometry import spot_name
from planner.verify.places import TOUCH, Point, clip_room, point
from planner.verify.spots import enough_clearance, nobody_to_a_lid, spot_exists, within_reach


@dataclass(frozen=True)
class _Visit:
    """The stay of a pupa on one spot of a line or board, from one step to another.

    Attributes
    ----------
    arrival
        The step that brings it there; None: it hangs there from the beginning.
    leaving
        The step that takes it away; None: it stays for good.
    """

    pupa: str
    tag: str
    at: Point
    arrival: Move | None
    leaving: Move | None

    @property
    def since(self) -> int:
        """The number of the step by which it arrives, 0 when it is there from the beginning."""
        return self.arrival.step if self.arrival else 0

    @property
    def until(self) -> float:
        """The number of the step by which it leaves, infinite when it stays for good."""
        return self.leaving.step if self.leaving else inf


def moves_in_order(case: Case) -> Findings:
    """In the order listed, no step hangs a pupa on an occupied spot, or too near to another clip.

    The step could not be done. Two sliding clips too near to one another in the end are left to the rule
    ``clips``.
    """
    for one, other in _close(case):
        in_the_end = one.until == other.until == inf and one.at.key != other.at.key
        if in_the_end and isinstance(one.at.place, Line) and one.at.place.clip_width:
            continue
        if one.since < other.until and other.since < one.until:
            later, there = (one, other) if one.since > other.since else (other, one)
            yield (later.pupa, there.pupa), _meeting(later, there, case)


def _meeting(later: _Visit, there: _Visit, case: Case) -> str:
    """The sentence about a step that hangs one pupa where another still hangs, or too near to it."""
    step = f"step {later.since} hangs {later.pupa} on {spot_name(later.at.place, later.tag)}"
    if later.at.key == there.at.key:
        return f"{step}, where {there.pupa} still hangs: allowed is a free spot"
    apart = case.season.length(abs(later.at.x - there.at.x))
    allowed = f"allowed is {case.season.length(clip_room(later.at.place))} or more, for two clips"
    return f"{step}, {apart} from {there.pupa}, which still hangs there: {allowed}"


def after_is_enough(case: Case) -> Findings:
    """Each order of the steps that their precedences (``after``) allow can be carried out.

    A keeper need not follow the list in its order. So a step to a spot, or to a place for its clip, that
    another pupa leaves must come after the step by which it leaves. A step that takes a parked pupa on must
    come after the one that parks it. A step comes only after steps with lower numbers.
    """
    steps = {move.step for move in case.plan.moves}
    for move in case.plan.moves:
        for before in move.after:
            if before not in steps or before >= move.step:
                said = f"step {move.step} is to be done after step {before}"
                yield (move.pupa,), f"{said}: allowed are steps that come before it"
    before_of = _before(case)
    for moves in case.steps.values():
        for first, second in pairwise(moves):
            if not before_of[second.step] >> first.step & 1:
                yield (
                    (first.pupa,),
                    f"step {second.step} takes {first.pupa} on: allowed is after step {first.step}",
                )
    for one, other in _close(case):
        early, late = (one, other) if one.until <= other.since else (other, one)
        if early.until <= late.since and not before_of[late.since] >> int(early.until) & 1:
            where = spot_name(late.at.place, late.tag)
            said = f"step {late.since} hangs {late.pupa} on {where}, for which {early.pupa} makes way"
            yield (late.pupa, early.pupa), f"{said}: allowed is after step {early.until}"


def _before(case: Case) -> dict[int, int]:
    """By step, the set of steps that must be done before it, as a number: bit n is set for step n."""
    found: dict[int, int] = {}
    for move in sorted(case.plan.moves, key=lambda move: move.step):
        bits = 0
        for before in move.after:
            bits |= 1 << before | found.get(before, 0)
        found[move.step] = bits
    return found


def parked_well(case: Case) -> Findings:
    """A pupa is parked on a usable spot, and may be taken on at the same times at which it may be parked.

    A parked pupa hangs among neighbours that nothing was checked for, so it is to hang there for minutes
    only. With the same two times for both steps the keeper can do one right after the other.
    """
    hangs = []
    for moves in case.steps.values():
        for park, on in pairwise(moves):
            hangs.append(Hang(pupa=park.pupa, place=park.to_place, spot=park.to_spot))
            if (park.not_before, park.not_after) != (on.not_before, on.not_after):
                said = f"step {park.step} parks {park.pupa}, step {on.step} takes it on, between other times"
                yield (park.pupa,), f"{said}: allowed are the same, for it is parked for minutes only"
    there = Case(case.season, replace(case.plan, hangs=tuple(hangs)))
    for rule in (spot_exists, nobody_to_a_lid, within_reach, enough_clearance):
        yield from rule(there)


def stuck_is_told(case: Case) -> Findings:
    """The pupae under ``stuck`` stay where they are: the plan says of them that no order of moves works."""
    for one in case.plan.stuck:
        if not case.stays.get(one.pupa, False):
            yield (one.pupa,), f"{one.pupa} is under stuck: allowed are only those who stay where they are"


def _close(case: Case) -> Iterator[tuple[_Visit, _Visit]]:
    """Pairs of visits of different pupae to one spot, or to two too near to one another for two clips.

    Pairs that are so from the beginning are left out, as no step has caused them.
    """
    places: defaultdict[str, list[_Visit]] = defaultdict(list)
    for visit in _visits(case):
        places[visit.at.place.name].append(visit)
    for visits in places.values():
        visits.sort(key=lambda v: (v.at.x, v.at.y))
        for n, one in enumerate(visits):
            for other in visits[n + 1 :]:
                if other.at.x - one.at.x >= max(clip_room(one.at.place), TOUCH) - TOUCH / 2:
                    break
                close = isinstance(one.at.place, Line) or one.at.key == other.at.key
                if close and one.pupa != other.pupa and (one.arrival or other.arrival):
                    yield one, other


def _visits(case: Case) -> Iterator[_Visit]:
    """The visits of all present pupae to spots of lines and boards."""
    for pupa in case.season.pupae:
        if not pupa.present:
            continue
        moves = case.steps.get(pupa.id, [])
        ends = [*moves, None]
        if at := _point(case.season, pupa.place, pupa.spot):
            yield _Visit(pupa.id, pupa.spot or "", at, None, ends[0])
        for move, leaving in zip(moves, ends[1:], strict=True):
            if at := _point(case.season, move.to_place, move.to_spot):
                yield _Visit(pupa.id, move.to_spot, at, move, leaving)


def _point(season: Season, place: str, spot: str | None) -> Point | None:
    """The point that a tag names on a line or board; None on a lid, or where it names none."""
    found = season.place.get(place)
    return None if found is None or isinstance(found, Lid) else point(found, spot, season.cm_per_unit)
