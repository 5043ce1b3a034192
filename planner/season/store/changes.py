"""What is noted of each change to a season's files: its number, what made it, when, and which files."""

from __future__ import annotations

import json
import time
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from planner.season.reading.told_dates import moment

LONGEST = 200  # letters of what made a change
_LAST = 253_402_300_799.0  # the last second of the year 9999


@dataclass(frozen=True, kw_only=True)
class Touched:
    """One file of a change. ``before``, ``after``: digests; None: there was, or is then, no such file."""

    name: str
    before: str | None
    after: str | None


@dataclass(frozen=True, kw_only=True)
class Change:
    """One change, all of whose files were written or none.

    ``what``: the command that made it; ``when``: local time with its offset, ISO 8601. ``undoes``,
    ``redoes``: number of the change that this one took back, or of the taking back that it took back.
    ``goes_with``: number of the change that this one completes; the two are taken back together.
    ``dropped``: it could not be carried out and is being taken back. ``known`` False: an earlier version
    made it, which noted neither what nor digests.
    """

    number: int
    what: str
    when: str
    files: tuple[Touched, ...]
    undoes: int | None = None
    redoes: int | None = None
    goes_with: int | None = None
    dropped: bool = False
    known: bool = True

    @property
    def title(self) -> str:
        """``'mark m1 emerged' (Sun 11 Jul 07:30)``."""
        return f"'{self.what or 'change'}' ({self.at})"

    @property
    def at(self) -> str:
        """``Sun 11 Jul 07:30``, the local time where it was made."""
        return moment(datetime.fromisoformat(self.when).replace(tzinfo=None))

    def completed(self, by: Change) -> Change:
        """This change and one of the same files that completes it, as one."""
        after = {file.name: file.after for file in by.files}
        return replace(self, files=tuple(replace(f, after=after.get(f.name, f.after)) for f in self.files))

    @property
    def names(self) -> tuple[str, ...]:
        """Its files."""
        return tuple(file.name for file in self.files)


def now() -> str:
    """The local time with its offset, to the second."""
    return local(time.time())


def local(timestamp: float) -> str:
    """A moment in seconds since 1970 as local time with its offset; as UTC where TZ makes no sense."""
    try:
        then = datetime.fromtimestamp(timestamp).astimezone()
    except (ValueError, OverflowError, OSError):  # an offset of a day and more, or a time of no calendar
        then = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=min(max(timestamp, 0.0), _LAST))
    return then.isoformat(timespec="seconds")


def dump(change: Change) -> bytes:
    """The note's bytes: one line of JSON for each file, ASCII."""
    return (json.dumps(asdict(change), indent=1) + "\n").encode()


def parse(data: bytes) -> Change:
    """Read a note; all that is wrong with it raises ValueError."""
    try:
        found: Any = json.loads(data)
        files = tuple(_touched(file) for file in found.pop("files"))
        change = Change(**found, files=files)
        datetime.fromisoformat(change.when)
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as e:
        raise ValueError(f"is no note of a change: {e}") from None
    numbers = (change.number, change.undoes or 1, change.redoes or 1, change.goes_with or 1)
    if not files or not isinstance(change.what, str) or not all(type(n) is int and n > 0 for n in numbers):
        raise ValueError("is no note of a change")
    return change


def _touched(found: Any) -> Touched:
    file = Touched(**found)
    if not is_name(file.name) or not all(isinstance(d, str | None) for d in (file.before, file.after)):
        raise ValueError(f"{file.name!r}: not the name of a file in the season's folder")
    return file


def is_name(name: object) -> bool:
    """Whether it names a file in the season's folder itself, and nothing outside."""
    plain = isinstance(name, str) and name not in ("", ".", "..") and not {"/", "\\"} & set(name)
    plain = plain and str(name).isprintable()  # no NUL, and nothing that no file system can write
    return plain and Path(str(name)).name == name
