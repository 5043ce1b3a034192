"""Small random seasons, and the truth about them by trying every way.

All is drawn from one ``Random``, so that a seed says everything: ``python tests/bench/proofs.py`` tries many.
"""

import itertools
import math
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from functools import cache

from graph_world import any_end, cut_short
from season_world import ON, day, line, pupa, season, tub, without_date

from planner.emergence import emergences, forecasts, together
from planner.engine.model.instance import EPS
from planner.planning import make_plan as season_plan
from planner.planning.make_plan import make_plan
from planner.planning.objectives.carrying_costs import carrying_of
from planner.planning.problem.season_problem import season_problem
from planner.rack import sliding
from planner.season import Board, Expected, Plan

ROUNDED = 1.01e-4  # days, to which a plan tells its smallest gap
MANY_WAYS = 3000  # of hanging a season; one with more is not tried


def any_season(rng):
    """A line or a yarn, a board, a lid, up to four pupae there and two that hang; perhaps some to come."""
    cm = [None, 0, 6, 12]
    slides = {"clips_every": None, "clip_width": rng.choice([2, 3]), "to_nearest": 1}
    places = [
        line("n", rng.randint(1, 3), left=rng.choice(cm), front=rng.choice(cm),
             **(slides if rng.random() < 0.4 else {})),
        Board(
            name="cork", width=rng.choice([4, 8]), height=4, pins_every=rng.choice([4, 6]),
            bottom=rng.choice([20, 120, 140, 188]), left=rng.choice(cm), front=rng.choice(cm),
        ),
        tub("tub", clear=rng.random() < 0.5, left=rng.choice(cm), front=rng.choice(cm), height=140),
    ]  # fmt: skip
    points = rng.sample([(2 * x, 3 * y) for x in range(12) for y in range(6)], 5)
    pupae = []
    for k, (x, y) in enumerate(points[: rng.randint(1, 4)]):
        more = {"x": x, "y": y} if rng.random() < 0.6 else {}
        stay = rng.random() < 0.3
        pupae.append(pupa(f"m{k}", rng.choice([3, 4, 5, 5, 6, 8]), stay=stay, **more))
    for k in range(rng.randint(0, 2)):
        if places[0].length > 4 * (k + 1):
            pupae.append(pupa(f"h{k}", rng.randint(2, 8), place="n", spot=str(4 * (k + 1)), hung=day(8)))
    expected = (Expected(date(2027, 7, rng.randint(10, 16)), 1, "monarch"),) if rng.random() < 0.3 else ()
    slow = [p.id for p in pupae if rng.random() < 0.25] if rng.random() < 0.3 else []
    stated = {"lowest": 40, "highest": 190, "expected": expected, "elbow_room": rng.choice([None, 0, 3, 8])}
    return season(places, without_date(pupae, slow), **stated)


def planned_before(case, rng):
    """A plan before, and the season since: its spots are the best for each, or as good as drawn by lot.

    It is of the same pupae, perhaps with other dates, perhaps without one that came since; some of its moves
    may be made.
    """
    pupae, days = case.pupae, [p.pupated for p in case.pupae]
    if rng.random() < 0.5:
        rng.shuffle(days)
        pupae = tuple(replace(p, pupated=d) for p, d in zip(case.pupae, days, strict=True))
    if len(pupae) > 1 and rng.random() < 0.4:
        pupae = pupae[1:]
    before = make_plan(replace(case, pupae=pupae), ON, seconds=20, workers=1, widest=rng.random() < 0.5)
    steps = rng.randint(0, len(before.moves) // 2) if rng.random() < 0.5 else 0
    to = {move.pupa: move for move in before.moves[:steps]}
    hung = tuple(
        replace(p, place=to[p.id].to_place, spot=to[p.id].to_spot, x=None, y=None) if p.id in to else p
        for p in case.pupae
    )
    return before, replace(case, pupae=hung)


@contextmanager
def every_position():
    """Positions along a yarn are all that a ruler has, and not only those that are thought to matter."""
    real = sliding._within_reach
    sliding._within_reach = lambda *_: True
    try:
        yield
    finally:
        sliding._within_reach = real


def every_way(inst):
    """Each way to hang the free items, clips with room; None where there are too many."""
    own = set(inst.homes.values()) - set(inst.open_nodes)
    choices = [
        [*inst.open_nodes, *([inst.homes[i]] if inst.homes[i] in own else [])] for i in inst.free_items
    ]
    if math.prod(map(len, choices)) > MANY_WAYS:
        return None
    found = []
    for nodes in itertools.product(*choices):
        spot_of = {**inst.pinned, **dict(zip(inst.free_items, nodes, strict=True))}
        taken = set(spot_of.values())
        crowd = any(
            len(taken.intersection(group)) > 1 and not taken.intersection(group) <= own
            for group in inst.exclusive
        )
        if len(taken) == len(spot_of) and not crowd:
            found.append(spot_of)
    return found


def room_missing(inst, spot_of, gap):
    """Tenths of those to come who find no spot beside ``spot_of``, whatever is kept for them."""
    wanted = [k for k, coming in enumerate(inst.coming) for _ in range(coming.count)]
    dues = [math.nan if i in inst.undated else due for i, due in enumerate(inst.dues)]
    taken = [(node, -math.inf, inst.vacated_by(i), dues[i]) for i, node in spot_of.items()]
    nodes = (*inst.open_nodes, *inst.pinned_at)

    def fits(node, k, there):
        coming = inst.coming[k]
        near = {node, *inst.excludes.get(node, ())}
        for other, since, until, due in there:
            pinned = other in inst.pinned_at and since == -math.inf
            if other in near and not pinned and since < coming.until and coming.since < until:
                return False
            if other in inst.graph[node] and not abs(due - coming.due) >= gap - EPS:
                return False
        return inst.chance(node, k) > 0

    def most(rest, there):
        if not rest:
            return 0
        k, coming = rest[0], inst.coming[rest[0]]
        best = most(rest[1:], there)
        for node in nodes:
            if fits(node, k, there):
                here = (node, coming.since, coming.until, coming.due)
                best = max(best, inst.chance(node, k) + most(rest[1:], [*there, here]))
        return best

    return 10 * len(wanted) - most(wanted, taken)


def fault_of_plan(rng):
    """What a plan of a random season said falsely of one of its levels; None if nothing, "" if not tried."""
    case, option = any_season(rng), rng.choice(["", "", "widest", "rehang"])
    before = None
    if option != "rehang" and rng.random() < 0.6:
        before, case = planned_before(case, rng)
    seconds, at, work = any_end(rng)
    with cut_short(at, work):
        more = {option: True} if option else {}
        plan = make_plan(case, ON, seconds=seconds, workers=1, before=before, **more)
    return fault_in(case, plan, rehang=option == "rehang", before=before)


def fault_of_plan_again(rng, widest=None):
    """As `fault_of_plan`, of a plan made again; a move changed without need is one, too."""
    before, case = planned_before(any_season(rng), rng)
    widest = rng.random() < 0.7 if widest is None else widest
    plan = make_plan(case, ON, seconds=20, workers=1, before=before, widest=widest)
    with every_position():
        problem = season_problem(case, forecasts(case, ON), on=ON)
    judge = Judge(case, plan, problem, before=before)
    if not judge.to_make:
        return ""
    if (fault := judge.fault()) is not None:
        return fault
    needless = judge.needless_changes()
    return f"{needless} of {plan.changed} need not change in {case}" if needless else None


def fault_in(case, plan: Plan, *, rehang=False, before=None):
    """The first level of ``plan`` that is not the plan's, or that some way to hang all refutes."""
    now = forecasts(case, ON)
    with every_position():
        as_hung = season_problem(case, now, on=ON)
        all_free = season_problem(case, now, on=ON, rehang=True)
    moved = {h.pupa for h in plan.hangs if h.from_place}
    if not rehang:
        return Judge(case, plan, as_hung, before=before).fault()
    priced = any(level.name == "handling" for level in plan.proof)  # then those that hang were free as well
    if priced or any(as_hung.ids[i] in moved for i in as_hung.instance.pinned):
        return Judge(case, plan, all_free).fault()
    # Re-hanging would have been taken for fewer left or fewer clashes; what comes after is of the others.
    return Judge(case, plan, all_free, ("left", "clashes")).fault() or Judge(case, plan, as_hung).fault()


class Judge:
    """A plan against every way to hang all in one situation, level by level."""

    def __init__(self, case, plan, problem, only=(), before=None):
        self.case, self.plan, self.problem, self.only = case, plan, problem, only
        self.inst, self.gap = problem.instance, plan.gap_days
        marks = {(s.place, s.tag): s for s in self.inst.graph}
        homes = {problem.ids[i]: s for i, s in [*self.inst.homes.items(), *self.inst.pinned.items()]}
        hangs = {h.pupa: h for h in plan.hangs}
        self.here = {
            i: marks[hangs[p].place, hangs[p].spot] if hangs[p].from_place else homes[p]
            for i, p in enumerate(problem.ids)
        }
        self.staying = self.who_stays(self.here)
        to = {one.who: (one.place, one.spot) for one in before.later} if before else {}
        to |= {h.pupa: (h.place, h.spot) for h in before.hangs if h.from_place} if before else {}
        self.to_make = {i: to[problem.ids[i]] for i in self.inst.free_items if problem.ids[i] in to}
        self.carrying, self.penalty = carrying_of(problem), season_plan._penalty(dict(problem.now))
        yarns = [place for place in case.places if place.slides]
        self.tried = {(yarn.name, x) for yarn in yarns for x in sliding.positions_on(yarn, case)}
        self.widest = any(level.name == "smallest_gap" for level in plan.proof)
        self.chance = emergences(case, [case.pupa[name] for name in problem.ids], ON)

    def who_stays(self, spot_of):
        return {i for i in self.inst.free_items if spot_of[i] == self.inst.homes[i]}

    def kept(self, spot_of):
        """Who is to hang where the plan before had it."""
        return {i for i, spot in self.to_make.items() if (spot_of[i].place, spot_of[i].tag) == spot}

    def value(self, name, spot_of):
        inst, ids = self.inst, self.problem.ids
        clashes, waiting = self.problem.too_close(spot_of, self.gap)
        match name:
            case "left":
                return sum(spot_of[i] == inst.homes[i] for i in inst.barred)
            case "clashes":
                return len(clashes)
            case "pairs that wait":
                return len(waiting)
            case "trouble":
                pairs = inst.clashes(spot_of, self.gap)
                return sum(self.penalty(math.floor(inst.gap(*pair) + EPS)) for pair in pairs)
            case "touched" | "handling":
                return inst.handling(spot_of)
            case "smallest_gap":
                wait = [{p.a, p.b} for p in waiting]
                pairs = inst.neighbour_pairs(spot_of, pinned_too=True)
                dated = ((a, b) for a, b in pairs if not inst.undated & {a, b})
                gaps = (inst.gap(a, b) for a, b in dated if {ids[a], ids[b]} not in wait)
                return min(gaps, default=math.inf)
            case "stability":
                return len(self.to_make) - len(self.kept(spot_of))
            case "risk":
                pairs = inst.neighbour_pairs(spot_of, pinned_too=True)
                return round(sum(self.together(frozenset(pair)) for pair in pairs) / 1000, 3)
            case "elbow_room":
                stay = {*inst.pinned, *self.who_stays(spot_of)}
                return sum(
                    not {a, b} <= stay and self.cramped(spot_of[a], spot_of[b])
                    for a, b in itertools.combinations(spot_of, 2)
                )
            case "length":
                sliding = [place.name for place in self.case.places if getattr(place, "clip_width", None)]
                ends = ([s.x for s in spot_of.values() if s.place == name] for name in sliding)
                return round(sum(max(end, default=0) for end in ends), 3)
            case "carrying":
                return self.carrying.total(inst, spot_of) / 10
            case "room":
                return room_missing(inst, spot_of, self.gap) / 10
        raise ValueError(name)

    @cache  # noqa: B019  # a judge lives as long as its plan
    def together(self, pair):
        """Thousandths of a chance that two dry their wings together, rounded up."""
        names = [self.problem.ids[i] for i in sorted(pair)]
        if any(self.problem.now[name].due is None for name in names):
            return 0
        one, other = (self.chance[name] for name in names)
        chance = together(one, other)
        return 0 if chance < 1e-4 else math.ceil(1000 * chance - 1e-9)

    def cramped(self, one, other):
        """Whether two spots are nearer than hands need."""
        known = one.at is not None and other.at is not None and one.frame == other.frame
        need = self.case.elbow_room if self.case.elbow_room is not None else self.case.wing_reach / 2
        return known and math.dist(one.at, other.at) < need - 1e-6

    def settled(self, ways):
        """Those ways in which what is settled before the last levels is as in the plan."""
        ways = [w for w in ways if self.who_stays(w) == self.staying and self.kept(w) == self.kept(self.here)]
        own = self.inst.smallest_gap(self.here)
        if self.widest and own > self.value("smallest_gap", self.here):
            # Two that may not be moved are closer; the others keep the gap that was found for them.
            ways = [w for w in ways if self.inst.smallest_gap(w) >= own]
        return ways

    def where_clips_stop(self, ways):
        """Those ways in which each clip that slides is at a candidate position, as in the plan's own way.

        Any layout can be pushed to such positions, but it may then be a little farther to carry.
        """

        def stops(i, way):
            spot = way[i]
            slides = self.case.place[spot.place].slides
            return not slides or (spot.place, spot.x) in self.tried or spot == self.here[i]

        return [way for way in ways if all(stops(i, way) for i in self.inst.free_items)]

    def beside_reserved(self, ways):
        """Those ways that leave alone the spots the plan keeps for those to come, as its own way does."""
        inst, reserved = self.inst, []
        marks = {(s.place, s.tag): s for s in inst.graph}
        for one in (*self.plan.kept, *self.plan.hoped):
            for coming in inst.coming:
                moment = self.problem.scale.moment(coming.since)
                if coming.name == one.who and moment == one.since:
                    reserved.append((marks[one.place, one.spot], coming))
                    break
        near = {n for node, _ in reserved for n in (node, *inst.excludes.get(node, ()))}

        def free(i, way):
            if way[i] in near or self.here[i] in near:
                return way[i] == self.here[i]  # it has left before they come
            beside = (c for node, c in reserved if node in inst.graph[way[i]])
            apart = (
                abs(inst.dues[i] - c.due) >= self.gap - EPS and (inst.kind(i), c.kind) not in inst.risky
                for c in beside
            )
            return i in self.staying or all(apart)

        return [way for way in ways if all(free(i, way) for i in inst.free_items)]

    @property
    def before_stability(self):
        return ("left", "clashes", "trouble", *(("room", "smallest_gap") if self.widest else ()), "touched")

    def needless_changes(self):
        """How many moves of the plan before need not change, all levels before being as they are."""
        ways = every_way(self.inst)
        for level in self.plan.proof:
            if level.name in self.before_stability:
                sign, told = (-1 if level.name == "smallest_gap" else 1), level.value
                told = math.inf if told is None else told
                ways = [w for w in ways if sign * self.value(level.name, w) <= sign * told + ROUNDED]
        waiting, gap = (self.value(name, self.here) for name in ("pairs that wait", "smallest_gap"))
        ways = [w for w in ways if self.value("pairs that wait", w) <= waiting]
        own = self.inst.smallest_gap(self.here)
        if self.widest and own > gap and gap < self.gap:
            # Two that may not be moved clash; the others keep the gap that was found for them.
            ways = [w for w in ways if self.inst.smallest_gap(w) >= own]
        return self.value("stability", self.here) - min(self.value("stability", w) for w in ways)

    def fault(self):
        rest = every_way(self.inst)
        if rest is None:
            return ""
        as_many_kept = not self.to_make
        for level in self.plan.proof:
            if not as_many_kept and level.name not in self.before_stability:
                as_many_kept = True  # that none changes is told by no level
                most = len(self.plan.changed)
                if level.name != "stability":
                    rest = [w for w in rest if self.value("stability", w) <= most]
            if self.only and level.name not in self.only:
                return None
            if level.name in ("length", "carrying"):
                rest = self.beside_reserved(self.settled(rest))
            if level.name == "carrying":
                rest = self.where_clips_stop(rest)
            sign = -1 if level.name == "smallest_gap" else 1
            told, bound = (math.inf if x is None else x for x in (level.value, level.bound))
            values = [self.value(level.name, w) for w in rest]
            own = told if level.name == "room" else self.value(level.name, self.here)
            said = f"{level}: {own} here, {min(values)} to {max(values)} possible in {self.case}"
            if told != own and abs(told - own) > ROUNDED:
                return "not the plan's: " + said
            best = min(sign * v for v in values)
            if sign * bound > best + ROUNDED and sign * bound != best:
                return "beyond the truth: " + said
            if level.proved and sign * told > best + ROUNDED:
                return "proved, and yet better exists: " + said
            rest = [w for w, v in zip(rest, values, strict=True) if sign * v <= sign * told + ROUNDED]
            if level.name == "clashes":  # this comes next, and is no line of the proof
                waiting = self.value("pairs that wait", self.here)
                rest = [w for w in rest if self.value("pairs that wait", w) <= waiting]
        return None
