"""Pupae as people name them: ``m3``, ``m26-m32``, ``m26 to m32``, ``step 3``, ``steps 3-5``, ``tub-C``."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from planner.record.pupae_table import no_such_pupa
from planner.record.refusal import Refused
from planner.season.places import fold
from planner.season.plan import plan_file
from planner.season.plan.plan_record import Hang, Move
from planner.season.pupae import Pupa
from planner.season.reading.problems import shorten
from planner.season.reading.scalars import did_you_mean
from planner.season.season import Season
from planner.words import few_ids

_ID = re.compile(r"(.*?)(\d{1,9})")
_RANGE = re.compile(r"(.*?\d{1,9})(?: to |\.\.|[-–])(.*?\d{1,9})", re.IGNORECASE)
_NUMBERS = re.compile(r"(\d{1,9})(?:(?: to |\.\.|[-–])(\d{1,9}))?", re.IGNORECASE)
_STEPS = re.compile(rf"steps? {_NUMBERS.pattern}", re.IGNORECASE)
_MISSPELT_STEPS = re.compile(r"[^\d\s]+ (\d.*)")


def joined(words: Sequence[str]) -> list[str]:
    """The words of a call, those of one name such as ``step 3`` or ``m26 to m32`` put together.

    >>> joined(["m1", "m26", "to", "m32", "steps", "3", "to", "5"])
    ['m1', 'm26 to m32', 'steps 3 to 5']
    """
    found: list[str] = []
    rest = [part for word in words for part in _parts(word)]
    while rest:
        word = rest.pop(0)
        if word.lower() in ("step", "steps") and rest:
            word = f"{word} {rest.pop(0)}"
        if len(rest) > 1 and rest[0].lower() == "to":
            word = f"{word} to {rest[1]}"
            del rest[:2]
        found.append(word)
    return found


def named_pupae(
    season: Season,
    words: Sequence[str],
    steps: Mapping[int, str],
    at: Mapping[str, Sequence[str]],
    year: int,
    against: Callable[[Pupa], Iterable[str]] = lambda _: (),
) -> tuple[list[Pupa], list[str]]:
    """The pupae named against whom nothing speaks, each once and in that order, and all that does.

    Parameters
    ----------
    words
        Of `joined`.
    steps
        Step of the plan → pupa.
    at
        Place → pupae that its name stands for.
    year
        Of a date that names none, where a word is one by mistake.
    against
        What speaks against one that is named.
    """
    ids: dict[str, bool] = {}  # and whether nothing speaks against it
    problems: list[str] = []
    by_name = {p.id.lower(): p.id for p in season.pupae}
    places = {fold(name): name for name in at}
    for word in _misspelt_steps_joined(words, by_name):
        found, wrong = list[str](), list[str]()
        if (one := by_name.get(word.lower())) is not None:
            found = [one]
        elif match := _STEPS.fullmatch(word):
            first, last = sorted((int(match[1]), int(match[2] or match[1])))
            found = [steps[n] for n in sorted(steps) if first <= n <= last]
            wrong = [] if first in steps and last in steps else [_no_step(word, steps)]
        elif (match := _NUMBERS.fullmatch(word)) and {int(n) for n in match.groups() if n} <= steps.keys():
            wrong = [_id_or_step(word, match[1], match[2] or match[1], by_name, steps)]
        elif match := _MISSPELT_STEPS.fullmatch(word):
            wrong = [f"'{shorten(word, 30)}' is not understood (did you mean 'step {match[1]}'?)"]
        elif match := _RANGE.fullmatch(word):
            found = list(_between(match[1], match[2], by_name))
            ends = [end for end in match.groups() if end.lower() not in by_name and not end.isdigit()]
            wrong = [no_such_pupa(season, end, year) for end in ends]
            wrong += [] if found or ends else [f"nobody is recorded from {match[1]} to {match[2]}"]
        elif (place := places.get(fold(word))) is not None:
            found = list(at[place])
            wrong = [] if found else [f"{place}: nobody hangs there"]
        else:
            wrong = [no_such_pupa(season, word, year)]
        problems += wrong
        for name in (n for n in found if n not in ids):
            problems += (why_not := list(against(season.pupa[name])))
            ids[name] = not why_not
    return [season.pupa[name] for name, fit in ids.items() if fit], list(dict.fromkeys(problems))


def named_on_record(season: Season, words: Sequence[str], year: int) -> tuple[list[Pupa], list[str]]:
    """The pupae named, and which names are wrong; a place stands for those that hang there now.

    Raises FaultyFiles where a step is named and plan.yaml cannot be read: who names none needs no plan.
    """
    plan = plan_file.read(season.folder) if any(_STEPS.fullmatch(word) for word in words) else None
    steps = pupa_of_step(plan.moves if plan else ())
    return named_pupae(season, words, steps, pupae_at(season), year)


def named_among(
    season: Season, hangs: Iterable[Hang], moves: Iterable[Move], words: Sequence[str], year: int
) -> list[Pupa]:
    """The pupae named; a place stands for those of ``hangs`` that have it, as by a plan. Raises Refused."""
    at: dict[str, list[str]] = {place.name: [] for place in season.places}
    for hang in hangs:
        at.setdefault(hang.place, []).append(hang.pupa)
    found, problems = named_pupae(season, words, pupa_of_step(moves), at, year)
    if problems:
        raise Refused(problems)
    return found


def pupae_at(season: Season) -> dict[str, list[str]]:
    """Place → pupae that hang there now, by the record."""
    found: dict[str, list[str]] = {place.name: [] for place in season.places}
    for pupa in season.pupae:
        if pupa.present:
            found[pupa.place].append(pupa.id)
    return found


def pupa_of_step(moves: Iterable[Move]) -> dict[int, str]:
    """Step → the pupa that it moves."""
    return {move.step: move.pupa for move in moves}


def _parts(word: str) -> Iterator[str]:
    """``m1,m2`` as two words; commas that end a word are left out."""
    yield from (part for part in word.split(",") if part)


def _misspelt_steps_joined(words: Sequence[str], by_name: Mapping[str, str]) -> Iterator[str]:
    """``stpe`` and ``3`` as one word, where no pupa has that name: it is no pupa 3 that is meant."""
    rest = list(words)
    while rest:
        word = rest.pop(0)
        if rest and rest[0][:1].isdigit() and word.lower() not in by_name and did_you_mean(word, ["step"]):
            word = f"{word} {rest.pop(0)}"
        yield word


def _between(first: str, last: str, by_name: Mapping[str, str]) -> Iterator[str]:
    """Ids of one stem whose numbers are from the first one's to the last one's; ``m26-32`` too."""
    low, high = _ID.fullmatch(first), _ID.fullmatch(last)
    if low is None or high is None or high[1].lower() not in ("", low[1].lower()):
        return
    numbers = int(low[2]), int(high[2])
    found = []
    for name, pupa in by_name.items():
        match = _ID.fullmatch(name)
        if match and match[1] == low[1].lower() and min(numbers) <= int(match[2]) <= max(numbers):
            found.append((int(match[2]), pupa))
    yield from (pupa for _, pupa in sorted(found))


def _id_or_step(
    word: str, first: str, last: str, by_name: Mapping[str, str], steps: Mapping[int, str]
) -> str:
    """A number alone may be the end of an id or a step, and the two are hardly ever the same pupa."""
    low, high = sorted((int(first), int(last)))
    moved = few_ids([steps[n] for n in range(low, high + 1) if n in steps])
    numbered = {n: [pupa for pupa in by_name.values() if _number(pupa) == n] for n in (int(first), int(last))}
    ids = [pupae[0] for pupae in numbered.values() if len(pupae) == 1]
    as_id = f"'{'-'.join(ids)}', or " if len(ids) == len(numbered) else ""
    return f"'{word}' is nobody's id: say {as_id}'step {word}' for {moved}"


def _number(pupa: str) -> int | None:
    match = _ID.fullmatch(pupa)
    return int(match[2]) if match else None


def _no_step(word: str, steps: Mapping[int, str]) -> str:
    known = "it has none"
    if steps:
        first, last = min(steps), max(steps)
        known = f"its steps are {first} to {last}" if last > first else f"its only step is {first}"
    return f"the plan has no {shorten(word, 30)}: {known}"
