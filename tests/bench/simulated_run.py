"""Living through a season one evening at a time with some way of hanging, and what came of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from simulated_world import FIRM, MONARCH, Arrival, Rack

GAP = 2  # days; all are due equally long after they pupated, so two clash that pupated less than that apart


@dataclass(frozen=True)
class Evening:
    """What the keeper knows.

    ``hung``: id → (day pupated, spot) of those on the rack; ``newcomers``: id → day pupated of those in the
    tub that are firm; ``soft``, ``expected``: day of pupation → how many.
    """

    rack: Rack
    day: int
    hung: Mapping[str, tuple[int, int]]
    newcomers: Mapping[str, int]
    soft: Mapping[int, int]
    expected: Mapping[int, int]

    @property
    def at(self) -> dict[int, int]:
        """Spot → day on which its pupa pupated."""
        return {spot: pupated for pupated, spot in self.hung.values()}

    @property
    def free(self) -> list[int]:
        at = self.at
        return [spot for spot in range(len(self.rack.spots)) if spot not in at]


# id → spot, of the newcomers and whoever is hung again; a newcomer left out stays in the tub until tomorrow.
Policy = Callable[[Evening], Mapping[str, int]]


@dataclass(frozen=True)
class Outcome:
    """``clashes``: pairs of neighbours ever hung at once whose dues are too close. ``together``: pairs of
    neighbours that in truth dried their wings at the same time. ``crowded``: pairs ever hung at once too near
    for hands. ``touches``: handlings. ``waited``: evenings spent in the tub when firm, of all together;
    ``late``: pupae that emerged there.
    """

    clashes: int
    together: int
    crowded: int
    touches: int
    waited: int
    late: int


def live(rack: Rack, arrivals: Sequence[Arrival], policy: Policy, known: int) -> Outcome:
    """One season. ``known``: for how many days ahead the keeper sees who will pupate."""
    of = {a.id: a for a in arrivals}
    count: dict[int, int] = {}
    for a in arrivals:
        count[a.pupated] = count.get(a.pupated, 0) + 1
    hung: dict[str, tuple[int, int]] = {}
    clashes: set[tuple[str, str]] = set()
    together: set[tuple[str, str]] = set()
    crowded: set[tuple[str, str]] = set()
    touches = waited = late = 0
    tub: dict[str, int] = {}
    evenings = sorted({a.hung for a in arrivals})
    while evenings:
        day = evenings.pop(0)
        tub |= {a.id: a.pupated for a in arrivals if a.hung == day}
        hung = {i: where for i, where in hung.items() if of[i].gone > day}
        soft = {d: count[d] for d in range(day - FIRM + 1, day + 1) if d in count}
        expected = {d: count[d] for d in range(day + 1, day + 1 + known) if d in count}
        moved = policy(Evening(rack, day, dict(hung), dict(tub), soft, expected))
        touches += len(moved)
        assert moved.keys() <= hung.keys() | tub.keys()
        hung |= {i: (of[i].pupated, spot) for i, spot in moved.items()}
        tub = {i: pupated for i, pupated in tub.items() if i not in moved}
        waited += len(tub)
        late += sum(of[i].gone == day + 1 for i in tub)
        tub = {i: pupated for i, pupated in tub.items() if of[i].gone > day + 1}
        if tub and day + 1 not in evenings:
            evenings.insert(0, day + 1)
        at = {spot: i for i, (_, spot) in hung.items()}
        assert len(at) == len(hung), "two on one spot"
        for i in moved:
            for other in (at[s] for s in rack.near[at_spot(hung, i)] if s in at):
                pair = (min(i, other), max(i, other))
                if abs(of[i].pupated - of[other].pupated) < GAP:
                    clashes.add(pair)
            near = (at[s] for s in rack.close[at_spot(hung, i)] if s in at)
            crowded |= {(min(i, other), max(i, other)) for other in near}
        together |= drying(rack, of, hung, day)
    return Outcome(len(clashes), len(together), len(crowded), touches, waited, late)


def at_spot(hung: Mapping[str, tuple[int, int]], i: str) -> int:
    return hung[i][1]


def drying(
    rack: Rack, of: Mapping[str, Arrival], hung: Mapping[str, tuple[int, int]], day: int
) -> set[tuple[str, str]]:
    """Pairs of neighbours that dry their wings together before the keeper comes again the next evening."""
    soon = {where[1]: i for i, where in hung.items() if of[i].gone == day + 1}
    return {
        (i, soon[s])
        for spot, i in soon.items()
        for s in rack.near[spot]
        if s in soon and i < soon[s] and abs(of[i].emerged - of[soon[s]].emerged) < MONARCH.wing_drying / 24
    }
