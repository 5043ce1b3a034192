"""The devices that were paired: their names, and what their cookies are known by.

A file in the folder that is served, which only its owner may read; it holds digests, so whoever reads it all
the same can make no cookie of them. On Windows its folder says who may read it.
"""

from __future__ import annotations

import hashlib
import json
import secrets
import threading
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from planner.season.reading.problems import FaultyFiles, Problem
from planner.season.store.disk import put, read_bytes, unwritten

FILE = ".hangplan-devices.json"
LARGEST = 1_000_000  # bytes
MOST = 50  # devices
LONGEST = 40  # letters of a name
HERE = "this computer"


@dataclass(frozen=True)
class Device:
    """One device. ``known_by``: the digest of its cookie; ``since``: the day it was paired, ISO 8601."""

    name: str
    known_by: str
    since: str


@dataclass(frozen=True)
class Known:
    """What the file holds. ``port``: the one served on last: what a phone keeps belongs to that address."""

    devices: tuple[Device, ...] = ()
    port: int | None = None


@dataclass
class Devices:
    """The devices of one folder; the file is read again for each question, for another program may write it.

    ``_here``: digests of the cookies of browsers on this computer, which last as long as the program.
    """

    folder: Path
    _here: set[str] = field(default_factory=set)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def known(self) -> Known:
        """What the file holds. Raises FaultyFiles."""
        data = read_bytes(self.folder, FILE, LARGEST)
        if data is None:
            return Known()
        try:
            found: Any = json.loads(data)
            devices = tuple(_device(one) for one in found["devices"])
            port = found.get("port")
            if port is not None and not (type(port) is int and 0 < port < 65536):
                raise ValueError("no port")
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
            what = "is no list of devices: remove the file, and pair the phones again"
            raise FaultyFiles([Problem(FILE, 0, 0, "", what)]) from None
        return Known(devices, port)

    def pair(self, name: str, day: str) -> tuple[str, str]:
        """A new cookie and the name of its device: with a number behind it where another is called so."""
        cookie = secrets.token_urlsafe(32)
        with self._lock:
            known = self.known()
            if len(known.devices) >= MOST:
                raise ValueError(f"{MOST} devices are paired already: remove one first")
            name = _free(_clean(name), [one.name for one in known.devices])
            device = Device(name, known_by(cookie), day)
            self._write(Known((*known.devices, device), known.port))
        return cookie, name

    def pair_here(self) -> str:
        """A new cookie for a browser on this computer."""
        cookie = secrets.token_urlsafe(32)
        self._here.add(known_by(cookie))
        return cookie

    def name_of(self, cookie: str) -> str:
        """Whose cookie it is; empty where it is nobody's."""
        if not cookie:
            return ""
        digest = known_by(cookie)
        if any(secrets.compare_digest(digest, one) for one in self._here):
            return HERE
        for one in self.known().devices:
            if secrets.compare_digest(digest, one.known_by):
                return one.name
        return ""

    def forget(self, name: str) -> bool:
        """Remove a device; False where there is none of that name."""
        with self._lock:
            known = self.known()
            left = tuple(one for one in known.devices if one.name.casefold() != name.strip().casefold())
            if len(left) == len(known.devices):
                return False
            self._write(Known(left, known.port))
        return True

    def keep_port(self, port: int) -> None:
        """Remember the port, to be served on again."""
        with self._lock:
            known = self.known()
            if known.port != port:
                self._write(Known(known.devices, port))

    def _write(self, known: Known) -> None:
        data = json.dumps(asdict(known), indent=1).encode() + b"\n"
        try:
            put(self.folder / FILE, data, mode=0o600)
        except OSError as e:
            raise unwritten(Path(FILE), e) from None


def known_by(cookie: str) -> str:
    """What a cookie is known by; it has 256 random bits, so one round is enough."""
    return hashlib.sha256(f"cookie {cookie}".encode()).hexdigest()


def token_of(cookie: str) -> str:
    """What every change must bring besides its cookie, which another site can make the browser send too."""
    return hashlib.sha256(f"change {cookie}".encode()).hexdigest()


def _device(found: Any) -> Device:
    device = Device(**found)
    texts = (device.name, device.known_by, device.since)
    if not all(isinstance(text, str) and text.isprintable() for text in texts):
        raise ValueError("no device")
    return device


def _clean(name: str) -> str:
    """A name that can be told in one line."""
    shown = " ".join("".join(c if c.isprintable() else " " for c in name).split())
    return shown[:LONGEST].strip() or "phone"


def _free(name: str, taken: Sequence[str]) -> str:
    others = {one.casefold() for one in taken} | {HERE}
    number, found = 1, name
    while found.casefold() in others:
        number += 1
        found = f"{name} {number}"
    return found
