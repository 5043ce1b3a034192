"""Where it listens, what the terminal shows of that, and until when: Ctrl-C ends it."""

from __future__ import annotations

import asyncio
import contextlib
import io
import socket
import threading
import webbrowser
from collections.abc import Callable, Sequence

import segno
import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol

from planner.record.refusal import Refused

LOOPBACK = "127.0.0.1"
MOST_AT_ONCE = 100  # requests
USUAL = 8427  # tried first: what a phone keeps in its browser belongs to an address with its port
PATIENCE = 10.0  # seconds between two looks at a connection
_ELSEWHERE = ("192.0.2.1", 9)  # an address of no network (RFC 5737); nothing is sent to it


class Patient(H11Protocol):
    """A connection that is closed where no whole request comes: else strangers could hold them all."""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to look after it."""
        super().connection_made(transport)
        self._look(None)

    def _look(self, before: object) -> None:
        """Close it where nothing was answered since the look ``before``, and nothing is."""
        answering = self.cycle is not None and not self.cycle.response_complete
        if self.transport.is_closing():
            return
        if not answering and before is not None and before == (self.cycle or "none"):
            self.transport.close()
            return
        self.loop.call_later(PATIENCE, self._look, self.cycle or "none")


def lan_address() -> str:
    """This computer's address on its network. Raises Refused where it has none."""
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(_ELSEWHERE)  # only asks the system which way it would go
        found = str(probe.getsockname()[0])
        if not found.startswith("127.") and found != "0.0.0.0":
            return found
    raise Refused(["this computer is on no network: connect it to the one of the phone, or leave out --lan"])


def listen(addresses: Sequence[str], port: int | None, before: int | None) -> list[socket.socket]:
    """Sockets on one port of all addresses. Raises Refused.

    Parameters
    ----------
    port
        The one asked for; None: the one of the time ``before``, the usual one, or any that is free.
    """
    for one in dict.fromkeys([port] if port is not None else [before or USUAL, USUAL, 0]):
        found: list[socket.socket] = []
        try:
            for address in addresses:
                number = found[0].getsockname()[1] if found else one
                found.append(_bound(address, number))
        except OSError as e:
            for each in found:
                each.close()
            if port is not None:
                raise Refused([f"--port {port}: {e.strerror or e}"]) from None
            continue
        return found
    raise Refused(["there is no free port: close other programs, or name one with --port"])


def _bound(address: str, port: int) -> socket.socket:
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):  # Windows: else another program may take the port over
            made.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # no minute's wait after the last time
        made.bind((address, port))
        made.listen(128)
    except BaseException:
        made.close()
        raise
    return made


def qr(text: str) -> str:
    """A QR code in letters of a terminal, two rows in one."""
    out = io.StringIO()
    segno.make(text, error="m", micro=False).terminal(out=out, compact=True)
    return out.getvalue()


def serve(app: ASGIApp, sockets: Sequence[socket.socket], opened: str, tell: Callable[[str], None]) -> None:
    """Answer requests until Ctrl-C. ``opened``: what a browser is to open here; empty: none."""
    config = uvicorn.Config(
        app,
        log_config=None,
        log_level="critical",  # what cannot be understood of a stranger's bytes concerns no keeper
        access_log=False,
        lifespan="off",
        ws="none",
        loop="asyncio",
        http=Patient,
        server_header=False,
        proxy_headers=False,  # nobody stands between who could say who asks
        limit_concurrency=MOST_AT_ONCE,
        timeout_graceful_shutdown=5,
    )
    server = uvicorn.Server(config)
    if opened:
        threading.Thread(target=_open, args=(opened, tell), daemon=True).start()
    with contextlib.suppress(KeyboardInterrupt):
        server.run(sockets=list(sockets))


def _open(url: str, tell: Callable[[str], None]) -> None:
    """Open the browser; it waits for the answer until the server is there, for its socket listens already."""
    try:
        done = webbrowser.open(url)
    except (webbrowser.Error, OSError):
        done = False
    if not done:
        tell(f"no browser could be opened: open {url}")
