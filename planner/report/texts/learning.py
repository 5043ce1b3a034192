"""What a season's records teach, as text: values before and after, errors, and every forecast."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from statistics import fmean

from planner.emergence import Compared, Due, Learned, assumption, profile_of
from planner.emergence.learned_file import Entry, in_force
from planner.emergence.siblings import LEAST_PAIRS
from planner.report.texts.judgement import (
    LEAST,
    LEAST_DAYS,
    covered_if_right,
    few,
    gain,
    held_by_half,
    off,
    pace,
    pupation_days,
    spans,
    within,
)
from planner.report.texts.learning_levels import levels, levels_told, taught_species
from planner.report.texts.noted_late import noted_late
from planner.report.texts.sheet import Block, Sheet, Table, Words
from planner.season.reading.told_dates import day_month, whole_day
from planner.season.reading.when import When
from planner.season.season import Season
from planner.words import count, ids, natural, percent

MOST = 16  # rows of one species' table; the rest is counted
FAR = 3.0  # standard deviations from the forecast: a date that far off may be a slip of the pen
WITHIN = (
    "Within: how much of the days of emergence; in brackets what forecasts that are exactly right would "
    "reach, as hours are not recorded."
)
HONEST = (
    "Each emergence was forecast from the records of the other pupation days only, so no forecast knew the "
    "answer."
)


def sheet(season: Season, found: Sequence[Learned], now: datetime, everything: bool = False) -> Sheet:
    """What each species' records teach; ``everything``: all rows of the tables."""
    title = f"{season.name}: what the records teach, {whole_day(now)}"
    parts: list[Iterable[Block]] = [[Words(title, tone="head")]]
    for learned in found:
        parts += [
            _records(season, learned),
            levels_told(season, learned.species, learned),
            _values_told(season, learned),
            _forecasts(season, learned, everything),
            [Words(_standing(season, learned), "  ")],
        ]
    for name in taught_species(season, found):
        if all(learned.species != name for learned in found):
            parts += [[Words(name, tone="head")], levels_told(season, name, None)]
    parts += [[Words(t)] for t in _without(season, found)]
    if found:
        parts.append([Words(f"Temperatures: {assumption(season)}.")])
    return Sheet.of(parts)


def _without(season: Season, found: Sequence[Learned]) -> Iterator[str]:
    """Species of which nothing can be learned."""
    for name in sorted({p.species for p in season.pupae} - set(taught_species(season, found))):
        pupae = count(sum(p.species == name for p in season.pupae), "pupa", "pupae")
        yield f"{name}: {pupae}, no emergence recorded that can be used. Nothing to learn from yet."
    if not season.pupae and not taught_species(season, found):
        yield "No pupa is recorded: nothing to learn from yet."


def _records(season: Season, learned: Learned) -> Iterator[Block]:
    yield Words(learned.species, tone="head")
    yield Words(_used(season, learned), "  ")
    if learned.unused:
        yield Words("Not used:", "  ")
        yield Table(("", ""), _unused(learned), (0, 1), "    ")


def _values_told(season: Season, learned: Learned) -> Iterator[Block]:
    head, *rows = _values(season, learned)
    yield Table(head, rows, (0,), "  ")
    for remark in _remarks(season, learned):
        yield Words(remark, "  ")
    for doubt in noted_late(season, learned):
        yield Words(doubt, "  ", "  ", tone="warn")


def _used(season: Season, learned: Learned) -> str:
    known, days = len(learned.compared), count(pupation_days(season, learned), "pupation day")
    some = "" if known == learned.records else f"{known} on a known day, "
    hang = f" and {learned.hanging} that had not emerged when last seen" if learned.hanging else ""
    return f"Used: {count(learned.records, 'emergence')}{f' ({some}of {days})' if known else ''}{hang}."


def _unused(learned: Learned) -> list[tuple[str, str]]:
    """Ids and the reason, those of one reason together."""
    why = defaultdict[str, list[str]](list)
    for pupa, reason in learned.unused:
        why[reason].append(pupa)
    return [(ids(names), reason) for reason, names in why.items()]


def _values(season: Season, learned: Learned) -> Iterator[tuple[str, ...]]:
    both = (learned.before, learned.after)
    yield _line("", ("profile", "learned"))
    yield _line("requirement, degree-days", (f"{s.requirement:.1f}" for s in both))
    yield _line("spread of one forecast", (f"{s.spread * 100:.1f} %" for s in both))
    if speed := pace(season, learned):
        yield _line("days it takes", ("{:.1f} ({:.1f} to {:.1f})".format(*speed.days(s)) for s in both))
    if not few(season, learned):
        accuracy = (learned.accuracy_before, learned.accuracy_after)
        yield _line("mean error of a forecast, days", (f"{a.error:.2f}" for a in accuracy))
        right = [covered_if_right(dues, spans(learned)) for dues in zip(*_dues(learned), strict=True)]
        shares = (f"{percent(a.covered)} ({percent(r)})" for a, r in zip(accuracy, right, strict=True))
        yield _line("within the 90 % interval", shares)
        halves = zip(
            *((held_by_half(c, c.before), held_by_half(c, c.after)) for c in learned.compared), strict=True
        )
        yield _line("within the central 50 %", (percent(fmean(of)) for of in halves))


def _dues(learned: Learned) -> list[tuple[Due | None, Due | None]]:
    return [(c.before, c.after) for c in learned.compared]


def _line(name: str, values: Iterable[str]) -> tuple[str, ...]:
    return name, *values


def _remarks(season: Season, learned: Learned) -> Iterator[str]:
    if told := _siblings(learned):
        yield told
    if speed := pace(season, learned):
        yield f"Days: at {speed.words}; in brackets 9 in 10, the hour of pupation known."
    if few(season, learned):
        have = f"{count(len(learned.compared), 'day of emergence', 'days of emergence')} known"
        if missed := learned.unscored:
            have += f" ({missed} could not be forecast)"
        yield (
            f"Too few records to say how good the forecasts are: {have}, of "
            f"{count(pupation_days(season, learned), 'pupation day')}; needed are at least {LEAST}, of "
            f"{LEAST_DAYS} pupation days. The learned values are weighed by how few the records are."
        )
        return
    yield WITHIN
    if missed := learned.unscored:
        yield (
            f"{missed} of {count(len(learned.compared), 'emergence')} had no date to compare: each counts as "
            "outside the interval, and is not in the mean error."
        )
    yield HONEST
    if found := gain(season, learned):
        change = f"{abs(found.mean):.2f} days (give or take {found.uncertain:.2f})"
        if found.mean > found.uncertain:
            yield f"Learning made these forecasts better, by {change}."
        elif found.mean < -found.uncertain:
            yield f"Learning made these forecasts worse, by {change}: record more before you accept."
        else:
            side = "smaller" if found.mean >= 0 else "larger"
            yield f"Errors are {side} by {change}: too little to say that learning makes a difference."


def _siblings(learned: Learned) -> str:
    """How often two of one pupation day emerged on one day; empty where there is no such pair."""
    of = learned.siblings
    if not of.pairs:
        return ""
    pairs = count(of.pairs, "pair", "pairs")
    seen = f"Of {pairs} that pupated on one day {of.same} emerged on one day: {percent(of.same / of.pairs)}"
    before = f"The forecast says {percent(of.before)}"
    if of.pairs < LEAST_PAIRS:
        return f"{seen}. {before} and keeps to it until {LEAST_PAIRS} pairs are recorded."
    return f"{seen}. {before}; with what is learned, {percent(of.after)}."


def _forecasts(season: Season, learned: Learned, everything: bool) -> Iterator[Block]:
    groups = defaultdict[tuple[When, date], list[Compared]](list)
    for c in learned.compared:
        if pupated := season.pupa[c.pupa].pupated:
            groups[pupated, c.ended].append(c)
    if not groups:
        yield Words("No day of emergence is known, so there is no forecast to compare.", "  ")
        return
    rows = [_row(when, day, groups[when, day]) for when, day in sorted(groups, key=_by_date)]
    shown = rows if everything else rows[:MOST]
    head = ("pupated", "emerged", "pupae", "profile", "off", "learned", "9 in 10", "off")
    late = tuple(i for i, row in enumerate(shown) if row[-1].endswith("*"))
    yield Table(head, shown, (2,), "  ", warn=late, spare=(6, 3, 4))
    if left := len(rows) - len(shown):
        yield Words(f"and {left} more: --all shows them", "  ")
    yield Words("off: days it came after the forecast (-: before); *: outside the 90 % interval.", "  ")
    if far := [c.pupa for c in learned.compared if c.after and abs(off(c, c.after)) > FAR * c.after.sd]:
        doubt = f"Far off: {ids(far)}. Look whether the dates in pupae.csv are right."
        yield Words(doubt, "  ", "  ", tone="warn")


def _by_date(group: tuple[When, date]) -> tuple[datetime, date]:
    return group[0].earliest, group[1]


def _row(when: When, ended: date, group: Sequence[Compared]) -> tuple[str, ...]:
    one = min(group, key=lambda c: natural(c.pupa))  # the forecast is the same for all of them
    after = one.after
    between = f"{day_month(after.low.date())} - {day_month(after.high.date())}" if after else "?"
    return (
        when.told,
        day_month(ended),
        ids(c.pupa for c in group),
        day_month(one.before.day if one.before else None),
        _off(one, one.before),
        day_month(after.day if after else None),
        between,
        _off(one, after),
    )


def _off(compared: Compared, due: Due | None) -> str:
    days = off(compared, due)
    days = round(days, 1) + 0.0  # not -0.0
    return "?" if math.isnan(days) else f"{days:+.1f}{'' if within(compared, due) else ' *'}"


def _standing(season: Season, learned: Learned) -> str:
    """Which values forecasts are made with now, and whether the learned ones could be."""
    if learned.overruled:
        return f"In force: the profile. Accepting would change nothing: {learned.overruled}."
    entry = in_force(season, learned.species)
    if entry is None or profile_of(season, learned.species).requirement != entry.requirement:
        begun = (
            "the profile" if not levels(season, learned.species).seasons else "what the season begins with"
        )
        return f"In force: {begun}, until the learned values are accepted."
    if same_values(entry, learned):
        return f"In force: these learned values, accepted {entry.accepted}."
    return (
        f"In force: {entry.requirement:.1f} degree-days and {entry.spread * 100:.1f} %, learned from "
        f"{count(entry.records, 'emergence')} and accepted {entry.accepted}."
    )


def same_values(entry: Entry, learned: Learned) -> bool:
    """Whether accepting would change nothing."""
    return entry == learned.entry(entry.accepted)


def history(entries: Sequence[Entry]) -> Block:
    """Everything ever accepted, oldest first."""
    if not entries:
        return Words("Nothing was ever accepted: the profiles are in force as shipped or stated.")
    head = ("accepted", "species", "requirement", "spread", "emergences", "hanging", "until")
    rows = [
        (
            str(e.accepted), e.species, f"{e.from_requirement:.1f} -> {e.requirement:.1f}",
            f"{e.from_spread * 100:.1f} -> {e.spread * 100:.1f} %", str(e.records), str(e.hanging),
            str(e.replaced_by or "now"),
        )
        for e in entries
    ]  # fmt: skip
    return Table(head, rows, (1,))
