"""Which tags are made, for whom, and what is said of them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from planner.cli.answers.plan_on_paper import on_paper, open_verified
from planner.cli.shell.options import date_style, moment, read_when
from planner.cli.shell.season_files import open_season
from planner.cli.shell.talk import show, show_json, show_paragraph, shown, tell, tell_paragraph, usage
from planner.draw.tags.card import DUE, IDS, PLACE, SPECIES, Card, Group
from planner.draw.tags.card_size import TooSmallError, grown, lacking
from planner.draw.tags.groups import groups_of
from planner.draw.tags.tag_sheet import in_order, tag_sheet, tags_for
from planner.emergence import forecasts
from planner.record.made_tags import FILE, MadeTags, content, read_made, write_made
from planner.record.named_pupae import named_among
from planner.record.refusal import Refused
from planner.season.paper import CardSize, meant_in_inches
from planner.season.plan import plan_file
from planner.season.plan.plan_record import Hang, Plan
from planner.season.reading.told_dates import day_month
from planner.season.season import Season
from planner.season.store import write_output
from planner.words import call, count, ids


@dataclass(frozen=True)
class Asked:
    """For whom tags are made: of those named, all if nobody is, the ones that every other wish holds for."""

    words: tuple[str, ...] = ()
    dates: tuple[str, ...] = ()
    moved: bool = False
    changed: bool = False
    groups: bool = False


@dataclass(frozen=True)
class Form:
    """How they are printed; None: as the season has it."""

    paper: str | None
    card: CardSize | None
    shape: str | None
    code: bool
    start: int


def make(folder: Path, asked: Asked, form: Form, path: Path, on: str | None, *, json_form: bool) -> None:
    """Make the file of tags and say so. Raises Refused."""
    season, plan, hangs = _hangs(folder, asked, on)
    size = form.card or season.card_size
    if told := meant_in_inches(size, season.units):
        usage(f"--card: {told}")
    cards, now = _cards(season, plan, hangs, asked, on)
    made = read_made(folder)
    new, changed = list(now), list[str]()
    if asked.changed and made is not None:
        new, changed = made.new(now, groups=asked.groups), made.changed(now, groups=asked.groups)
        if plan and not (asked.groups or asked.words or asked.dates):  # who stays on a lid needs no tag
            new = [pupa for pupa in new if pupa in plan.movers]
        cards = [card for card in cards if {*new, *changed} & {*card.pupae}]
    cards = in_order(cards, form.shape or season.tag_shape)
    notes: list[str] = []
    if cards:
        write_output(path, _sheet(season, cards, size, form))
        notes = _notes(cards, size, form.code)
        printed = {pupa: now[pupa] for card in cards for pupa in card.pupae}
        write_made(folder, (made or MadeTags()).with_made(printed, groups=asked.groups))
    if json_form:
        data: dict[str, Any] = {
            "files": [str(path)] if cards else [],
            "tags": [pupa for card in cards for pupa in card.pupae],
            "notes": notes,
        }
        if asked.groups:
            data["groups"] = [_group_json(card) for card in cards if isinstance(card, Group)]
        if asked.changed:
            data |= {"new": new, "changed": changed}
        show_json(data)
        return
    if not cards:
        show("nothing to print: the tags made last still hold")
        return
    show(f"wrote {shown(path)}")
    if asked.changed:
        show_paragraph(_since(made, new, changed))
    for note in notes:
        tell_paragraph(f"note: {note}")
    then = ""
    if asked.groups:
        then = "; lay or hang each card at its group"
    elif plan and plan.moves:
        then = f"; move them by the list, then '{call('done', folder)}' records it"
    show_paragraph(f"Next: print it at 100 %{then}")
    tell("Pins, scissors and tweezers are sharp.")


def _sheet(season: Season, cards: Sequence[Card], size: CardSize, form: Form) -> bytes:
    try:
        return tag_sheet(
            cards,
            form.paper or season.paper,
            size.size,
            shape=form.shape or season.tag_shape,
            code=form.code,
            start=form.start,
            unit=size.unit,
        )
    except TooSmallError as e:
        usage(e.told(size.unit))
    except ValueError as e:
        raise Refused([str(e)]) from None


def _hangs(folder: Path, asked: Asked, on: str | None) -> tuple[Season, Plan | None, list[Hang]]:
    """The season, its plan in force, and where each pupa hangs by it.

    Cards of groups are laid into the tub before anything is planned: who is in no plan is where it hangs now.
    """
    season: Season | None = None
    if asked.groups:
        season = open_season(folder)
    plan: Plan | None = None
    if season is None or plan_file.read(folder) is not None:
        season, plan, old = open_verified(folder)
        plan = on_paper(season, plan, old, on)
    hangs = [h for h in (plan.hangs if plan else ()) if h.pupa in season.pupa and season.pupa[h.pupa].present]
    if asked.groups:
        hangs += _as_recorded(season, {h.pupa for h in hangs}, moment(on, season))
    return season, plan, hangs


def _as_recorded(season: Season, planned: Collection[str], now: datetime) -> Iterable[Hang]:
    dues = forecasts(season, now)
    for pupa in season.pupae:
        if pupa.present and pupa.id not in planned:
            spot, x, y = season.place[pupa.place].recorded(pupa, season.cm_per_unit)
            due = dues[pupa.id].due
            yield Hang(pupa=pupa.id, place=pupa.place, spot=spot, x=x, y=y, due=due.day if due else None)


def _cards(
    season: Season, plan: Plan | None, hangs: Sequence[Hang], asked: Asked, on: str | None
) -> tuple[Sequence[Card], dict[str, tuple[str, ...]]]:
    """The cards that are asked for, and what each says of its pupae."""
    moves = plan.moves if plan else ()
    chosen = [h.pupa for h in hangs]
    if asked.words:
        chosen = [p.id for p in named_among(season, hangs, moves, asked.words, moment(on, season).year)]
    if asked.moved:
        movers = {*plan.movers} if plan else set()
        chosen = _narrowed(chosen, movers, "the plan moves nobody: without --moved there are tags for all")
    if asked.dates:
        days = _days(season, asked.dates, on)
        then = {p.id for p in season.pupae if p.pupated and p.pupated.day in days}
        chosen = _narrowed(chosen, then, _nobody(season, days, [h.pupa for h in hangs]))
    by_id = {h.pupa: h for h in hangs}
    if asked.groups:
        found = [group for group in groups_of(season, hangs) if {*group.pupae} & {*chosen}]
        return found, {p: content(season, by_id[p], group.pupae) for group in found for p in group.pupae}
    assert plan is not None
    try:
        cards = tags_for(season, plan, chosen)
    except ValueError as e:
        raise Refused([str(e)]) from None
    return cards, {tag.id: content(season, by_id[tag.id]) for tag in cards}


def _narrowed(chosen: Sequence[str], to: Collection[str], nobody: str) -> list[str]:
    found = [pupa for pupa in chosen if pupa in to]
    if not found:
        raise Refused([nobody])
    return found


def _days(season: Season, dates: Sequence[str], on: str | None) -> set[date]:
    now = moment(on, season)
    return {read_when("--date", text, now, date_style(season)).day for text in dates}


def _nobody(season: Season, days: Collection[date], pupae: Iterable[str]) -> str:
    """That there is none of those days, and which there are."""
    all_days = sorted({p.pupated.day for name in pupae if (p := season.pupa[name]).pupated})
    asked = " or ".join(day_month(day) for day in sorted(days))
    known = ""
    if all_days:
        first, last = day_month(all_days[0]), day_month(all_days[-1])
        known = f": there are tags of {first}" if first == last else f": there are tags of {first} to {last}"
    return f"--date: none of those asked for pupated on {asked}{known}"


def _since(made: MadeTags | None, new: Sequence[str], changed: Sequence[str]) -> str:
    """Which tags are new since the last ones were made, and which no longer hold."""
    if made is None:
        return f"no tags were made yet, or out/{FILE} is gone: all are new"
    parts = [f"new: {ids(new)}" if new else ""]
    if changed:
        tags, hold = ("tag", "it no longer holds") if len(changed) == 1 else ("tags", "they no longer hold")
        parts.insert(0, f"throw away the old {tags} of {ids(changed)}: {hold}")
    return "; ".join(part for part in parts if part)


def _notes(cards: Sequence[Card], size: CardSize, code: bool) -> list[str]:
    """What there is no room for, and from which size on there is."""
    lacks = lacking(cards, size.size, code)
    if not lacks:
        return []
    told = {
        SPECIES: "no room for the species",
        DUE: "no room for the day due",
        IDS: "no room for the ids",
        PLACE: "the name of the place is cut short",
    }
    alike = len({name for card in cards for name in card.species}) == 1
    parts = [
        told[lack]
        + ("" if len(who) == len(cards) or (alike and lack == SPECIES) else f" on {_who(cards, who)}")
        for lack, who in lacks.items()
    ]
    names = {name for who in lacks.values() for name in who}
    larger = grown([c for c in cards if c.id in names], size.size, code, size.unit, whole=True)
    return [f"cards of {size}: {'; '.join(parts)}" + (f" (--card {larger} has room)" if larger else "")]


def _who(cards: Sequence[Card], names: Sequence[str]) -> str:
    groups = any(isinstance(c, Group) for c in cards)
    return count(len(names), "card") if groups else ids(names)


def _group_json(group: Group) -> dict[str, Any]:
    return {
        "place": group.place,
        "spot": group.spot,
        "pupated": group.pupated and group.pupated.isoformat(),
        "pupae": list(group.pupae),
        "due": [day.isoformat() for day in group.dues],
    }
