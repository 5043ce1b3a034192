"""A season begun in a browser: its form, read into the words of the commands ``new`` and ``add``."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path

from planner.cli.shell.place_words import SIZES
from planner.record.refusal import DONE
from planner.season.reading.problems import shorten
from planner.serve import child

SECONDS = 60.0
LONGEST = 60  # letters of a name
MOST_PROBLEMS = 5  # told of a form at once
_LABELS = {
    "--name": "Name",
    "--timezone": "A large city in your time zone",
    "--species": "Species",
    "--units": "Lengths",
    "--temperature": "How warm it is there",
    "--places": "Places",
    "--count": "How many pupae",
    "--pupated": "Pupated on",
}
_SIZE = re.compile(r"\d{1,4}(?:[.,]\d{1,2})?")
_PLACE = re.compile(r"place_(\d{1,4})_kind")
_STANDS = {"left": "how far it is from the left", "above": "how high it hangs above the floor"}


class Unclear(Exception):  # noqa: N818  (it carries what is said of a form; it is no error of ours)
    """What is wrong with a form."""


def begin(root: Path, form: Mapping[str, str], on: str | None) -> tuple[str, list[str]]:
    """Make a season's folder in ``root``; its name, and what could not be done besides. Raises Unclear."""
    name = _text(form, "name")
    if not name:
        raise Unclear("Give the season a name.")
    places = list(_places(form))
    pupae, day = _number(form, "pupae"), _text(form, "day")
    if pupae and not any(place.startswith(("lid ", "round lid ")) for place in places):
        raise Unclear(
            "Pupae are recorded on the lid on which they formed: draw a lid, or record none of them yet."
        )
    folder = _free(root, name)
    given = {"name": name, "places": ", ".join(places) or "none", "timezone": _text(form, "city"),
             "species": _text(form, "species"), "units": _text(form, "units"),
             "temperature": _text(form, "temperature")}  # fmt: skip
    words = [f"--{key}={text}" for key, text in given.items() if text]
    _done(root, ["new", folder, *words])
    if not pupae:
        return folder, []
    more = [f"--pupated={day}"] if day else []
    try:
        _done(
            root / folder, ["add", f"--count={pupae}", "--lid=tub-1", *more, *([f"--on={on}"] if on else [])]
        )
    except Unclear as e:
        return folder, [f"The season is there; its pupae are not recorded yet. {e}"]
    return folder, []


def _done(folder: Path, words: list[str]) -> None:
    """Call the command. Raises Unclear with what it says where it does not do it."""
    try:
        code, out, err = child.run(folder, [*words, "--json"], SECONDS)
    except TimeoutError:
        raise Unclear("The computer was too busy: try again.") from None
    if code != DONE:
        problems = child.problems(child.answer(out)) or err.splitlines()[-1:]
        raise Unclear(" ".join(map(_in_the_forms_words, problems[:MOST_PROBLEMS])))


def _in_the_forms_words(problem: str) -> str:
    """What a command says of an option, told of the field that it stands for."""
    option, colon, what = problem.partition(": ")
    return f"{_LABELS[option]}: {what}" if colon and option in _LABELS else problem


def _places(form: Mapping[str, str]) -> Iterator[str]:
    """Each that was drawn, as ``new --places`` takes it: ``line 180 at 20 x 150``, ``round lid 9``."""
    drawn = sorted(int(found[1]) for key in form if (found := _PLACE.fullmatch(key)))
    number: Counter[str] = Counter()
    for one in drawn:
        kind = _text(form, f"place_{one}_kind")
        if kind not in SIZES:
            raise Unclear(f"'{kind}' is no line, board or lid.")
        lies = kind.endswith("lid")
        named = "tub" if lies else kind  # on the page, and in the season to be
        number[named] += 1
        keys = [*SIZES[kind], *(() if lies else _STANDS)]
        measured = {key: _text(form, f"place_{one}_{key}").replace(",", ".") for key in keys}
        for key, size in measured.items():
            if not _SIZE.fullmatch(size):
                what = _STANDS.get(key, f"its {key}")
                raise Unclear(f"Of {named}-{number[named]} type {what}, such as 40.")
        said = " x ".join(measured[key] for key in SIZES[kind])
        yield f"{kind} {said}" if lies else f"{kind} {said} at {measured['left']} x {measured['above']}"


def _text(form: Mapping[str, str], key: str) -> str:
    text = form.get(key, "")
    if not isinstance(text, str) or not text.isprintable() or len(text) > LONGEST:
        raise Unclear(f"'{shorten(str(text), 30)}': at most {LONGEST} visible characters are taken.")
    return text.strip()


def _number(form: Mapping[str, str], key: str) -> int:
    text = _text(form, key) or "0"
    if not (text.isascii() and text.isdecimal()) or len(text) > 4:
        raise Unclear(f"'{text}' is no whole number.")
    return int(text)


def _free(root: Path, name: str) -> str:
    """A folder's name made of a season's, that no file has yet: plain letters, figures and dashes."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    base = "-".join(re.findall(r"[a-z0-9]+", plain))[:40].strip("-") or "season"
    number, found = 1, base
    while (root / found).exists():
        number += 1
        found = f"{base}-{number}"
    return found
