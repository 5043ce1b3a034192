"""The six figures by which a phone is paired: they hold once, and guessing them is slow and then over."""

from __future__ import annotations

import secrets
import threading
import time
from collections.abc import Callable

FIGURES = 6
MOST_WRONG = 10  # tries until pairing is locked: one guesser in 100,000 gets in
SLOWEST = 8.0  # seconds that a try waits at most
VALID = 600.0  # seconds that a code holds
LOCKED = "Too many wrong tries: ask for a new code at the computer."


class Pairing:
    """The code in force, and how often it was missed.

    Parameters
    ----------
    tell
        Says at the terminal what happened.
    clock, wait
        Seconds of a clock that never goes back, and what waits for some.
    """

    def __init__(
        self,
        tell: Callable[[str], None],
        clock: Callable[[], float] = time.monotonic,
        wait: Callable[[float], None] = time.sleep,
    ) -> None:
        self._tell, self._clock, self._wait = tell, clock, wait
        self._lock = threading.Lock()
        self._wrong = 0
        self._code, self._made = "", 0.0

    @property
    def locked(self) -> bool:
        """Whether it was missed too often: then somebody at this computer must ask for a new code."""
        return self._wrong >= MOST_WRONG

    def code(self) -> str:
        """The code that holds now; an old one is replaced."""
        if not self._code or self._clock() - self._made > VALID:
            self._code, self._made = f"{secrets.randbelow(10**FIGURES):0{FIGURES}d}", self._clock()
        return self._code

    def renew(self) -> str:
        """A new code, asked for at this computer: whoever was locked out may try again."""
        with self._lock:
            self._code, self._wrong = "", 0
            return self.code()

    def tried(self, typed: str, who: str) -> str:
        """What to say to who typed these figures; empty where they are right, and then used up.

        One try at a time, each wrong one slower than the one before. ``who``: the address.
        """
        if not self._lock.acquire(blocking=False):
            return "Another device is being paired this moment: try again."
        try:
            return self._tried(typed, who)
        finally:
            self._lock.release()

    def _tried(self, typed: str, who: str) -> str:
        if self.locked:
            self._tell(f"pairing is locked: {who} tried again")
            return LOCKED
        figures = "".join(c for c in typed if c in "0123456789")
        if secrets.compare_digest(figures.encode(), self.code().encode()):
            self._code, self._wrong = "", 0
            return ""
        self._wrong += 1
        self._tell(f"wrong code from {who}: try {self._wrong} of {MOST_WRONG}")
        if self.locked:
            self._tell("pairing is locked: ask for a new code in the browser of this computer")
            return LOCKED
        self._wait(min(SLOWEST, 0.25 * 2**self._wrong))
        return "These are not the six figures that the computer shows. Look again."
