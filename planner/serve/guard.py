"""Who may ask for what, judged before anything else sees a request; and what every answer says to a browser.

- The name in ``Host`` must be ours: a foreign one that is made to lead here (DNS rebinding) gets nothing.
- A change needs an ``Origin`` that is ours, the cookie of a paired device, and a token that only a page of
  ours knows; so no other site can make a browser change anything.
- A body has a limit, in bytes and in time.
- What goes wrong is told in words: no traceback, no path of this computer.
"""

from __future__ import annotations

import asyncio
import secrets
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from starlette.datastructures import MutableHeaders
from starlette.requests import ClientDisconnect, Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from planner.season.reading.problems import FaultyFiles
from planner.serve.devices import HERE, Devices, token_of
from planner.serve.pages import told
from planner.words import sentence

LARGEST = 1_000_000  # bytes of a body
PATIENCE = 30.0  # seconds for a body
TOKEN = "x-hangplan-token"
HEADERS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": "default-src 'none'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "same-origin",  # with none a form would not say where it comes from
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
}


class TooLarge(Exception):  # noqa: N818  (it says what is wrong with a request; it is no error of ours)
    """A body has more bytes than one may have."""


@dataclass(frozen=True)
class Refusal:
    """Why a request is refused."""

    status: int
    what: str


class Guard:
    """The application, guarded.

    Parameters
    ----------
    hosts
        What ``Host`` may say: names with ports.
    cookie
        Its name; cookies know no ports, so two servers on one computer need two names.
    pairs
        Whether phones are paired, so that a stranger is sent to where one types the code.
    tell
        Says at the terminal what is a fault of ours.
    """

    def __init__(
        self,
        app: ASGIApp,
        *,
        hosts: frozenset[str],
        devices: Devices,
        cookie: str,
        pairs: bool,
        tell: Callable[[str], None],
    ) -> None:
        self.app, self.hosts, self.devices = app, hosts, devices
        self.cookie, self.pairs, self.tell = cookie, pairs, tell

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            return
        begun = False

        async def headed(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        request = Request(scope)
        try:
            found = self._refused(request)
            if found is None:
                await self.app(scope, _bounded(receive), headed)
                return
            answer = found if isinstance(found, Response) else _told(found)
        except ClientDisconnect:  # it sends again by itself
            return
        except TooLarge:
            answer = _told(Refusal(413, f"a request has at most {LARGEST:,} bytes"))
        except TimeoutError:
            answer = _told(Refusal(408, "the request did not come to its end"))
        except FaultyFiles as e:  # the list of devices
            answer = JSONResponse({"problems": [str(problem) for problem in e.problems]}, 500)
        except OSError as e:
            answer = _told(Refusal(500, f"The computer cannot do it: {e.strerror or type(e).__name__}."))
        except Exception as e:
            self.tell(f"a request could not be answered ({type(e).__name__}): that is a fault of hangplan")
            answer = _told(
                Refusal(500, "That is a fault of hangplan. What you wrote down stays on this phone.")
            )
        if not begun:
            await answer(scope, receive, headed)

    def _refused(self, request: Request) -> Refusal | Response | None:
        """Why it is refused, or where to go instead; None where it may go on."""
        headers, path = request.headers, request.url.path
        host = headers.get("host", "")
        if host.lower() not in self.hosts:
            return Refusal(421, "this address is not served here")
        if request.method not in ("GET", "HEAD", "POST"):
            return Refusal(405, "only GET and POST are understood")
        length = headers.get("content-length", "0")
        if not (length.isascii() and length.isdecimal()) or len(length) > 12 or int(length) > LARGEST:
            return Refusal(413, f"a request has at most {LARGEST:,} bytes")
        changes = request.method == "POST"
        if changes and not _is_ours(headers, host):
            return Refusal(403, "a change must come from a page of this address")
        if path == "/pair" or path.startswith("/open/"):
            return None
        cookie = request.cookies.get(self.cookie, "")
        name = self.devices.name_of(cookie)
        if not name:
            asks = request.method == "GET" and "text/html" in headers.get("accept", "")
            if asks:
                return RedirectResponse("/pair", 303) if self.pairs else _stranger()
            return Refusal(401, "This device is not paired. What you wrote down stays on it.")
        if changes and not secrets.compare_digest(headers.get(TOKEN, "").encode(), token_of(cookie).encode()):
            return Refusal(403, "The page is of another pairing: load it anew.")
        request.state.device, request.state.token = name, token_of(cookie)
        request.state.here = name == HERE
        return None


def _is_ours(headers: Mapping[str, str], host: str) -> bool:
    """Whether a browser says that a page of this very address asks."""
    site = headers.get("sec-fetch-site", "same-origin")
    return headers.get("origin", "").lower() == f"http://{host.lower()}" and site == "same-origin"


def _bounded(receive: Receive) -> Receive:
    """The same body, no larger than allowed and none that never ends."""
    size, done, until = 0, False, time.monotonic() + PATIENCE

    async def bounded() -> Message:
        nonlocal size, done
        if done:
            return await receive()
        message = await asyncio.wait_for(receive(), until - time.monotonic())
        size += len(message.get("body", b""))
        done = not message.get("more_body", False)
        if size > LARGEST:
            raise TooLarge
        return message

    return bounded


def _stranger() -> Response:
    """What a person sees whose browser is not known, where no phone is paired."""
    found = told("This browser is not known here", ["Start hangplan serve again: it opens the one that is."])
    return HTMLResponse(found.text, 401, headers={"Content-Security-Policy": found.policy})


def _told(refusal: Refusal) -> Response:
    return JSONResponse({"problems": [sentence(refusal.what)]}, refusal.status)
