"""What ``mark`` records, and what it says of that."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from planner.cli.shell.options import found_at, moment, when_of
from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import show_json, show_paragraph, tell_paragraph
from planner.emergence import forecasts
from planner.record.apply import apply
from planner.record.cleaned import meant, spots_text
from planner.record.event import Cleaned, Marked, Pupated
from planner.record.marks import WINGS_DRY, doubts, dry_from, look_text, refuse_to_come
from planner.record.named_pupae import named_on_record
from planner.record.pupae_table import emptied_lids, unchanged_pupae
from planner.season.load import digest
from planner.season.places import Lid
from planner.season.plan import plan_file
from planner.season.pupae import SICK, Pupa, table
from planner.season.reading.told_dates import short_since, until
from planner.season.reading.when import When
from planner.season.season import Season
from planner.season.store import Store
from planner.words import call, few_ids, ids, where

HYGIENE = (
    "It may carry a parasite or an infection: set it apart and wash your hands. Once nobody else hangs on "
    "it, soak the tub, clip or pin for 4 h in 20 % household bleach, rinse and dry (gloves, eye protection, "
    "air; never with acid or ammonia; away from children)."
)
LAW = (
    "Releasing or moving butterflies may need a permit where you are: check with your wildlife agency first."
)


Looked = tuple[str, str] | None  # two looks as they were typed


def record_marks(
    store: Store,
    names: Sequence[str],
    what: str,
    on: str | None,
    looks: Looked,
    note: str,
    *,
    json_form: bool,
) -> None:
    """Record what the pupae named did, or refuse all of it."""
    with store.locked():
        season = open_season(store.folder)
        now = moment(on, season)
        when = found_at(looks, now, season) if looks else when_of(on, now, season)
        pupae, problems = named_on_record(season, names, when.day.year)
        before = unchanged_pupae(season)
        events = [Marked(pupa=p.id, when=when, what=what, note=note) for p in pupae]
        after = apply(season, before, events, problems)
        if looks:
            refuse_to_come(pupae, when, now)
        store.describe(f"mark {few_ids([p.id for p in pupae])} {what}")
        store.write(table.FILE, after.data, expect=digest(before))
    _report(season, pupae, what, when, now, json_form)


def record_cleaned(store: Store, words: Sequence[str], on: str | None, note: str, *, json_form: bool) -> None:
    """Record that the spots named are clean, or refuse all of it."""
    with store.locked():
        season = open_season(store.folder)
        when = when_of(on, moment(on, season), season)
        before = unchanged_pupae(season)
        those = meant(season, words)
        after = apply(season, before, [Cleaned(pupa=p.id, when=when, note=note) for p in those])
        store.describe(f"mark {' '.join(words)} cleaned")
        store.write(table.FILE, after.data, expect=digest(before))
    if json_form:
        rows = [{"id": p.id, "place": p.place, "spot": p.spot, "on": str(when)} for p in those]
        show_json({"cleaned": rows, "problems": []})
        return
    show_paragraph(f"recorded: cleaned on {when.told}: {spots_text(season, those)}")
    show_paragraph(f"open again; '{call('plan', season.folder)}' plans with what is now recorded")


def record_pupated(
    store: Store, names: Sequence[str], on: str | None, looks: Looked, note: str, *, json_form: bool
) -> None:
    """Record when the pupae named shed their larval skin, or refuse all of it."""
    with store.locked():
        season = open_season(store.folder)
        now = moment(on, season)
        when = found_at(looks, now, season) if looks else when_of(on, now, season)
        pupae, problems = named_on_record(season, names, when.day.year)
        before = unchanged_pupae(season)
        after = apply(season, before, [Pupated(pupa=p.id, when=when, note=note) for p in pupae], problems)
        if looks:
            refuse_to_come(pupae, when, now)
        store.describe(f"mark {few_ids([p.id for p in pupae])} pupated")
        store.write(table.FILE, after.data, expect=digest(before))
    state = forecasts(after.season, now)
    firm = {p.id: state[p.id].firm_from for p in pupae}
    if json_form:
        rows = [
            {"id": p.id, "pupated": str(when), "was": str(p.pupated) if p.pupated else None} | _after(when)
            for p in pupae
        ]
        show_json({"pupated": rows, "problems": []})
        return
    show_paragraph(f"recorded: pupated {_when(when)}: {ids(p.id for p in pupae)}")
    for p in pupae:
        if p.pupated:
            back = f"'{call('undo', season.folder)}' takes it back"
            show_paragraph(f"{p.id} was recorded as pupated on {p.pupated.told}: {back}")
    if (latest := max((f for f in firm.values() if f), default=now)) > now:
        show_paragraph(f"soft until {until(latest)}: not to be touched before")
    show_paragraph(f"Next: '{call('plan', season.folder)}' plans with what is now recorded")


def _report(
    season: Season, pupae: Sequence[Pupa], what: str, when: When, now: datetime, json_form: bool
) -> None:
    unsure = list(doubts(season, pupae, what, when, now))
    gone = [] if what == "darkening" else pupae
    sick = what in SICK
    dry = dry_from(season, pupae, what, when)
    free = [p for p in gone if not sick and not isinstance(season.place[p.place], Lid)]
    lids = emptied_lids(season, [p.id for p in gone])
    if json_form:
        show_json(
            {
                "marked": [
                    {"id": p.id, "what": what, "on": str(when), "place": p.place, "spot": p.spot}
                    | _after(when)
                    for p in pupae
                ],
                "free": [{"place": p.place, "spot": p.spot} for p in free],
                "closed": [{"place": p.place, "spot": p.spot} for p in gone] if sick else [],
                "free_from": dry.isoformat(timespec="minutes") if dry and free else None,
                "empty_lids": lids,
                "doubts": unsure,
                "problems": [],
            }
        )
        return
    for line in _lines(season, pupae, what, when, free, lids, dry):
        show_paragraph(line)
    for doubt in unsure:
        tell_paragraph(f"note: {doubt}")


def _lines(
    season: Season,
    pupae: Sequence[Pupa],
    what: str,
    when: When,
    free: Sequence[Pupa],
    lids: Sequence[str],
    dry: datetime | None,
) -> Iterator[str]:
    yield f"recorded: {what} {_when(when)}: {ids(p.id for p in pupae)}"
    dries = f"from {short_since(dry)}, when the wings are dry" if dry else "once the wings are dry"
    hangs_on = what in WINGS_DRY
    if free:
        spots = ", ".join(where(season, p.place, p.spot or "?") for p in free)
        yield f"free{f' {dries}' if hangs_on else ''}: {spots}"
    elif hangs_on:
        yield (
            f"leave hanging until {dries.removeprefix('from ')}"
            if dry
            else "leave hanging until the wings are dry"
        )
    for name in lids:
        yield f"lid {name} is empty{' then' if hangs_on else ''}"
    if what == "darkening":
        emerges = "it emerges" if len(pupae) == 1 else "they emerge"
        yield f"not to be moved from now on; {emerges} within about a day"
    if what in ("failed", "parasitised", "deformed"):
        yield HYGIENE
    if what in SICK:
        yield from closed_by(season, pupae)
    if what == "released":
        yield LAW
    yield f"Next: {_next(season)}"


def _after(when: When) -> dict[str, str | None]:
    """The look before, for programs, where there was one."""
    return {"after": look_text(when.looks[0])} if when.looks else {}


def _when(when: When) -> str:
    """``on 5 Jul 08:00``, or ``between 4 Jul 20:00 and 5 Jul 08:00``."""
    return f"between {short_since(when.looks[0])} and {when.told}" if when.looks else f"on {when.told}"


def _next(season: Season) -> str:
    steps = [f"'{call('today', season.folder)}' shows what is next"]
    if (season.folder / plan_file.FILE).exists():
        steps.append(f"'{call('plan', season.folder)}' plans with what is now recorded")
    return "; ".join(steps)


def closed_by(season: Season, sick: Sequence[Pupa]) -> Iterator[str]:
    """After sickness is recorded: what is closed now, and whom to look at. ``season``: as before that."""
    opens = call(f"mark {sick[0].id} cleaned", season.folder)
    yield f"closed until cleaned: {spots_text(season, sick)}; then '{opens}' opens it again"
    from planner.record.beside_sick import beside  # networkx comes with it: only where one was sick

    if near_by := beside(season, sick):
        near = f"hung within its reach, or under it: {few_ids(near_by)}"
        yield f"{near}. Look at them daily: they may have caught it"
