"""Putting estimates into force, taking them back, and telling them to the season after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, replace
from datetime import date, datetime, time, timedelta
from pathlib import Path

from planner.emergence import earlier_seasons as earlier_file
from planner.emergence import learned_file
from planner.emergence.earlier_seasons import EarlierSeason, earlier_seasons
from planner.emergence.learned_file import Entry
from planner.emergence.learning import Learned, learn
from planner.season.load import digest
from planner.season.reading.yaml_text import LARGEST
from planner.season.season import Season
from planner.season.store import Store
from planner.season.store.disk import read_bytes


def accept(
    folder: Path, learned: Sequence[Learned], on: date, seen: Season | None = None
) -> tuple[Entry, ...]:
    """Put estimates into force: add them to ``learned.yaml``, under the season's lock and with its history.

    An entry in force with the same values is left as it is.

    Parameters
    ----------
    folder : Path
        The season's folder.
    learned : sequence of Learned
        The estimates to accept.
    on : date
        Day of acceptance.
    seen : Season, optional
        The season they were learned from. When ``learned.yaml`` has changed since, nothing is written.

    Returns
    -------
    tuple of Entry
        All entries of the file after that, oldest first.

    Raises
    ------
    FaultyFiles
        The present file cannot be read.
    StoreError
        The file cannot be written, or has changed since ``seen``.
    """
    store = Store(folder)
    with store.locked(f"learn --accept {', '.join(item.species for item in learned)}"):
        data = read_bytes(folder, learned_file.FILE, LARGEST)
        before = list(learned_file.parse(data)) if data is not None else []
        entries = list(before)
        for new in (item.entry(on) for item in learned):
            old = next(
                (i for i, e in enumerate(entries) if e.species == new.species and not e.replaced_by), None
            )
            if old is not None:
                if replace(entries[old], accepted=on) == new:
                    continue
                entries[old] = replace(entries[old], replaced_by=on)
            entries.append(new)
        if entries != before:
            here = None if data is None else digest(data)
            expect = here if seen is None else seen.digests.get(learned_file.FILE)
            store.write(learned_file.FILE, learned_file.dump(entries), expect)
    return tuple(entries)


def forget(folder: Path, species: Sequence[str], on: date, seen: Season) -> bool:
    """Put the profile in force again: replace what was accepted of these species, and drop earlier seasons.

    Returns whether there was anything to forget. Raises as `accept` does.
    """
    entries = learned_file.entries_of(seen)
    left = tuple(
        replace(e, replaced_by=on) if e.species in species and not e.replaced_by else e for e in entries
    )
    seasons = earlier_seasons(seen)
    kept = [one for one in seasons if one.species not in species]
    store = Store(folder)
    with store.locked(f"learn --forget {', '.join(species)}"):
        if left != entries:
            store.write(learned_file.FILE, learned_file.dump(left), seen.digests.get(learned_file.FILE))
        if len(kept) < len(seasons):
            data = earlier_file.dump(kept) if kept else None
            store.write(earlier_file.FILE, data, seen.digests.get(earlier_file.FILE))
    return left != entries or len(kept) < len(seasons)


def told(season: Season) -> tuple[EarlierSeason, ...]:
    """What a season tells the next one: its own earlier seasons, and what its records say, latest last.

    They are taken as they stood when the last one of them was made.

    Raises
    ------
    ValueError
        A species without a usable profile.
    FaultyFiles
        The temperatures or ``earlier.yaml`` cannot be read.
    """
    whens = [w for p in season.pupae for w in (p.pupated, p.hung, p.darkening, p.ended) if w is not None]
    if not whens:
        return earlier_seasons(season)
    last = max(w.day for w in whens)
    own = tuple(
        EarlierSeason(
            season=season.name,
            species=found.species,
            until=last,
            lower=found.profile.lower,
            upper=found.profile.upper,
            records=found.records,
            **{key: round(value, 4) for key, value in asdict(found.alone).items()},
        )
        for found in learn(season, datetime.combine(last + timedelta(days=1), time()))
    )
    return (*earlier_seasons(season), *own)
