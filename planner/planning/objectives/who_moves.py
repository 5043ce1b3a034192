"""Instances in which some who stay are pinned: what is left to decide once it is known who moves."""

from __future__ import annotations

from dataclasses import replace

from planner.engine.model.instance import Instance, SpotOf


def exchangeable(inst: Instance, spot_of: SpotOf, gap: float) -> Instance:
    """The same with those pinned who stay and cannot well be exchanged for others that move.

    They are to stay whose home others may have, who are left behind, and who are in a pending pair.
    """
    pending, open_nodes = inst.pending_at_home(gap), {*inst.open_nodes}
    staying = {
        i: node
        for i, node in inst.homes.items()
        if spot_of[i] == node and (i in inst.barred or i in pending or node in open_nodes)
    }
    found = inst.with_pinned(staying)
    homes = {
        i: node
        for i, node in found.homes.items()
        if i not in inst.barred and i not in pending and node not in open_nodes
    }
    found = replace(found, homes=homes, barred=frozenset())
    return found.with_open(found.open_nodes)


def only_movers(inst: Instance, spot_of: SpotOf) -> Instance:
    """The same with everybody pinned who stays; who leaves its home does not go back."""
    staying = {i: node for i, node in inst.homes.items() if spot_of[i] == node}
    found = replace(inst.with_pinned(staying), homes={}, barred=frozenset())
    return found.with_open(found.open_nodes)
