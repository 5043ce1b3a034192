"""Rules between objects: a season's places, its pupae, and the two together."""

from __future__ import annotations

from collections.abc import Iterator

from planner.season.places.dividers import divider_faults
from planner.season.places.place import XY, Place, fold
from planner.season.pupae import Pupa
from planner.season.pupae.record import Record, cell_problem
from planner.season.reading.problems import Problem, shorten
from planner.season.reading.scalars import did_you_mean
from planner.season.reading.when import When
from planner.season.season import Season
from planner.season.settings import FILE, Settings, unknown_species


def validate(settings: Settings, record: Record, known_species: frozenset[str]) -> Iterator[Problem]:
    """Yield every breach. Rules that need a place or a value that has a fault of its own are passed over."""
    yield from _names(settings)
    yield from _dividers(settings, record)
    if record.table is None:
        return
    found = {fold(s.name): s for s in settings.stated if s.name}
    known = known_species | settings.season.profiles.keys()
    ids: dict[str, Pupa] = {}
    taken: dict[tuple[str, XY], Pupa] = {}
    for pupa, row in zip(record.pupae, record.rows, strict=True):
        faults = [*_dates(pupa), *_ending(pupa)]
        # The season's own species was judged where it is stated.
        if pupa.species != settings.season.species and (what := unknown_species(pupa.species, known)):
            faults.append(("species", what))
        if pupa.id and (first := ids.setdefault(pupa.id.lower(), pupa)) is not pupa:
            faults.append(("id", f"the id is taken by '{first.id}' in row {first.line}: each is given once"))
        stated = found.get(fold(pupa.place))
        if pupa.place and stated is None:
            names = [s.name for s in settings.stated if s.name]
            hint = did_you_mean(pupa.place, names) or f": places are {', '.join(names) or 'missing'}"
            faults.append(("place", f"there is no place '{shorten(pupa.place)}'{hint}"))
        elif stated is not None and stated.place is not None:
            faults += _spot(pupa, stated.place, settings.season)
            faults += _alone(pupa, stated.place, settings.season, taken)
        for column, what in faults:
            yield cell_problem(record.table, row, column, what)


def _names(settings: Settings) -> Iterator[Problem]:
    """Names that differ only in case would be taken for one another."""
    first: dict[str, str] = {}
    for s in settings.stated:
        if s.name and first.setdefault(fold(s.name), s.where) != s.where:
            what = f"'{shorten(s.name)}' is also the name of {first[fold(s.name)].rsplit('.', 1)[0]}"
            yield Problem(FILE, s.line, s.column, s.where, f"{what}: each place needs its own")


def _dividers(settings: Settings, record: Record) -> Iterator[Problem]:
    season, stated = settings.season, settings.stated
    faulty = [s.name for s in stated if s.name and s.place is None]
    yield from divider_faults(settings.dividers, season.places, faulty, season.card_rules, record.pupae, FILE)


def _dates(pupa: Pupa) -> Iterator[tuple[str, str]]:
    for column in ("hung", "darkening", "ended"):
        when = getattr(pupa, column)
        if when is not None and pupa.pupated is not None and _before(when, pupa.pupated):
            yield column, f"{when} is before it pupated, {pupa.pupated}"


def _before(a: When, b: When) -> bool:
    """Whether a was certainly before b; on one day that is known only where both have an hour."""
    if a.day == b.day:
        return a.hour is not None and b.hour is not None and a.hour < b.hour
    return a.day < b.day


def _ending(pupa: Pupa) -> Iterator[tuple[str, str]]:
    if pupa.ended is not None and pupa.outcome is None:
        yield "ended", f"{pupa.ended}, but the outcome is missing: write how it ended"


def _spot(pupa: Pupa, place: Place, season: Season) -> Iterator[tuple[str, str]]:
    """The spot must be one that the place has. Who is gone may have any."""
    if pupa.present:
        yield from place.faults(pupa, season)


def _alone(
    pupa: Pupa, place: Place, season: Season, taken: dict[tuple[str, XY], Pupa]
) -> Iterator[tuple[str, str]]:
    """No two present pupae hang in one point."""
    point = place.taken(pupa, season.cm_per_unit)
    if not pupa.present or point is None:
        return
    column, at = point
    first = taken.setdefault((place.name, at), pupa)
    if first is not pupa:
        yield column, f"{first.id or 'a pupa'} in row {first.line} hangs there already"
