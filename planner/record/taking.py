"""Slips written into a season: under its lock, by the one set of rules, with the log of them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime

from planner.record import taken
from planner.record.pupae_table import unchanged_pupae
from planner.record.refusal import Refused
from planner.record.slip import Slip
from planner.record.take import State, Taken, take
from planner.season.pupae import table
from planner.season.season import Season
from planner.season.store import Store
from planner.season.store.disk import digest
from planner.words import count


def state_of(season: Season) -> State:
    """A season as slips find it. Raises FaultyFiles, and Refused where ``pupae.csv`` is another by now."""
    return State(season, unchanged_pupae(season), taken.read_log(season.folder))


def take_into(
    store: Store,
    state: State,
    slips: Sequence[Slip],
    now: datetime,
    *,
    anyway: bool = False,
    without: Collection[str] = (),
    dry_run: bool = False,
    tried: Taken | None = None,
) -> Taken:
    """What the slips make of a season, written at the end of ``store.locked()``, within which this is called.

    ``tried``: the same without ids for newcomers, where that is known. Raises Refused with everything that
    speaks against it; nothing is written then.
    """
    found = tried or take(state, slips, now, anyway=anyway, without=without)
    if dry_run or not found.entries:
        return found
    if found.new:  # only now, for nothing speaks against them: their ids are given once
        found = take(state, slips, now, store=store, anyway=anyway, without=without)
    log = taken.dump(found.state.log)
    if len(log) > taken.LARGEST:
        raise Refused([f"{taken.FILE} has no room for more events: {taken.MAKE_ROOM}"])
    store.describe(f"take {count(len(found.entries), 'event')}")
    if found.state.data != state.data:
        expect = digest(state.data) if table.FILE in state.season.digests else None
        store.write(table.FILE, found.state.data, expect=expect)
    there = (state.season.folder / taken.FILE).exists()
    old = digest(taken.dump(state.log)) if there else None
    store.write(taken.FILE, log, expect=old)
    return found
