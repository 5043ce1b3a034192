"""A slip: the events that a phone wrote down, as a small JSON file or as text that survives mail and chat.

As text it is base64 between two marker lines. Its letters have no meaning to any program it passes: no
underscores that a chat takes for italics, no quotes that are made round, no dashes that are made long. Lines
may be wrapped and quoted anew, and anything may stand above and below.
"""

from __future__ import annotations

import base64
import binascii
import json
import re
import zlib
from dataclasses import dataclass
from typing import Any

from planner.record.event import Event
from planner.record.refusal import Refused
from planner.record.written_event import Raw, event_of
from planner.season.reading.problems import shorten

VERSION = 1
LARGEST = 2_000_000  # bytes
MOST_EVENTS = 2000
FROM, TO = "[hangplan slip begins]", "[hangplan slip ends]"
AGAIN = "share it again from the phone"
_FROM, _TO = (re.compile(r"\s*".join(f"hangplanslip{word}"), re.IGNORECASE) for word in ("begins", "ends"))
_QUOTED = re.compile(r"^[\s>|]+", re.MULTILINE)
_UNSEEN = dict.fromkeys(map(ord, "\u200b\u200c\u200d\u2060\ufeff\u00ad"))
_LETTERS = re.compile(r"[A-Za-z0-9+/]*")
_DEVICE = re.compile(r"[a-z0-9]{4,12}")


@dataclass(frozen=True)
class Slip:
    """``season``: the id of the season it is of, may be empty; ``name``: its name when it was written."""

    season: str
    name: str
    device: str
    raw: tuple[Raw, ...]
    events: tuple[Event, ...]


def read_slips(data: bytes, file: str) -> list[Slip]:
    """All slips in a file, or Refused with all that is wrong with them."""
    if len(data) > LARGEST:
        raise Refused([f"{file}: no slip is larger than {LARGEST:,} bytes"])
    text = _decoded(data).lstrip()
    parts = [text] if text.startswith("{") else [_unpacked(part, file) for part in _parts(text, file)]
    return [_read(part, file) for part in parts]


def _decoded(data: bytes) -> str:
    """Text in whichever letters; those of a slip are plain ones."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", errors="replace")
    return data.decode("utf-8-sig", errors="replace")


def _parts(text: str, file: str) -> list[str]:
    """What stands between marker lines."""
    text = _QUOTED.sub("", text.translate(_UNSEEN))
    starts = list(_FROM.finditer(text))
    if not starts:
        raise Refused([f"{file}: there is no slip in it: copy all from {FROM} to {TO}"])
    found = []
    for start, following in zip(starts, [*(s.start() for s in starts[1:]), len(text)], strict=True):
        end = _TO.search(text, start.end(), following)
        if end is None:
            raise Refused([f"{file}: the slip is cut off: {TO} is missing. Copy all of it, or {AGAIN}"])
        found.append(text[start.end() : end.start()])
    return found


def _unpacked(part: str, file: str) -> str:
    """The JSON of a slip, from its letters."""
    letters = "".join(part.split()).strip("[]=").replace("-", "+").replace("_", "/").replace("=", "")
    if not _LETTERS.fullmatch(letters):
        raise Refused([_damaged(file)])
    try:
        return base64.b64decode(letters + "=" * (-len(letters) % 4), validate=True).decode()
    except (binascii.Error, UnicodeDecodeError):
        raise Refused([_damaged(file)]) from None


def _damaged(file: str) -> str:
    return f"{file}: the slip is damaged: a part is missing, or was changed on the way. {AGAIN.capitalize()}"


def _read(text: str, file: str) -> Slip:
    try:
        found: Any = json.loads(text, parse_float=_no_number, parse_constant=_no_number)
        version = found["slip"]
        if type(version) is int and version > VERSION:  # what else it holds is for that version to know
            what = "the slip was written by a later hangplan: install that on this computer"
            raise Refused([f"{file}: {what}"])
        season, name, device, check, raw = (
            found[key] for key in ("season", "name", "device", "check", "events")
        )
    except (ValueError, TypeError, KeyError, RecursionError):
        raise Refused([_damaged(file)]) from None
    texts = (season, name, device, check)
    plain = all(isinstance(t, str) and t.isprintable() and len(t) <= 200 for t in texts)
    ours = type(version) is int and version == VERSION and isinstance(raw, list)
    if not ours or not plain or not _DEVICE.fullmatch(device):
        raise Refused([_damaged(file)])
    if len(raw) > MOST_EVENTS:
        what = f"{len(raw):,} events in one slip: at most {MOST_EVENTS:,} are taken"
        raise Refused([f"{file}: {what}"])
    if check != check_of(raw):
        what = "was changed after it was written"
        raise Refused([f"{file}: the slip {what}. {AGAIN.capitalize()}"])
    events, problems = [], []
    for number, one in enumerate(raw, start=1):
        try:
            events.append(event_of(one, device))
        except ValueError as e:
            problems.append(f"{file}: event {number}: {e}")
    if problems:
        raise Refused(problems)
    return Slip(season, name, device, tuple(raw), tuple(events))


def _no_number(text: str) -> None:
    raise ValueError(f"'{shorten(text)}': no slip holds such a number")


def check_of(raw: Any) -> str:
    """What tells whether events were changed: the CRC-32 of their JSON, as a browser would write it."""
    text = json.dumps(raw, ensure_ascii=False, separators=(",", ":"))
    return f"{zlib.crc32(text.encode('utf-8', 'surrogatepass')):08x}"


def packed(season: str, name: str, device: str, raw: list[Raw]) -> str:
    """A slip as text, as the page writes it."""
    whole = {"slip": VERSION, "season": season, "name": name, "device": device, "check": check_of(raw)}
    letters = base64.b64encode(json.dumps(whole | {"events": raw}).encode()).decode().rstrip("=")
    lines = [letters[i : i + 64] for i in range(0, len(letters), 64)]
    return "\n".join([FROM, *lines, TO, ""])
