"""What may be recorded of a pupa, and what should make one look again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime, time, timedelta

from planner.emergence import forecasts, profile_of
from planner.record.pupae_table import with_note
from planner.record.refusal import Refused
from planner.season.pupae import AFTER, Pupa
from planner.season.reading.told_dates import day_text, moment, short_since
from planner.season.reading.when import When
from planner.season.season import Season
from planner.words import count

DARKENING = "darkening"
ANY_TIME = ("failed", "parasitised", "removed")  # the rest only an adult can do
WINGS_DRY = ("emerged", "deformed")  # after these, what it hung from is free only once its wings are dry
FAR = 4.0  # standard deviations from the due day: then rather the wrong pupa or the wrong date


def certainly_before(when: When, other: When) -> bool:
    """Whether it was certainly before; the same minute is not, both may be typed one after the other."""
    return when.latest < other.earliest or (not when.hour and when.latest == other.earliest)


def refusals(season: Season, pupa: Pupa, what: str, when: When, *, typed: bool = True) -> Iterator[str]:
    """Why this cannot be true of a pupa, with what is allowed. ``typed``: at the computer, by no phone."""
    row = f"to correct it, change row {pupa.line} of pupae.csv"
    if pupa.outcome is not None:
        ended = f" on {pupa.ended.told}" if pupa.ended else ""
        yield f"{pupa.id}: is recorded as {pupa.outcome}{ended} already; {row}"
        return
    if what == DARKENING and pupa.darkening:
        yield f"{pupa.id}: darkening was seen on {pupa.darkening.told} already; {row}"
        return
    allowed = f"allowed is {', '.join(ANY_TIME[:-1])} or {ANY_TIME[-1]}"
    if pupa.pupated is None:
        if what not in ANY_TIME:
            yield f"{pupa.id}: {what} cannot be, it hangs in a J: {allowed}, or write when it pupated first"
        return
    if when.latest <= pupa.pupated.earliest or (
        when.day == pupa.pupated.day and when.hour and pupa.pupated.hour and when.hour < pupa.pupated.hour
    ):
        yield f"{pupa.id}: {when.told} is before it pupated, {pupa.pupated.told}"
        return
    if when.looks and when.looks[0] < pupa.pupated.earliest:
        look = short_since(when.looks[0])
        yield f"{pupa.id}: {look} is before it pupated, {pupa.pupated.told}: name a look after that"
        return
    seen = pupa.darkening
    if seen and certainly_before(when, seen):
        yield f"{pupa.id}: {when.told} is before its darkening was seen, {seen.told}; {row}"
    hung = pupa.hung
    if (
        hung
        and what != DARKENING
        and (certainly_before(when, hung) or (when.hour and hung.hour and when.earliest < hung.earliest))
    ):
        again = f"if it was hung earlier, change hung in row {pupa.line} of pupae.csv"
        again += "; else say with --on when" if typed else ""
        yield f"{pupa.id}: {what} on {when.told} is before it was hung, {hung.told}: {again}"
        return
    if what in ANY_TIME:
        return
    # Certainly soft: even if it pupated as early as the record allows.
    hours = profile_of(season, pupa.species).firm_after
    if when.latest <= pupa.pupated.earliest + timedelta(hours=hours):
        ill = "; if it is dark already it may be ill: set it apart" if what == DARKENING else ""
        soft = f"it pupated on {pupa.pupated.told} and is soft for {hours:g} h"
        yield f"{pupa.id}: {what} on {when.told} cannot be, {soft}: {allowed}{ill}"


def doubts(season: Season, pupae: Iterable[Pupa], what: str, when: When, now: datetime) -> Iterator[str]:
    """What is possible but so unlikely that one should look whether it is the right pupa.

    One that is gone by what was recorded before is judged as while it hung: a phone tells late what was seen.
    """
    if what in ANY_TIME:
        return
    pupae = [replace(pupa, outcome=None, ended=None) for pupa in pupae]
    known = forecasts(replace(season, pupae=tuple(pupae)), now)
    for pupa in pupae:
        name, due = pupa.id, known[pupa.id].due
        if due is None or pupa.darkening:  # seen to darken: then this was to come
            continue
        at = due.median
        if what == DARKENING:
            at = known[name].dark_from or at
        early, late = at - when.latest, when.earliest - at
        far = timedelta(days=FAR * due.sd)
        if max(early, late) <= far:
            continue
        how = "early" if early > late else "late"
        apart = count(round(max(early, late) / timedelta(days=1)), "day")
        ill = " A pupa dark too early may be ill: set it apart."
        yield (
            f"{name} was due {day_text(due.day)}; {what} on {when.told} is {apart} {how}: is it the right "
            f"pupa, and its date right?{ill if what == DARKENING and how == 'early' else ''}"
        )


def against_pupated(pupa: Pupa, when: When) -> Iterator[str]:
    """Why its day of pupation cannot be that one."""
    if pupa.outcome is not None:
        row = f"to correct it, change row {pupa.line} of pupae.csv"
        yield f"{pupa.id}: is recorded as {pupa.outcome} already; {row}"
    elif (seen := pupa.darkening) and certainly_before(seen, when):
        yield f"{pupa.id}: {when.told} is after its darkening was seen, {seen.told}"


def refuse_to_come(pupae: Sequence[Pupa], when: When, now: datetime) -> None:
    """Refuse a look that is still to come; a clock by which these are not even pupae yet says nothing.

    A look by the day is one until now, where that day is today.
    """
    if when.noted > now and all(p.pupated is None or p.pupated.known_from <= now for p in pupae):
        raise Refused([f"--between: {when.told} is still to come: now is {moment(now)}"])


def cells(pupa: Pupa, what: str, when: When, note: str) -> dict[str, str]:
    """What to write into the row."""
    if what == DARKENING:
        return {DARKENING: str(when)} | with_note(pupa, note)
    return {"outcome": what} | date_cells("ended", when) | with_note(pupa, note)


def date_cells(column: str, when: When) -> dict[str, str]:
    """A date as it is written into a row, with the look before it where there was one."""
    return {column: str(when), AFTER[column]: look_text(when.looks[0]) if when.looks else ""}


def look_text(at: datetime) -> str:
    """The moment of a look as a cell has it: the day alone where that begins."""
    return str(When(at.date(), at.time() if at.time() != time() else None))


def dry_from(season: Season, pupae: Sequence[Pupa], what: str, when: When) -> datetime | None:
    """When the last wings are dry; None where no wings dry, or the hour of emergence is not known."""
    if what not in WINGS_DRY or when.hour is None:
        return None
    return when.latest + timedelta(hours=max(profile_of(season, p.species).wing_drying for p in pupae))
