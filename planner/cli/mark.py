"""``mark``: record what a pupa has done.

With ``--json``: ``{"marked": [{"id", "what", "on", "place", "spot"}, ...], "free": [{"place", "spot"}, ...],
"free_from": time or null, "closed": [{"place", "spot"}, ...], "empty_lids": [name, ...], "doubts":
[text, ...], "problems": []}``. ``free`` are spots of lines and boards, ``closed`` those of sick ones; times
local. Of ``pupated``: ``{"pupated": [{"id", "pupated", "was": date or null}, ...], "problems": []}``. Found
between two looks, each has besides ``after``, the first of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from planner.cli.shell.chosen_season import taken_season
from planner.cli.shell.completion import complete_mark
from planner.cli.shell.date_words import date_apart
from planner.cli.shell.options import Json, On, check_note, check_on, check_when, this_year
from planner.cli.shell.season_files import require_season
from planner.cli.shell.talk import command, usage
from planner.record.named_pupae import joined
from planner.season import settings
from planner.season.pupae import OUTCOMES
from planner.season.reading.day_words import misread
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import did_you_mean
from planner.season.store import Store

CLEANED = "cleaned"  # of a place or a spot, or where a sick one hung
PUPATED = "pupated"  # a J has shed its skin, or the date on record was another
NOT_FOUND = (CLEANED, "darkening")  # these are of the time at which they were seen
WORDS = ("darkening", *OUTCOMES, PUPATED)
MEANT = {
    "dark": "darkening",
    "parasitized": "parasitised",
    "out": "emerged",
    "eclosed": "emerged",
    "dead": "failed",
    "died": "failed",
}
_SICK = (
    "write parasitised where a parasite or an infection is likely (its spot is then closed until it is "
    "cleaned), or failed if it died"
)
_FALLEN = (
    "where it hangs again, hangplan done {pupa} --to PLACE SPOT records that; write failed if it died, or "
    "removed if it is kept elsewhere"
)
NOT_RECORDED = dict.fromkeys(("diseased", "sick", "ill", "infected"), _SICK)
NOT_RECORDED |= dict.fromkeys(("dropped", "fell", "fallen"), _FALLEN)


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
    between: Annotated[
        tuple[str, str] | None,
        typer.Option(metavar="LOOK LOOK", help="Not yet at the first look, found at the second."),
    ] = None,
    on: On = None,
    json_form: Json = False,
) -> None:
    """Record what pupae have done.

    Example: hangplan mark m1 m2 emerged porch

    More: hangplan mark m1 darkening; hangplan mark m1-m4 emerged yesterday 7:30; hangplan mark m3 failed
    --note "black and soft"; hangplan mark m3 emerged --between "14 Jul 20:00" "15 Jul 7:00".

    Where a sick one hung is closed until it is cleaned: hangplan mark m3 cleaned, or mark north 36 cleaned.

    WHAT is darkening, emerged, failed, deformed, parasitised, released, escaped or removed; or pupated, of
    one that hung in a J, or whose date was wrong. A date says when it was: 2027-07-14, 'yesterday 7:30';
    without it, now. Nothing is written unless everything makes sense. Next: hangplan today.
    """
    words, when = date_apart(words, None if between else on)
    if between and when is not None:
        usage(f"--between: '{when}' is a date besides: give the two looks, or one date")
    on = on if between else when
    check_on(on)
    asked = understand(words, on)
    if asked.season is not None and season_option is not None:
        usage(f"--season: the season is named twice: {asked.season} and {season_option}")
    check_note(note)
    for look in between or ():
        check_when("--between", look)
    if between and asked.what in NOT_FOUND:
        usage(f"--between: {asked.what} has one date: give that instead")
    if asked.season is None and (Path(asked.pupae[0]) / settings.FILE).exists():
        rest = " ".join([*asked.pupae[1:], asked.what, asked.pupae[0]])
        usage(f"{asked.pupae[0]} is a season: here it is named last, hangplan mark {rest}")
    folder = asked.season or season_option or taken_season()
    require_season(folder, this_year(on))

    from planner.cli.answers import mark as answers

    store = Store(folder)
    if asked.what == CLEANED:
        answers.record_cleaned(store, asked.pupae, on, note.strip(), json_form=json_form)
    elif asked.what == PUPATED:
        answers.record_pupated(store, asked.pupae, on, between, note.strip(), json_form=json_form)
    else:
        answers.record_marks(store, asked.pupae, asked.what, on, between, note.strip(), json_form=json_form)


def understand(words: Sequence[str], on: str | None = None) -> Asked:
    """Part ``m1 m2 emerged porch``: the last word is the season where the one before says what.

    A folder that has such a name is written ``./emerged``.
    """
    if not words:
        usage("name the pupae and what they did: hangplan mark m1 emerged")
    said = [MEANT.get(w.lower(), w.lower()) for w in words]
    if said[-1] in (*WORDS, CLEANED):
        pupae, what, season = words[:-1], said[-1], None
    elif len(words) > 1 and said[-2] in (*WORDS, CLEANED):
        pupae, what, season = words[:-2], said[-2], Path(words[-1])
    else:
        wrong = words[-2] if len(words) > 1 and (Path(words[-1]) / settings.FILE).exists() else words[-1]
        if told := misread(wrong, this_year(on), "--on"):
            usage(told)
        if wrong.lower() in NOT_RECORDED:
            pupa = "m3" if words[0] == wrong else shorten(words[0], 30)
            usage(f"'{wrong}' is no word of the record: {NOT_RECORDED[wrong.lower()].format(pupa=pupa)}")
        word, hint = shorten(wrong, 30), did_you_mean(wrong, WORDS)
        usage(f"'{word}' is nothing that a pupa does{hint}: write one of {', '.join(WORDS)} after the pupae")
    if not pupae:
        usage(f"which one is {what}? Name at least one pupa before it: hangplan mark m1 {what}")
    for i, name in enumerate(pupae := joined(pupae) if what != CLEANED else list(pupae)):
        if name.lower() in map(str.lower, pupae[:i]):
            usage(f"{shorten(name, 30)} is named twice")
    return Asked(tuple(pupae), what, season)
