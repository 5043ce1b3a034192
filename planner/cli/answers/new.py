"""What ``new`` asks: where, which species, which units, how warm, and what pupae hang from.

Each question is an option too. What is answered is judged by the rules of every season before the next one is
asked.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from zoneinfo import available_timezones

import typer

from planner.cli.answers.starter import KIT_SPECIES, Starter
from planner.cli.shell.place_words import EXAMPLES, NONE, UNITS, read_places
from planner.cli.shell.talk import show, tell, usage
from planner.emergence import known_species
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import did_you_mean, parse_number
from planner.season.reading.typed_dates import style_of

MOST_IN_KIT = 200  # caterpillars; more is a slip of the finger
_LOCALTIME = Path("/etc/localtime")


@dataclass(frozen=True)
class Question:
    """One question: ``text`` asks it, ``default`` is what Enter takes, ``read`` makes a value of an answer.

    ``field``: of the Starter, and the option's name. ``read`` raises ValueError.
    """

    field: str
    text: Callable[[Starter], str]
    default: Callable[[Starter, Path], str]
    read: Callable[[str, Starter], object]


def answered(folder: Path, given: Mapping[str, str | None], *, ask: bool, kit: int | None = None) -> Starter:
    """A season to be, as ``given`` by options and, if ``ask``, by whoever sits at the terminal.

    ``kit``: so many caterpillars in a cup, and a net cage; then no places are asked for.
    Raises typer.Abort on Ctrl-C and where the input ends.
    """
    if kit is not None and not 1 <= kit <= MOST_IN_KIT:
        usage(f"--kit: {kit}: allowed is 1 to {MOST_IN_KIT}")
    if kit is not None and given.get("places") is not None:
        usage("--kit is a cup and a net cage: leave --places out, or --kit")
    found = Starter(kit=kit)
    questions = [one for one in QUESTIONS if kit is None or one.field != "places"]
    ask = ask and any(given.get(one.field) is None for one in questions)
    if ask:
        show("A few questions. Enter takes what stands in brackets; Ctrl-C ends, and nothing is written.")
    for one in questions:
        text = given.get(one.field)
        if text is not None:
            try:
                found = _with(found, one, text, folder)
            except ValueError as e:
                usage(f"--{one.field}: {e}")
        elif ask:
            found = _ask(found, one, folder)
    return found


def _ask(found: Starter, one: Question, folder: Path) -> Starter:
    """Ask until the answer is one."""
    while True:
        text = typer.prompt(one.text(found), default=one.default(found, folder))
        try:
            return _with(found, one, text, folder)
        except ValueError as e:
            tell(f"  {e}")


def _with(found: Starter, one: Question, text: str, folder: Path) -> Starter:
    """The season to be with one more answer. Raises ValueError saying what is wrong with that."""
    new: Starter = replace(found, **{one.field: one.read(text.strip(), found)})  # type: ignore[arg-type]
    for problem in new.problems(folder)[:1]:
        key = problem.where.rpartition("].")[2] if "]." in problem.where else ""
        raise ValueError(f"{key}: {problem.what}" if key else problem.what)
    return new


def _zone(text: str, _: Starter) -> str:
    """A time zone of that name, or the one named by a city: ``Lisbon``, ``new york``."""
    zones, name = available_timezones(), re.sub(r"[\s_]+", "_", text).casefold()
    exact = [z for z in zones if z.casefold() == name]
    if any(z.isupper() and z != "UTC" for z in exact) or (not exact and re.fullmatch(r"[A-Z]{3,5}", text)):
        how = "write a large city in yours, such as Lisbon or Chicago"
        raise ValueError(f"'{shorten(text)}' may mean several zones, or one without summer time: {how}")
    if exact:
        return exact[0]
    found = [
        z for z in zones if z.rpartition("/")[2].casefold() == name and not z.startswith(("US/", "Etc/"))
    ]
    found.sort(key=lambda z: (len(z), z))  # of two names of one zone the short one
    if len({z.partition("/")[0] for z in found}) > 1:
        raise ValueError(f"'{shorten(text)}' could be {' or '.join(found)}: write one of them")
    if not found:
        near = did_you_mean(name, sorted({z.rpartition("/")[2] for z in zones if "/" in z}))
        how = near.replace("_", " ") or ": write a large city in your time zone, such as Lisbon or Chicago"
        raise ValueError(f"'{shorten(text)}' is not known{how}")
    return found[0]


def _units(text: str, _: Starter) -> str:
    words = {"inch": "in", "inches": "in", '"': "in", "centimetres": "cm", "centimeters": "cm"}
    return words.get(text.lower(), text.lower())


def _temperature(text: str, found: Starter) -> str:
    """Of a season in inches a bare number is in °F."""
    return f"{text} F" if found.units == "in" and parse_number(text) is not None else text


def _local_zone(found: Starter, folder: Path) -> str:  # noqa: ARG001  (the form of a default)
    """The time zone that the computer is set to; UTC where it does not say."""
    stated = os.environ.get("TZ", "").lstrip(":")
    try:
        stated = stated or str(_LOCALTIME.resolve()).partition("zoneinfo/")[2]
    except OSError:
        stated = ""
    return stated if stated in available_timezones() else "UTC"


def _local_units(found: Starter, folder: Path) -> str:  # noqa: ARG001  (the form of a default)
    """Inches where the computer is set to the United States and the season's zone is one of theirs."""
    there = (found.timezone or "").startswith(("America/", "US/", "Pacific/"))
    return "in" if there and style_of(os.environ) == "us" else "cm"


def _what_they_hang_from(found: Starter) -> str:
    examples = ", ".join(EXAMPLES[found.units].values())
    return f"What do they hang from, and pupate on? Sizes in {UNITS[found.units]}, such as\n  {examples}"


QUESTIONS = (
    Question("name", lambda _: "Name of the season", lambda _, f: f.resolve().name, lambda text, _: text),
    Question("timezone", lambda _: "Where? A large city in your time zone", _local_zone, _zone),
    Question(
        "species",
        lambda _: f"Which species? One of\n  {', '.join(known_species())}",
        lambda s, _: KIT_SPECIES if s.kit else "monarch",
        lambda text, _: text.lower().replace(" ", "-"),
    ),
    Question("units", lambda _: "Lengths in cm or in inches (in)?", _local_units, _units),
    Question(
        "temperature",
        lambda s: f"How warm is it where they hang, in {'°F' if s.units == 'in' else '°C'}?",
        lambda s, _: "73" if s.units == "in" else "23",
        _temperature,
    ),
    Question("places", _what_they_hang_from, lambda *_: NONE, lambda text, s: read_places(text, s.units)),
)
