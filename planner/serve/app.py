"""What each address answers: the routes, each a few lines over what `Service` does."""

from __future__ import annotations

import json
import secrets
from collections.abc import Callable
from datetime import date
from typing import Any
from urllib.parse import parse_qsl

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route, Router
from starlette.types import ASGIApp

from planner.report.page.document import page, policy
from planner.serve import pages
from planner.serve.begun import Unclear, begin
from planner.serve.guard import Guard
from planner.serve.papers import PAPERS
from planner.serve.seasons import is_season, without_paths
from planner.serve.service import Service, Unanswered

MOST_SECONDS = 600.0  # of a search that is begun in a browser
YEAR = 365 * 24 * 3600


class Site:
    """The routes. ``ticket``: what the browser that this computer opens shows once, for its cookie."""

    def __init__(self, service: Service, cookie: str) -> None:
        self.service, self.cookie = service, cookie
        self._tickets: set[str] = set()

    def ticket(self) -> str:
        """A path that lets a browser of this computer in, once."""
        made = secrets.token_urlsafe(32)
        self._tickets.add(made)
        return f"/open/{made}"

    def app(self, hosts: frozenset[str]) -> ASGIApp:
        """The application, guarded."""
        season = "/season/{season}"
        routes = [
            Route("/", self.home, methods=["GET"]),
            Route("/open/{ticket}", self.open, methods=["GET"]),
            Route("/pair", self.pair, methods=["GET", "POST"]),
            Route("/code", self.code, methods=["POST"]),
            Route("/devices/forget", self.forget, methods=["POST"]),
            Route("/begin", self.begin, methods=["POST"]),
            Route(f"{season}/", self.page, methods=["GET"]),
            Route(f"{season}/page.html", self.file, methods=["GET"]),
            Route(f"{season}/state", self.state, methods=["GET"]),
            Route(f"{season}/events", self.events, methods=["POST"]),
            Route(f"{season}/plan", self.plan, methods=["POST"]),
            Route(f"{season}/stop", self.stop, methods=["POST"]),
            Route(f"{season}/paper/{{paper}}.pdf", self.paper, methods=["GET"]),
        ]
        return Guard(
            Router(routes, redirect_slashes=False),
            hosts=hosts,
            devices=self.service.devices,
            cookie=self.cookie,
            pairs=self.service.pairing is not None,
            tell=self.service.tell,
        )

    async def open(self, request: Request) -> Response:
        """Let the browser in that this computer opened; its ticket is then worthless, and out of sight."""
        ticket = request.path_params["ticket"]
        found = next(
            (one for one in self._tickets if secrets.compare_digest(one.encode(), ticket.encode())), None
        )
        if found is None or request.client is None or request.client.host not in ("127.0.0.1", "::1"):
            return _html(pages.told("This link was used", ["Start hangplan serve again for a new one."]), 403)
        self._tickets.discard(found)
        seasons = self.service.seasons()
        answer = RedirectResponse(seasons[0].url if len(seasons) == 1 else "/", 303)
        self._let_in(answer, self.service.devices.pair_here(), None)
        return answer

    async def pair(self, request: Request) -> Response:
        """The form for the six figures, and its answer."""
        pairing = self.service.pairing
        if pairing is None:
            return _html(
                pages.told("Only this computer", ["Phones are let in by hangplan serve --lan."]), 403
            )
        if request.method == "GET":
            return _html(pages.pair())
        form = dict(parse_qsl((await request.body()).decode("utf-8", "replace"), max_num_fields=5))
        typed, name = form.get("code", "")[:20], form.get("name", "")[:200]
        who = request.client.host if request.client else "?"
        problem = await run_in_threadpool(pairing.tried, typed, who)
        if problem:
            return _html(pages.pair(problem), 403)
        try:
            cookie, called = await run_in_threadpool(
                self.service.devices.pair, name, date.today().isoformat()
            )
        except ValueError as e:
            return _html(pages.pair(f"{e}."), 409)
        self.service.tell(f"paired {called!r} at {who}; the next phone types {pairing.code()}")
        seasons = self.service.seasons()
        answer = RedirectResponse(seasons[0].url if len(seasons) == 1 else "/", 303)
        self._let_in(answer, cookie, YEAR)
        return answer

    def _let_in(self, answer: Response, cookie: str, seconds: int | None) -> None:
        answer.set_cookie(self.cookie, cookie, max_age=seconds, path="/", httponly=True, samesite="strict")

    async def home(self, request: Request) -> Response:
        """All seasons and devices."""
        service = self.service
        here = request.state.here
        return _html(
            pages.home(
                service.seasons(),
                service.devices.known().devices,
                begins=not is_season(service.root),
                token=request.state.token,
                address=service.address,
                code=service.pairing.code() if service.pairing and here else "",
            )
        )

    async def code(self, request: Request) -> Response:
        """New figures, for who sits at this computer."""
        if not request.state.here or self.service.pairing is None:
            return _problems(["New figures are asked for at the computer."], 403)
        self.service.tell(f"the next phone types {self.service.pairing.renew()}")
        return JSONResponse({})

    async def forget(self, request: Request) -> Response:
        """Remove a device."""
        name = str((await _json(request)).get("name", ""))
        found = await run_in_threadpool(self.service.devices.forget, name)
        return JSONResponse({}) if found else _problems(["There is no such phone any more."], 404)

    async def begin(self, request: Request) -> Response:
        """Begin a season in the folder that is served."""
        root = self.service.root
        if is_season(root):
            return _problems(["One season is served: another is begun in a folder of seasons."], 409)
        form = await _json(request)
        try:
            name, problems = await run_in_threadpool(begin, root, form, self.service.on)
        except Unclear as e:
            return _problems([without_paths(str(e), root)], 409)
        found = self.service.season(name)
        return JSONResponse({"to": found.url, "problems": [without_paths(one, root) for one in problems]})

    async def page(self, request: Request) -> Response:
        """The page of a season, live."""
        name = request.path_params["season"]
        try:
            text = await run_in_threadpool(self._page, name, request.state.token)
        except Unanswered as e:
            return _html(pages.told("This season cannot be shown", e.problems), _status(e))
        return HTMLResponse(
            text, headers={"Content-Security-Policy": f"{policy(live=True)}; frame-ancestors 'none'"}
        )

    def _page(self, name: str, token: str) -> str:
        version = self.service.version(name)
        data = self.service.data(name)
        live = {
            "token": token,
            "version": version,
            "copy": name if self.service.is_copy(name) else "",
            "day": data.days[0].isoformat(),
            "papers": [[kind, words] for kind, (words, _) in PAPERS.items()],
            "build": policy(live=True),
        }
        return page(data, live, folder="")  # no phone has to know where on the computer the season is

    async def file(self, request: Request) -> Response:
        """The page as a file, to be taken along where the computer cannot be reached."""
        name = request.path_params["season"]
        try:
            text = await run_in_threadpool(lambda: page(self.service.data(name), folder=""))
        except Unanswered as e:
            return _html(pages.told("This season cannot be shown", e.problems), _status(e))
        headers = {"Content-Disposition": 'attachment; filename="page.html"'}
        return HTMLResponse(
            text,
            headers=headers | {"Content-Security-Policy": f"{policy(live=False)}; frame-ancestors 'none'"},
        )

    async def state(self, request: Request) -> Response:
        """Which version of the season there is, and how far its plan is."""

        def found(name: str) -> dict[str, Any]:
            return {"version": self.service.version(name), "plan": self.service.plan_state(name)}

        return await _answer(found, request.path_params["season"])

    async def events(self, request: Request) -> Response:
        """Record what a phone sends."""
        data = await request.body()
        return await _answer(self.service.record, request.path_params["season"], data)

    async def plan(self, request: Request) -> Response:
        """Begin to plan."""
        asked = await _json(request)
        seconds, way = asked.get("seconds", 60), asked.get("way")
        if type(seconds) not in (int, float) or not 0 < seconds <= MOST_SECONDS:
            return _problems([f"A search takes up to {MOST_SECONDS:g} seconds."], 409)
        way = way if type(way) is int else None
        return await _answer(self.service.start_plan, request.path_params["season"], float(seconds), way)

    async def stop(self, request: Request) -> Response:
        """End the search with the best plan so far."""
        return await _answer(self.service.stop_plan, request.path_params["season"])

    async def paper(self, request: Request) -> Response:
        """A PDF. It is made into ``out``, which is no change of the season: so a link may ask for it."""
        name, kind = request.path_params["season"], request.path_params["paper"]
        if kind not in PAPERS:
            return _html(pages.told("There is no such paper", ["Go back, and choose one there."]), 404)
        try:
            data = await run_in_threadpool(self.service.paper, name, kind)
        except Unanswered as e:
            return _html(pages.told("It cannot be made", e.problems), _status(e))
        headers = {
            "Content-Disposition": f'inline; filename="{kind}.pdf"',
            "Content-Security-Policy": "frame-ancestors 'none'",  # more of it stops a browser's own reader
        }
        return Response(data, media_type="application/pdf", headers=headers)


async def _answer(does: Callable[..., Any], *what: Any) -> Response:
    """What a part of the service answers, as JSON."""
    try:
        return JSONResponse(await run_in_threadpool(does, *what) or {})
    except Unanswered as e:
        return _problems(e.problems, _status(e))


async def _json(request: Request) -> dict[str, Any]:
    """The object that a request brings; an empty one where it brings none."""
    try:
        found = json.loads(await request.body() or b"{}")
    except (ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def _status(found: Unanswered) -> int:
    return 404 if found.missing else 503 if found.again else 409


def _problems(problems: list[str], status: int) -> Response:
    return JSONResponse({"problems": problems}, status)


def _html(found: pages.Html, status: int = 200) -> Response:
    return HTMLResponse(found.text, status, headers={"Content-Security-Policy": found.policy})
