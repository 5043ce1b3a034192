"""``mark``: record what a pupa has done.

With ``--json``: ``{"marked": [{"id", "what", "on", "place", "spot"}, ...], "free": [{"place", "spot"}, ...],
"free_from": time or null, "closed": [{"place", "spot"}, ...], "empty_lids": [name, ...], "doubts":
[text, ...], "problems": []}``. ``free`` are spots of lines and boards, ``closed`` those of sick ones; times
local.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Annotated

import typer

from planner.cli.shell.completion import complete_mark
from planner.cli.shell.date_words import date_apart
from planner.cli.shell.options import Json, On, check_note, check_on, moment, this_year, when_of
from planner.cli.shell.season_files import open_season, require_season
from planner.cli.shell.talk import command, show_json, show_paragraph, tell_paragraph, usage
from planner.record.named_pupae import joined, named_pupae, pupae_at, steps_of
from planner.record.pupae_table import unchanged_pupae
from planner.record.refusal import Refused
from planner.season import plan_file, settings, table
from planner.season.day_words import misread
from planner.season.load import digest
from planner.season.places import Lid
from planner.season.problems import shorten
from planner.season.pupae import OUTCOMES, SICK, Pupa
from planner.season.scalars import did_you_mean
from planner.season.season import Season
from planner.season.store import Store
from planner.season.when import When
from planner.words import call

CLEANED = "cleaned"  # of a place or a spot, or where a sick one hung
WORDS = ("darkening", *OUTCOMES)
HYGIENE = (
    "It may carry a parasite or an infection: set it apart, wash your hands, and soak the tub, clip or pin "
    "for 4 h in 20 % household bleach, rinse and dry (gloves, eye protection, air; never with acid or "
    "ammonia; away from children)."
)
LAW = (
    "Releasing or moving butterflies may need a permit where you are: check with your wildlife agency first."
)


@dataclass(frozen=True)
class Asked:
    """What the command line says. ``season``: None where it names no folder."""

    pupae: tuple[str, ...]
    what: str
    season: Path | None


@command
def mark(
    words: Annotated[
        list[str],
        typer.Argument(
            metavar="WORDS",
            help="Pupae, what they did, and the season if not the one you stand in.",
            autocompletion=complete_mark,
        ),
    ],
    season_option: Annotated[
        Path | None,
        typer.Option("--season", metavar="FOLDER", help="The season's folder, if it is not the last word."),
    ] = None,
    note: Annotated[str, typer.Option(metavar="TEXT", help="Added to the note of each.")] = "",
    on: On = None,
    json_form: Json = False,
) -> None:
    """Record what pupae have done.

    Example: hangplan mark m1 m2 emerged porch

    More: hangplan mark m1 darkening; hangplan mark m3 failed --note "black and soft" --on 2027-07-12.

    Where a sick one hung is closed until it is cleaned: hangplan mark m3 cleaned, or mark north 36 cleaned.

    WHAT is darkening, emerged, failed, deformed, parasitised, released, escaped or removed. --on says when it
    was: --on 2027-07-14 the day, --on 2027-07-14T07:30 the minute; without it, now. Nothing is written unless
    everything makes sense. Next: hangplan today.
    """
    words, on = date_apart(words, on)
    check_on(on)
    asked = understand(words, on)
    if asked.season is not None and season_option is not None:
        usage(f"--season: the season is named twice: {asked.season} and {season_option}")
    check_note(note)
    if asked.season is None and (Path(asked.pupae[0]) / settings.FILE).exists():
        rest = " ".join([*asked.pupae[1:], asked.what, asked.pupae[0]])
        usage(f"{asked.pupae[0]} is a season: here it is named last, hangplan mark {rest}")
    from planner.words import few_ids

    folder = asked.season or season_option or Path()
    require_season(folder, this_year(on))
    store = Store(folder)
    if asked.what == CLEANED:
        from planner.cli.cleaned import record_cleaned

        record_cleaned(store, asked.pupae, on, note.strip(), json_form=json_form)
        return
    with store.locked():
        season = open_season(folder)
        now = moment(on, season)
        when = when_of(on, now, season)
        pupae = _chosen(season, asked, when)
        before = unchanged_pupae(season)
        store.describe(f"mark {few_ids([p.id for p in pupae])} {asked.what}")
        changes = {p.id: _cells(p, asked.what, when, note.strip()) for p in pupae}
        store.write(table.FILE, table.change(before, changes), expect=digest(before))
    _report(season, pupae, asked.what, when, now, json_form)


def understand(words: Sequence[str], on: str | None = None) -> Asked:
    """Part ``m1 m2 emerged porch``: the last word is the season where the one before says what.

    A folder that has such a name is written ``./emerged``.
    """
    if not words:
        usage("name the pupae and what they did: hangplan mark m1 emerged")
    said = [w.lower() for w in words]
    if said[-1] in (*WORDS, CLEANED):
        pupae, what, season = words[:-1], said[-1], None
    elif len(words) > 1 and said[-2] in (*WORDS, CLEANED):
        pupae, what, season = words[:-2], said[-2], Path(words[-1])
    else:
        wrong = words[-2] if len(words) > 1 and (Path(words[-1]) / settings.FILE).exists() else words[-1]
        if told := misread(wrong, this_year(on), "--on"):
            usage(told)
        word, hint = shorten(wrong, 30), did_you_mean(wrong, WORDS)
        usage(f"'{word}' is nothing that a pupa does{hint}: write one of {', '.join(WORDS)} after the pupae")
    if not pupae:
        usage(f"which one is {what}? Name at least one pupa before it: hangplan mark m1 {what}")
    for i, name in enumerate(pupae := joined(pupae) if what != CLEANED else list(pupae)):
        if name.lower() in map(str.lower, pupae[:i]):
            usage(f"{shorten(name, 30)} is named twice")
    return Asked(tuple(pupae), what, season)


def _chosen(season: Season, asked: Asked, when: When) -> list[Pupa]:
    """The pupae named, or Refused with everything that speaks against it."""
    from planner.record.marks import refusals

    steps = steps_of(season) if any("step" in name.lower() for name in asked.pupae) else {}
    named = named_pupae(
        season,
        asked.pupae,
        steps,
        pupae_at(season),
        when.day.year,
        lambda pupa: refusals(season, pupa, asked.what, when),
    )
    if named.problems:
        raise Refused(named.problems)
    return [season.pupa[name] for name in named.ids]


def _cells(pupa: Pupa, what: str, when: When, note: str) -> dict[str, str]:
    cells = {"darkening": str(when)} if what == "darkening" else {"outcome": what, "ended": str(when)}
    if note:
        cells["note"] = f"{pupa.note}; {note}" if pupa.note else note
    return cells


def _report(
    season: Season, pupae: Sequence[Pupa], what: str, when: When, now: datetime, json_form: bool
) -> None:
    from planner.emergence import forecasts
    from planner.record.marks import doubts

    unsure = list(doubts(pupae, forecasts(replace(season, pupae=tuple(pupae)), now), what, when))
    gone = [] if what == "darkening" else pupae
    sick = what in SICK
    dry = _dry(season, pupae, what, when)
    free = [p for p in gone if not sick and not isinstance(season.place[p.place], Lid)]
    lids = emptied_lids(season, gone)
    if json_form:
        show_json(
            {
                "marked": [
                    {"id": p.id, "what": what, "on": str(when), "place": p.place, "spot": p.spot}
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
    from planner.words import day_month, ids, short_moment, where

    at = day_month(when.day) + (f" {when.hour:%H:%M}" if when.hour else "")
    yield f"recorded: {what} on {at}: {ids(p.id for p in pupae)}"
    dries = f"from {short_moment(dry)}, when the wings are dry" if dry else "once the wings are dry"
    hangs_on = what in ("emerged", "deformed")
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
        from planner.cli.cleaned import closed_lines

        yield from closed_lines(season, pupae)
    if what == "released":
        yield LAW
    yield f"Next: {_next(season)}"


def _dry(season: Season, pupae: Sequence[Pupa], what: str, when: When) -> datetime | None:
    """When the last wings are dry; None where no wings dry, or the hour of emergence is not known."""
    from planner.emergence import profile_of

    if what not in ("emerged", "deformed") or when.hour is None:
        return None
    return when.earliest + timedelta(hours=max(profile_of(season, p.species).wing_drying for p in pupae))


def emptied_lids(season: Season, gone: Sequence[Pupa]) -> list[str]:
    """Lids on which nobody is left once these are gone from where ``season`` has them."""
    names = {p.id for p in gone}
    left = {p.place for p in season.pupae if p.present and p.id not in names}
    lids = dict.fromkeys(p.place for p in gone if isinstance(season.place[p.place], Lid))
    return [name for name in lids if name not in left]


def _next(season: Season) -> str:
    steps = [f"'{call('today', season.folder)}' shows what is next"]
    if (season.folder / plan_file.FILE).exists():
        steps.append(f"'{call('plan', season.folder)}' plans with what is now recorded")
    return "; ".join(steps)
