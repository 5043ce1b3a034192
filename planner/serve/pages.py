"""The pages beside a season's own: all seasons and devices, where one types the code, and what is wrong."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import jinja2

from planner.emergence import known_species
from planner.report.page.document import css, digest, templates_of
from planner.serve.devices import LONGEST, Device
from planner.serve.seasons import Served

LISTENERS = (
    "Whoever shares this network may read along: what is sent is not encrypted. Use a network that you trust."
)


@dataclass(frozen=True)
class Html:
    """A page, and what a browser may load for it."""

    text: str
    policy: str


def home(
    seasons: Sequence[Served],
    devices: Sequence[Device],
    *,
    begins: bool,
    token: str,
    address: str = "",
    code: str = "",
    units: str = "cm",
) -> Html:
    """All seasons; a form to begin one; the devices. ``code``: shown on this computer only."""
    return _page(
        "home.html",
        seasons=seasons,
        devices=devices,
        begins=begins,
        token=token,
        address=address,
        code=code,
        units=units,
        species=sorted(known_species()),
        listeners=LISTENERS,
    )


def pair(problem: str = "") -> Html:
    """Where a phone types the six figures."""
    return _page("pair.html", problem=problem, longest=LONGEST, listeners=LISTENERS)


def told(title: str, problems: Sequence[str]) -> Html:
    """What is wrong, with a way back."""
    return _page("told.html", title=title, problems=problems)


def _page(template: str, **what: Any) -> Html:
    env = _environment()
    style, script = css() + _source("home.css"), _source("home.js") + _source("wall.js")
    text = env.get_template(template).render(css=style, js=script, **what)
    policy = (
        f"default-src 'none'; script-src {digest(script)}; style-src {digest(style)}; "
        "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    )
    return Html(text, policy)


@cache
def _source(name: str) -> str:
    env = _environment()
    assert env.loader is not None
    return env.loader.get_source(env, name)[0]


@cache
def _environment() -> jinja2.Environment:
    return templates_of("planner.serve")
