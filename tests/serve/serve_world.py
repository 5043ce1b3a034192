"""A season that is served, and what asks it: without a network, as a browser would."""

from __future__ import annotations

import asyncio
import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlencode

from cli_world import ON, PUPAE, SETTINGS, good_plan

from planner.record.slip import check_of
from planner.season.plan import plan_file
from planner.serve.app import Site
from planner.serve.devices import Devices, token_of
from planner.serve.pairing import Pairing
from planner.serve.service import Service

HOST = "127.0.0.1:8427"
COOKIE = "hangplan-8427"


def write_season(folder: Path) -> Path:
    folder.mkdir()
    (folder / "season.yaml").write_text(SETTINGS)
    (folder / "pupae.csv").write_text(PUPAE)
    (folder / "plan.yaml").write_bytes(plan_file.dump(good_plan()))
    return folder


@dataclass
class Answer:
    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def text(self) -> str:
        return self.body.decode()

    @property
    def data(self) -> Any:
        return json.loads(self.body)


@dataclass
class World:
    """The application of a folder, with what it said at the terminal and how long it let guessers wait."""

    root: Path
    told: list[str] = field(default_factory=list)
    waited: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.devices = Devices(self.root)
        self.service = Service(self.root, self.devices, self.told.append, ON)
        self.service.pairing = Pairing(self.told.append, lambda: 0.0, self.waited.append)
        self.service.address = "http://192.0.2.7:8427"
        self.site = Site(self.service, COOKIE)
        self.app = self.site.app(frozenset({HOST, "localhost:8427", "192.0.2.7:8427"}))
        self.cookie = self.devices.pair_here()

    def ask(
        self, method: str, path: str, body: bytes = b"", client: str = "127.0.0.1", **headers: str | None
    ):
        """One request; ``headers``: with _ for -, None leaves out one of those a page of ours sends."""
        own: dict[str, str | None] = {
            "host": HOST,
            "cookie": f"{COOKIE}={self.cookie}",
            "accept": "text/html",
        }
        if method == "POST":
            own |= {"origin": f"http://{HOST}", "x-hangplan-token": token_of(self.cookie)}
        own |= {name.replace("_", "-"): text for name, text in headers.items()}
        sent = [(name.encode(), text.encode()) for name, text in own.items() if text is not None]
        return asyncio.run(_asked(self.app, method, path, body, sent, client))

    def get(self, path: str, **headers: str | None) -> Answer:
        return self.ask("GET", path, **headers)

    def post(self, path: str, what: Any = None, **headers: str | None) -> Answer:
        return self.ask("POST", path, json.dumps({} if what is None else what).encode(), **headers)

    def pair(self, code: str, name: str = "phone", **headers: str | None) -> Answer:
        form = urlencode({"code": code, "name": name}).encode()
        return self.ask(
            "POST", "/pair", form, client="192.0.2.9", cookie=None, x_hangplan_token=None, **headers
        )

    def send(self, *events: dict[str, Any], device: str = "k3f9a2", **more: Any) -> Answer:
        """The events of a phone, as its page sends them."""
        return self.post(f"/season/{self.root.name}/events", slip(*events, device=device) | more)


async def _asked(app, method, path, body, headers, client) -> Answer:
    route, _, query = path.partition("?")
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": method, "scheme": "http",
        "path": unquote(route), "raw_path": route.encode(), "query_string": query.encode(), "root_path": "",
        "headers": headers, "client": (client, 50000), "server": ("127.0.0.1", 8427),
    }  # fmt: skip
    pieces = [body[i : i + 65536] for i in range(0, len(body), 65536)] or [b""]
    said: list[dict[str, Any]] = []

    async def receive():
        piece = pieces.pop(0) if pieces else b""
        return {"type": "http.request", "body": piece, "more_body": bool(pieces)}

    async def send(message):
        said.append(message)

    await app(scope, receive, send)
    found = {name.decode().lower(): text.decode() for name, text in said[0]["headers"]}
    return Answer(said[0]["status"], found, b"".join(m.get("body", b"") for m in said[1:]))


def slip(*events: dict[str, Any], device: str = "k3f9a2") -> dict[str, Any]:
    found = list(events)
    whole = {"slip": 1, "season": "", "name": "Porch", "device": device, "check": check_of(found)}
    return whole | {"events": found}


def moved(number: int, pupa: str, spot: str, **more: Any) -> dict[str, Any]:
    return event(number, "moved", pupa=pupa, place="north", spot=spot, **more)


def event(number: int, kind: str, **more: Any) -> dict[str, Any]:
    at = f"2027-07-05T07:{number // 60 % 60:02d}:{number % 60:02d}.{number // 3600 % 1000:03d}"
    return {"id": f"e{number:011d}", "at": at, "kind": kind, **more}
