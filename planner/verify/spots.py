"""The verifier's rules about where pupae hang."""

from __future__ import annotations

from collections import defaultdict

from planner.season.places import Lid, Line
from planner.verify.case import Case, Findings
from planner.verify.geometry import Hung, in_the_way, spot_name
from planner.verify.places import SAME, TOUCH, cm, point, spot_fault, xy


def spot_exists(case: Case) -> Findings:
    """The place and the spot are there to hang on. Who stays may be off the marks: there it hangs."""
    allowed = ", ".join(sorted(case.season.place))
    for hang in case.plan.hangs:
        if hang.place not in case.season.place:
            yield (hang.pupa,), f"{hang.pupa}: no place is called {hang.place}: allowed are {allowed}"
    for one in case.hung:
        if fault := spot_fault(one.place, one.hang.spot, one.at, one.stays, case.season):
            yield (one.pupa.id,), f"{one.pupa.id} on {one.place.kind} {one.place.name}: {fault}"


def not_closed(case: Case) -> Findings:
    """Nobody is hung where a sick one hung before that is cleaned: what ails clings to clip and pin."""
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
    """x, y say the same as the tag, or on a lid the record: the map shows one, the keeper reads the other."""
    for one in case.hung:
        if one.at is None and not isinstance(one.place, Lid):
            continue  # there is no such spot, as spot_exists says
        said = one.hang.x, one.hang.y
        true = (one.at.x, one.at.y) if one.at else (None, None)
        if any(_differ(a, b) for a, b in zip(said, true, strict=True)):
            yield (one.pupa.id,), f"{one.pupa.id} on {one} is put at {xy(*said)}: allowed is {xy(*true)}"


def _differ(a: float | None, b: float | None) -> bool:
    return a is not b if a is None or b is None else abs(a - b) > SAME


def clips_fit(case: Case) -> Findings:
    """Sliding clips are not pushed into one another; two that hang so already are left as they are."""
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
                    spots, width = f"{a.hang.spot} and {b.hang.spot}", cm(line.clip_width)
                    yield (
                        (a.pupa.id, b.pupa.id),
                        f"{a.pupa.id} and {b.pupa.id} are clipped {cm(apart)} apart on line {line.name} "
                        f"({spots}): allowed is a clip's width, {width}, or more",
                    )


def one_per_spot(case: Case) -> Findings:
    """One pupa per spot: two on one clip knock each other whenever they emerge."""
    spots: defaultdict[tuple[str, float, float], list[Hung]] = defaultdict(list)
    for one in case.hung:
        if one.at:
            spots[one.at.key].append(one)
    for hung in spots.values():
        ids = tuple(dict.fromkeys(one.pupa.id for one in hung))
        if len(ids) > 1 and (at := hung[0].at):
            where = f"{hung[0]}, {xy(at.x, at.y)}" if isinstance(at.place, Lid) else str(hung[0])
            yield ids, f"{' and '.join(ids)} hang on one spot, {where}: allowed is one pupa"


def nobody_to_a_lid(case: Case) -> Findings:
    """Nobody is moved to a lid: lids are where pupae form, with nothing on them to hang one by."""
    for one in case.hung:
        if isinstance(one.place, Lid) and not one.stays:
            yield (one.pupa.id,), f"{one.pupa.id} is moved to {one}: allowed are lines and boards"


def within_reach(case: Case) -> Findings:
    """Who is moved is hung where this keeper can work. Who stays is not judged by that."""
    low, high = case.season.lowest, case.season.highest
    for one in case.hung:
        if one.at and not one.stays and not isinstance(one.place, Lid):
            height = one.at.rack[2]
            if not low - TOUCH <= height <= high + TOUCH:
                what = f"{one.pupa.id} on {one} hangs {cm(height)} high: allowed is {low:g} to {cm(high)}"
                yield (one.pupa.id,), what


def enough_clearance(case: Case) -> Findings:
    """Under each new spot there is height for wings to hang free. Who stays is not judged by that."""
    allowed = cm(case.season.clearance)
    for one in case.hung:
        if one.at and not one.stays and not isinstance(one.place, Lid):
            free = one.at.rack[2] - one.place.below
            if free < case.season.clearance - TOUCH:
                what = f"{one.pupa.id} on {one} has {cm(free)} free below it: allowed is {allowed} or more"
                yield (one.pupa.id,), what
