"""Moves over spots that are letters, and a rack on which they are carried out one by one."""

from datetime import datetime, timedelta

import networkx as nx

from planner.planning.moves.parking import park
from planner.planning.moves.precedence import Precedence, Transfer
from planner.planning.moves.schedule import in_sequence, sessions

NOW = datetime(2027, 7, 9, 8)
DAY = timedelta(days=1)


def transfers(ways, windows=None):
    """``{"a": "b"}``: who hangs at a goes to b. Window in days from now, by the spot left; else -1 to 5."""
    windows = windows or {}
    found = []
    for source, target in ways.items():
        start, end = windows.get(source, (-1, 5))
        found.append(Transfer(source, target, NOW + start * DAY, NOW + end * DAY))
    return found


def crowded(*pairs):
    """Pairs of spots on which no two clips fit, both ways round."""
    found = {}
    for a, b in pairs:
        found.setdefault(a, set()).add(b)
        found.setdefault(b, set()).add(a)
    return found


class Course:
    """Moves in their order. ``places``: of each spot, to group by; ``spare``: spots nobody stays on."""

    def __init__(self, ways, *, spare="", windows=None, crowds=None, places=None, key=None):
        self.transfers = transfers(ways, windows)
        self.precedence = Precedence(self.transfers, crowds or {})
        self.parked, self.stuck = park(self.precedence, list(spare), lambda _, spot: str(spot), NOW)
        self.steps = self.precedence.steps(self.parked)
        self.late = {} if self.stuck else self.precedence.late(self.steps, self.parked, NOW)
        places = places or {}
        if not self.stuck and not self.late:
            bounds = self.precedence.bounds(self.steps, self.parked)
            self.windows = {step: self.precedence.window(b) for step, b in bounds.items()}
            self.order = in_sequence(
                self.steps,
                sessions(self.windows, NOW),
                lambda step: places.get(self.way(step)[0], ""),
                key or (lambda step: self.way(step)[0]),
            )

    def way(self, step):
        item, last = step
        transfer, at = self.transfers[item], self.parked.get(item)
        return (at, transfer.target) if last else (transfer.source, transfer.target if at is None else at)

    def said(self, order=None):
        """``["a>b", "c>a"]``."""
        return ["{}>{}".format(*self.way(step)) for step in (order or self.order)]

    def carried_out(self, order=None):
        """Do it; who was hung beside or on whom, and who ended where it should not."""
        at = {transfer.source: item for item, transfer in enumerate(self.transfers)}
        wrong = []
        for step in order or self.order:
            source, target = self.way(step)
            if at.pop(source, None) != step[0]:
                wrong.append(f"{step} is not at {source}")
            for near in (target, *self.precedence.crowds.get(target, ())):
                if near in at:
                    wrong.append(f"{source}>{target} meets one at {near}")
            at[target] = step[0]
        return wrong + [
            f"{i} is not at {w.target}" for i, w in enumerate(self.transfers) if at.get(w.target) != i
        ]


def any_order(steps, chance):
    """Some order that keeps the waits, by the whim of ``chance``."""
    ranks = {step: chance.random() for step in steps}
    return list(nx.lexicographical_topological_sort(steps, key=ranks.__getitem__))
