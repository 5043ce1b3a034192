"""Instances in which some who stay are pinned: what is left to decide once it is known who moves."""

from __future__ import annotations

from planner.engine.model.instance import Instance, Node, SpotOf


def exchangeable(inst: Instance, spot_of: SpotOf, gap: float) -> Instance:
    """The same with those pinned who stay and cannot well be exchanged for others that move.

    They are to stay whose home others may have, who are left behind, and who are in a pending pair or beside
    a reservation that they disturb. Who has left such a home does not go back.
    """
    pending, open_nodes = inst.pending_at_home(gap), {*inst.open_nodes}

    def tied(i: int, home: Node) -> bool:
        bound = i in inst.barred or i in pending or home in open_nodes
        return bound or inst.disturbs_reservation(home, inst.dues[i], inst.kind(i))

    found = inst.with_pinned({i: n for i, n in inst.homes.items() if spot_of[i] == n and tied(i, n)})
    found = found.with_homes({i: node for i, node in found.homes.items() if not tied(i, node)})
    return found.with_open(found.open_nodes)


def only_movers(inst: Instance, spot_of: SpotOf) -> Instance:
    """The same with everybody pinned who stays; who leaves its home does not go back."""
    staying = {i: node for i, node in inst.homes.items() if spot_of[i] == node}
    found = inst.with_pinned(staying).with_homes({})
    return found.with_open(found.open_nodes)
