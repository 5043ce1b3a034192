"""A plan found is verified, and only then written; also where the search that found it was cut off."""

from __future__ import annotations

from pathlib import Path

from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import tell
from planner.follow.breaches import breaches
from planner.follow.changed_files import changed
from planner.record.refusal import Refused
from planner.season.load import digest
from planner.season.plan import plan_file
from planner.season.plan.plan_record import Plan
from planner.season.reading.problems import FaultyFiles
from planner.season.season import Season
from planner.season.store import Store, StoreError, try_output

LEAST = 100  # bytes of plan.yaml for each pupa


def ready(season: Season, output: Path) -> None:
    """Find out before a long search whether its plan can be written; tell where only its map cannot.

    Raises StoreError.
    """
    size = LEAST * sum(p.present for p in season.pupae)
    Store(season.folder).try_out(plan_file.FILE, size)
    try:
        try_output(output, size)
    except StoreError as e:
        tell(f"{e.fault}: the plan will be written, but not the map")


def verify(season: Season, found: Plan) -> None:
    """Stop a wrong plan here, before anybody sees it. Raises Refused with the rules it breaks."""
    if wrong := list(breaches(season, found, claims=True)):
        own = "the plan found breaks rules: that is a fault of hangplan, not yours; nothing was written"
        raise Refused([own, *(f"{b.where}: {b.what}" for b in wrong)])


def store(season: Season, found: Plan, expect: str | None) -> str:
    """Write it, unless season or plan before (digest ``expect``) is another by now; give its digest."""
    own = Store(season.folder)
    with own.locked("plan"):
        if files := changed(season):
            verb = "was" if len(files) == 1 else "were"
            raise Refused([f"{' and '.join(files)} {verb} changed while planning: run plan again"])
        data = plan_file.dump(found)
        own.write(plan_file.FILE, data, expect)
    return digest(data)


def store_cut_off(folder: Path, expect: str | None, data: bytes) -> bool:
    """Write the best plan so far of a search that was ended from outside, if it holds for the season now."""
    try:
        season, found = open_season(folder), plan_file.parse(data)
        if found.inputs != dict(season.digests):
            return False
        verify(season, found)
        store(season, found, expect)
    except (FaultyFiles, Refused, StoreError, OSError, MemoryError):
        return False
    return True
