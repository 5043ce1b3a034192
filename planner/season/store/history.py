"""The history of a season's files: what was changed when, and which version was there before."""

from __future__ import annotations

import contextlib
import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import chain
from pathlib import Path

from planner.season.store.changes import Change, Touched, local, parse
from planner.season.store.disk import StoreError, read

NOTE = ".change"
KEPT = 200  # changes
KEPT_BYTES = 100_000_000  # of all versions together; beyond that fewer changes are kept
KEPT_LEAST = 20  # changes, however large
_VERSION = re.compile(r"(\d{6,})-(.+)")
_NOTE = re.compile(r"(\d{6,})" + re.escape(NOTE))
_NONE = ".none"


def versions(history: Path) -> list[tuple[int, Path]]:
    """Every version kept, oldest change first, each with its change's number."""
    return _numbered(history, _VERSION)


def last_number(history: Path) -> int:
    """Number of the latest change; 0 before the first."""
    return max((n for n, _ in _everything(history)), default=0)


def changes(history: Path) -> list[Change]:
    """All changes still kept, oldest first.

    Those of earlier versions, which made no notes, have neither ``what`` nor digests; ``when`` is then the
    time of the file.
    """
    found = {}
    for number, path in _numbered(history, _NOTE):
        with contextlib.suppress(ValueError, StoreError):  # a damaged note: what is kept is still there
            change = parse(read(path) or b"")
            if change.number == number:
                found[number] = change
    old: defaultdict[int, list[Path]] = defaultdict(list)
    for number, path in versions(history):
        if number not in found:
            old[number].append(path)
    return sorted(chain(found.values(), map(_unnoted, old, old.values())), key=lambda c: c.number)


def _unnoted(number: int, paths: Sequence[Path]) -> Change:
    names = [p.name.split("-", 1)[1] for p in paths]
    files = (Touched(name=n.removesuffix(_NONE), before=None if n.endswith(_NONE) else "", after=None)
             for n in names)  # fmt: skip
    return Change(number=number, what="", when=local(max(map(_time, paths))), files=tuple(files), known=False)


def kept_version(history: Path, change: Change, file: Touched) -> Path:
    """Where the version before is kept: ``000007-pupae.csv``, or ``000007-plan.yaml.none``."""
    return history / f"{change.number:06d}-{file.name}{_NONE if file.before is None else ''}"


def standing(found: Iterable[Change]) -> tuple[list[Change], list[Change]]:
    """The changes that stand and can be taken back, and the takings back that can be taken back.

    The latest of each comes last. A new change ends what could be done again. One that completes the change
    before it is one with that.
    """
    done: list[Change] = []
    undone: list[Change] = []
    for change in found:
        if change.undoes is not None:
            done = [c for c in done if c.number != change.undoes]
            undone.append(change)
            continue
        undone = [c for c in undone if c.number != change.redoes] if change.redoes is not None else []
        if done and change.goes_with == done[-1].number and set(change.names) <= set(done[-1].names):
            done[-1] = done[-1].completed(change)
        else:
            done.append(change)
    return done, undone


def prune(history: Path) -> None:
    """Remove the oldest changes beyond what is kept. A file that cannot be removed is left for next time."""
    sizes: defaultdict[int, int] = defaultdict(int)
    everything = _everything(history)
    for number, path in everything:
        with contextlib.suppress(OSError):
            sizes[number] += path.stat().st_size
    keep, total = set[int](), 0
    for number in sorted(sizes, reverse=True)[:KEPT]:
        total += sizes[number]
        if len(keep) >= KEPT_LEAST and total > KEPT_BYTES:
            break
        keep.add(number)
    for number, path in everything:
        if number not in keep:
            with contextlib.suppress(OSError):
                path.unlink()


def _everything(history: Path) -> list[tuple[int, Path]]:
    return versions(history) + _numbered(history, _NOTE)


def _numbered(history: Path, form: re.Pattern[str]) -> list[tuple[int, Path]]:
    if not history.is_dir():
        return []
    found = ((form.fullmatch(p.name), p) for p in history.iterdir())
    return sorted((int(m[1]), p) for m, p in found if m)


def _time(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except OSError:
        return 0.0
