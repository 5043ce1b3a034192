"""What is asked back of a list, some of whose rows may be on record already."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.record.list_groups import Group, key_of
from planner.record.redrawn import whereabouts
from planner.season.pupae import FORMED
from planner.season.pupae.table import FILE
from planner.season.reading.told_dates import day_month
from planner.season.season import Season
from planner.words import call, count, few_ids

MOST_TOLD = 8  # groups; more is no message


def list_question(season: Season, groups: Sequence[Group], unclear: Sequence[Group]) -> Iterator[str]:
    """What was understood, what is unclear, and what to type."""
    known = sum(len(g.known) for g in groups)
    new = sum(len(g.new) for g in groups if not g.unclear)
    doubtful = sum(len(g.new) for g in unclear)
    yield f"the list: {known} on record already, {new} new, {doubtful} unclear: nothing was recorded"
    for group in unclear[:MOST_TOLD]:
        there = whereabouts(season, group.rivals)
        those = f"{few_ids([p.id for p in group.rivals])}, {there}"
        has = f"{group.new[0].source}: the list has {len(group.new)} {_of(group)}"
        same = all(key_of(season, p) == group.key for p in group.rivals)
        surplus = len(group.new) - len(group.rivals)
        if same and surplus > 0:
            are = "is" if len(group.rivals) == 1 else "are"
            what = f"{len(group.rivals)} of them {are} on record: {those}"
            yield f"{has}; {what}. If only {surplus} more: '{_typed(season, group, surplus)}'"
        elif any(key_of(season, p) is None for p in group.rivals):
            lid = group.key[0]
            what = (
                f"on record are {those}, but not from which lid. If these are the same, write '{lid} ?' under"
            )
            yield f"{has}; {what} {FORMED} in {FILE}"
        else:
            one = "it is the same" if len(group.rivals) == 1 else "they are the same"
            what = f"on record, and not in the list, {'is' if len(group.rivals) == 1 else 'are'} {those}"
            yield f"{has}; {what}. If {one}, write in {FILE} what the list says"
    if (more := len(unclear) - MOST_TOLD) > 0:
        yield f"and {count(more, 'more day')} like these"
    total = f"all {doubtful}" if doubtful > 1 else "it"
    yield f"then add the list again; or leave out who is on record; or --anyway to record {total} as new"


def known_doubt(season: Season, groups: Sequence[Group]) -> Iterator[str]:
    """That some are known only by how many there are, and how to record others."""
    if groups:
        names = few_ids([p.id for g in groups for p in g.by_count])
        how = _typed(season, groups[0], len(groups[0].by_count))
        yield f"taken for the same by lid and day: {names}. If the list means others, '{how}' records them"


def _of(group: Group) -> str:
    lid, _, day = group.key
    return f"of {day_month(day)} on {lid}" if day else f"in a J on {lid}"


def _typed(season: Season, group: Group, number: int) -> str:
    """How so many of a group are recorded by hand."""
    lid, species, day = group.key
    when = [day.isoformat()] if day else ["--prepupa"]
    kind = [] if species == season.species.lower() else ["--species", species]
    return call("add", season.folder, str(number), lid, *when, *kind)
