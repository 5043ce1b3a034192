"""What ``take`` says: who is new, hung, seen, and what another event counts for."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import datetime

from planner.cli.answers.done import WATCH
from planner.cli.answers.mark import HYGIENE, LAW, closed_by
from planner.cli.shell.talk import show, show_json, show_paragraph, tell_paragraph
from planner.follow.progress import Progress
from planner.record.clashing import clashing_with
from planner.record.cleaned import not_cleaned
from planner.record.event import Cleaned, Marked, Moved, Noted, OfPupa, Pupated, TakenBack
from planner.record.marks import doubts
from planner.record.pupae_table import emptied_lids
from planner.record.steps_done import Hung
from planner.record.take import Taken
from planner.record.taken import Entry
from planner.season.plan import plan_file
from planner.season.plan.plan_record import Plan
from planner.season.pupae import OUTCOMES, SICK, Pupa
from planner.season.reading.told_dates import clock, moment
from planner.season.season import Season
from planner.words import call, count, ids, where

MOST_SPOTS = 8  # told with where they hang
MOST_NOTES = 5  # told one by one


def report(season: Season, found: Taken, now: datetime, *, dry_run: bool, json_form: bool) -> None:
    """Tell what was taken, or in a dry run what would be. ``season``: before it."""
    if json_form:
        show_json(_json(found, dry_run=dry_run))
        return
    for line in _lines(season, found, dry_run=dry_run):
        show_paragraph(line)
    moved = _moved(found)
    plan = plan_file.read(season.folder) if moved else None
    notes = [
        *_notes(found, moved),
        *_hung_before(season, moved, plan, dry_run=dry_run),
        *_doubts(season, found, now),
        *_clashes(found, moved, plan, now),
    ]
    for text in notes[:MOST_NOTES]:
        tell_paragraph(f"note: {text}")
    if len(notes) > MOST_NOTES:
        tell_paragraph(f"note: and {len(notes) - MOST_NOTES} more; --json tells them")
    if found.cautions:
        tell_paragraph(WATCH, hang="")
    if dry_run:
        show("nothing was written: the same without --dry-run records it")
    elif found.entries:
        show(f"Next: {call('plan', season.folder)}")


def _lines(season: Season, found: Taken, *, dry_run: bool) -> Iterator[str]:
    if not found.entries:
        yield f"nothing new: {count(found.already, 'event is', 'events are')} taken already"
        return
    yield f"{'would take' if dry_run else 'taken'}: {_how_many(found.entries)}{_since(found.entries)}"
    for place in dict.fromkeys(p.place for p in found.new):
        those = [p for p in found.new if p.place == place]
        names = "" if dry_run else f": {ids(p.id for p in those)}"
        done = "would record" if dry_run else "recorded"
        yield f"{done} {count(len(those), 'pupa', 'pupae')} on lid {place}{names}"
    counted = [e for e in found.entries if e.was is not None and isinstance(e.event, OfPupa)]
    last = {e.pupa: e.event for e in counted if isinstance(e.event, Moved)}
    if last:
        yield _hung(season, last)
    yield from _marked(counted, {p.id for p in found.new} if dry_run else set())
    gone = [e.pupa for e in counted if isinstance(e.event, Marked) and e.event.what in OUTCOMES]
    leaving = [name for name in (*last, *gone) if name in season.pupa]
    to = [*(e.place for e in last.values()), *(p.place for p in found.new if p.present)]
    yield from (f"lid {name} is empty" for name in emptied_lids(season, leaving, to))
    what = {_what(e) for e in counted}
    if what & {"failed", "parasitised", "deformed"}:
        yield HYGIENE
    if sick := [season.pupa[e.pupa] for e in counted if e.pupa in season.pupa and _what(e) in SICK]:
        yield from closed_by(season, sick)
    if "released" in what:
        yield LAW


def _what(entry: Entry) -> str:
    return entry.event.what if isinstance(entry.event, Marked) else ""


def _how_many(entries: Sequence[Entry]) -> str:
    phones = list(dict.fromkeys(e.event.device for e in entries))
    by = f"phone {phones[0]}" if len(phones) == 1 else f"{len(phones)} phones"
    return f"{count(len(entries), 'event')} of {by}"


def _since(entries: Sequence[Entry]) -> str:
    at = sorted(datetime.fromisoformat(e.event.at) for e in entries)
    first, last = moment(at[0]), moment(at[-1])
    if at[0].date() == at[-1].date():
        last = clock(at[-1].time())
    return f", written down {first}" + (f" to {last}" if not first.endswith(last) else "")


def _hung(season: Season, last: dict[str, Moved]) -> str:
    if len(last) > MOST_SPOTS:
        return f"hung: {ids(last)} ({count(len(last), 'pupa', 'pupae')})"
    spots = (f"{name} at {where(season, e.place, e.spot)}" for name, e in last.items())
    return f"hung: {', '.join(spots)}"


def _marked(counted: Sequence[Entry], unnamed: Collection[str]) -> Iterator[str]:
    """Who was seen how. ``unnamed``: newcomers of a dry run, who have no ids yet."""
    groups: dict[str, list[str]] = {}
    for e in counted:
        match e.event:
            case Marked(what=what):
                groups.setdefault(what, []).append(e.pupa)
            case Pupated():
                groups.setdefault("pupated", []).append(e.pupa)
            case Cleaned():
                groups.setdefault("cleaned, where it hung", []).append(e.pupa)
            case Noted():
                groups.setdefault("noted of", []).append(e.pupa)
    for what, names in groups.items():
        known = ids(name for name in names if name not in unnamed)
        fresh = len(set(names) & set(unnamed))
        yield f"{what}: {', '.join(filter(None, (known, count(fresh, 'newcomer') if fresh else '')))}"


def _moved(found: Taken) -> dict[str, Moved]:
    """The moves that count, by id."""
    return {e.pupa: e.event for e in found.entries if isinstance(e.event, Moved) and e.was is not None}


def _notes(found: Taken, moved: Mapping[str, Moved]) -> Iterator[str]:
    """What should be known besides."""
    if found.already and found.entries:
        yield f"{count(found.already, 'event was', 'events were')} taken before"
    back = [e for e in found.entries if isinstance(e.event, TakenBack)]
    if back:
        yield f"{count(len(back), 'event is', 'events are')} taken back"
    left = [e.pupa for e in found.entries if e.left_out]
    if left:
        yield f"left out, as you say: {ids(left)}"
    season = found.state.season
    for e in found.entries:
        if isinstance(e.event, Moved) and e.was is None and not e.left_out and e.pupa:
            at = where(season, e.event.place, e.event.spot)
            yield f"{e.pupa}: was hung at {at} too, but later elsewhere"
        elif e.was is None and e.pupa and not e.left_out and not isinstance(e.event, TakenBack | Moved):
            yield f"{e.pupa}: '{_kind(e)}' was on record already"
    for name, event in moved.items():
        if season.pupa[name].present and (text := _closed(found, name, event)):
            yield text
    yield from found.cautions


def _hung_before(
    season: Season, moved: Mapping[str, Moved], plan: Plan | None, *, dry_run: bool
) -> Iterator[str]:
    """Who was on record at another spot, from which no step of the plan takes it. ``season``: before."""
    planned = {(move.pupa, move.from_place, move.from_spot) for move in plan.moves} if plan else set()
    for name, event in moved.items():
        pupa = season.pupa.get(name)
        if pupa is None or not season.place[pupa.place].offers_spots:
            continue
        here = pupa.place, pupa.spot or ""
        if here != (event.place, event.spot) and (name, *here) not in planned:
            if dry_run:
                yield f"{name} is recorded at {where(season, *here)}"
                continue
            back = f"'{call('undo', season.folder)}' takes all of this back"
            yield f"{name} was recorded at {where(season, *here)}: {back}"


def _doubts(season: Season, found: Taken, now: datetime) -> Iterator[str]:
    """Which marks are hardly possible. ``season``: before them, as they are judged."""
    for e in found.entries:
        if isinstance(e.event, Marked) and e.was is not None and e.pupa in season.pupa:
            yield from doubts(season, [season.pupa[e.pupa]], e.event.what, e.event.when, now)


def _clashes(found: Taken, moved: Mapping[str, Moved], plan: Plan | None, now: datetime) -> Iterator[str]:
    """With whom those clash that hang elsewhere than planned."""
    if not moved:
        return
    season = found.state.season
    plan = plan or Plan(on=now, gap_days=season.gap_days, hangs=())
    planned = {(move.pupa, move.to_place, move.to_spot) for move in plan.moves}
    after = Progress(season, plan)
    other = [n for n, e in moved.items() if (n, e.place, e.spot) not in planned and season.pupa[n].present]
    yield from clashing_with(after, other, now)


def _closed(found: Taken, name: str, event: Moved) -> str:
    return not_cleaned(found.state.season, Hung(name, event.place, event.spot))


def _kind(entry: Entry) -> str:
    return str(entry.raw.get("what") or entry.raw.get("kind"))


def _json(found: Taken, *, dry_run: bool) -> dict[str, object]:
    def pupa(entry: Entry, new: Sequence[Pupa]) -> str | None:
        return None if dry_run and entry.pupa in {p.id for p in new} else entry.pupa or None

    return {
        "taken": len(found.entries),
        "already": found.already,
        "new": [
            {"id": pupa(e, found.new), "event": e.event.id}
            for e in found.entries
            if e.raw.get("kind") == "recorded" and e.was is not None
        ],
        "events": [
            {
                "event": e.event.id,
                "kind": e.raw.get("kind"),
                "pupa": pupa(e, found.new),
                "counts": e.was is not None or isinstance(e.event, TakenBack),
                "device": e.event.device,
                "at": e.event.at,
            }
            for e in found.entries
        ],
        "cautions": list(found.cautions),
        "dry_run": dry_run,
        "problems": [],
    }
