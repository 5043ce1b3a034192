"""The verifier's rules about the spots on which pupae hang."""

from __future__ import annotations

from collections import defaultdict

from planner.season.places import Lid, Line
from planner.verify.case import Case, Findings
from planner.verify.geometry import Hung, in_the_way, spot_name
from planner.verify.places import SAME, TOUCH, point, spot_fault, xy


def spot_exists(case: Case) -> Findings:
    """The place and the spot of each entry exist.

    A spot that is not there cannot be hung from, and its tag would not be found. A pupa that stays may be off
    the marks, as it hangs there already.
    """
    allowed = ", ".join(sorted(case.season.place))
    for hang in case.plan.hangs:
        if hang.place not in case.season.place:
            yield (hang.pupa,), f"{hang.pupa}: no place is called {hang.place}: allowed are {allowed}"
    for one in case.hung:
        if fault := spot_fault(one.place, one.hang.spot, one.at, one.stays, case.season):
            yield (one.pupa.id,), f"{one.pupa.id} on {one.place.kind} {one.place.name}: {fault}"


def not_closed(case: Case) -> Findings:
    """No pupa is hung, or parked, where a sick one hung that is not recorded as cleaned.

    Germs and parasites may be left on clip and pin.
    """
    season = case.season
    targets = {(one.pupa.id, one.at.key): one.at for one in case.hung if one.at is not None and not one.stays}
    for move in case.plan.moves if case.closed else ():
        to = season.place.get(move.to_place)
        if to is not None and (at := point(to, move.to_spot, season.cm_per_unit)) is not None:
            targets[move.pupa, at.key] = at
    for (name, _), at in targets.items():
        for pupa, shut in case.closed:
            if in_the_way(at, shut):
                where = spot_name(at.place, pupa.spot)
                why = f"{name} is hung where {pupa.id} was sick, {where}"
                yield (name,), f"{why}: allowed is once it is cleaned"


def position_agrees(case: Case) -> Findings:
    """The x and y of an entry agree with its tag, or on a lid with the record.

    The map is drawn from x and y while the keeper reads the tag: the two must not show different spots.
    """
    for one in case.hung:
        if one.at is None and not isinstance(one.place, Lid):
            continue  # there is no such spot, as spot_exists says
        said = one.hang.x, one.hang.y
        true = (one.at.x, one.at.y) if one.at else (None, None)
        if any(_differ(a, b) for a, b in zip(said, true, strict=True)):
            put, right = (xy(x, y, case.season) for x, y in (said, true))
            yield (one.pupa.id,), f"{one.pupa.id} on {one} is put at {put}: allowed is {right}"


def _differ(a: float | None, b: float | None) -> bool:
    """Whether two coordinates (cm) differ by more than rounding, or only one of them is known."""
    return a is not b if a is None or b is None else abs(a - b) > SAME


def clips_fit(case: Case) -> Findings:
    """Sliding clips on a line are at least a clip's width apart, unless both hang there already.

    Clips nearer than that cannot be put on the line. Two that are so already are not the plan's doing.
    """
    for line in case.season.places:
        if not isinstance(line, Line) or not line.clip_width:
            continue
        along = sorted((one.at.x, n, one) for n, one in enumerate(case.hung_on.get(line.name, ())) if one.at)
        for n, (x, _, a) in enumerate(along):
            for further, _, b in along[n + 1 :]:
                apart = further - x
                if apart >= line.clip_width - TOUCH:
                    break
                if a.at and b.at and a.at.key != b.at.key and not (a.stays and b.stays):
                    spots, width = f"{a.hang.spot} and {b.hang.spot}", case.season.length(line.clip_width)
                    yield (
                        (a.pupa.id, b.pupa.id),
                        f"{a.pupa.id} and {b.pupa.id} are clipped {case.season.length(apart)} apart on line "
                        f"{line.name} ({spots}): allowed is a clip's width, {width}, or more",
                    )


def one_per_spot(case: Case) -> Findings:
    """At most one pupa hangs on a spot.

    Two on one clip knock against each other whenever one of them emerges.
    """
    spots: defaultdict[tuple[str, float, float], list[Hung]] = defaultdict(list)
    for one in case.hung:
        if one.at:
            spots[one.at.key].append(one)
    for hung in spots.values():
        ids = tuple(dict.fromkeys(one.pupa.id for one in hung))
        if len(ids) > 1 and (at := hung[0].at):
            where = f"{hung[0]}, {xy(at.x, at.y, case.season)}" if isinstance(at.place, Lid) else str(hung[0])
            yield ids, f"{' and '.join(ids)} hang on one spot, {where}: allowed is one pupa"


def nobody_to_a_lid(case: Case) -> Findings:
    """No pupa is moved to a lid.

    Pupae form on lids by themselves; there is nothing on a lid to hang one from.
    """
    for one in case.hung:
        if isinstance(one.place, Lid) and not one.stays:
            yield (one.pupa.id,), f"{one.pupa.id} is moved to {one}: allowed are lines and boards"


def within_reach(case: Case) -> Findings:
    """Each pupa that is moved hangs at a height at which this keeper can work.

    A pupa that stays is not judged by this: wherever it hangs, it was not hung there by this plan.
    """
    lowest, highest = case.season.lowest, case.season.highest
    allowed = f"{case.season.length(lowest)} to {case.season.length(highest)}"
    for one in case.hung:
        if one.at and not one.stays and not isinstance(one.place, Lid):
            height = one.at.rack[2]
            if not lowest - TOUCH <= height <= highest + TOUCH:
                high = f"hangs {case.season.length(height)} high"
                what = f"{one.pupa.id} on {one} {high}: allowed is {allowed}"
                yield (one.pupa.id,), what


def enough_clearance(case: Case) -> Findings:
    """Each pupa that is moved has the clearance demanded below it.

    Wings that touch something while they dry may stay crippled. A pupa that stays is not judged by this.
    """
    allowed = case.season.length(case.season.clearance)
    for one in case.hung:
        if one.at and not one.stays and not isinstance(one.place, Lid):
            free = one.at.rack[2] - one.place.below
            if free < case.season.clearance - TOUCH:
                has = f"has {case.season.length(free)} free below it"
                what = f"{one.pupa.id} on {one} {has}: allowed is {allowed} or more"
                yield (one.pupa.id,), what
