"""The page for a phone beside the rack: one file that needs no network and no server.

What it shows for the day it was made on stands in its markup, so that it says something even where scripts
do not run; its scripts reckon the same for every other day. Every text goes through jinja2's escaping or, in
scripts, into text nodes; the data is JSON in which no ``<`` is left. A policy in its head forbids any
connection, and all else than its own style and script, known by their digests.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from functools import cache
from typing import Any

import jinja2

from planner import style
from planner.report.page.data import PageData, Shown, as_json, made_words
from planner.report.page.places import places_json
from planner.report.page.room import overview
from planner.report.page.strips import rack
from planner.report.page.tags import LETTER, TAG_HEIGHT, Tag, short_id
from planner.report.texts import day_sections
from planner.report.texts.later_evenings import evenings, put_off_words
from planner.report.texts.text import CAUTION
from planner.season.direction import apart
from planner.season.reading.told_dates import day_month, short_since, whole_day
from planner.words import FAR, count, last_moment, sentence, where

SCRIPTS = (
    "days.js",
    "events.js",
    "rack.js",
    "lists.js",
    "card.js",
    "slip.js",
    "hang.js",
    "lens.js",
    "lid.js",
    "paper.js",
    "start.js",
)
LIVE = "live.js"  # before the last one, where the page is served
STYLES = ("look.css", "layout.css", "lid.css", "paper.css")
# In the order in which they are told; the last one is told only once somebody is ticked.
SIGNS = (
    ("may", "may be moved"),
    ("stay", "to stay, by your own word"),
    ("soft", "soft: do not touch"),
    ("dark", "may be darkening: do not move"),
    ("due", "due: its chance on that day"),
    ("late", "overdue: look"),
    ("out", "out by then, most likely"),
    ("gone", "out, by your mark"),
)


def page(data: PageData, live: Mapping[str, Any] | None = None, *, folder: str | None = None) -> str:
    """The whole file.

    Parameters
    ----------
    live
        What the page has to know to speak with who serves it; None: it is a file that speaks with nobody.
    folder
        How the season's folder is named in what is typed; None: as it was opened.

    Raises
    ------
    ValueError, FaultyFiles
        As forecasts do.
    """
    laid = rack(data)
    seen = overview(laid)
    facts = as_json(data) | places_json(data, laid)
    facts["signs"] = dict(SIGNS)
    if folder is not None:
        facts["folder"] = folder
    if live is not None:
        facts["live"] = live
    for one in facts["pupae"]:
        one["dot"] = [None] * (len(one["to"]) + 1)
    for (number, after), point in seen.seen.items():
        facts["pupae"][number]["dot"][after] = point
    js = _js(live is not None)
    made, assumed = made_words(data)
    return (
        _environment()
        .get_template("page.html")
        .render(
            css=css(),
            js=js,
            policy=policy(live=live is not None),
            live=live,
            facts=script_json(facts),
            data=data,
            rack=laid,
            seen=seen,
            made=made,
            assumed=assumed,
            caution=CAUTION,
            signs=SIGNS,
            tag_height=TAG_HEIGHT,
            put_off=put_off_words(data.plan) if data.plan else "",
            later=[f"{day}: {who}." for day, who in evenings(data.plan)] if data.plan else [],
            sections=day_sections.sections(data.day),
            summary=day_sections.summary(data.day),
            first_day=whole_day(data.days[0]),
            last_day=whole_day(data.days[-1]),
        )
    )


def script_json(value: Any) -> str:
    """JSON that may stand in a script element: nothing in it can end that element or begin another.

    ``<``, ``>`` and ``&`` are written by their codes, and so is every letter beyond ASCII.
    """
    text = json.dumps(value, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def templates_of(package: str) -> jinja2.Environment:
    """How templates of ours are read: all is escaped, and a name that nobody gave is an error."""
    return jinja2.Environment(
        loader=jinja2.PackageLoader(package),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@cache
def _environment() -> jinja2.Environment:
    found = templates_of("planner.report.page")
    found.filters |= {
        "day_month": day_month,
        "since": short_since,
        "before": _before,
        "in_sight": lambda when, now: when - now <= FAR,
        "count": count,
        "sentence": sentence,
        "tag": _tag_texts,
        "px": _px,
        "move_groups": _move_groups,
        "left_on_lids": _left_on_lids,
        "apart": apart,
    }
    return found


def _before(when: datetime, now: datetime) -> str:
    told = last_moment(when, now)
    return told if told == "at once" else f"before the {told}"


def _px(value: float) -> str:
    """A length as short as it can be written."""
    return f"{round(value, 1):g}"


def _tag_texts(tag: Tag, width: float) -> tuple[str, str, str]:
    """The three rows of a tag: id, day due, and what it is now."""
    one = tag.one
    due = one.prospect.forecast.due
    word = f"step {one.moves[tag.after - 1].step}" if tag.after else one.word
    name = one.prospect.pupa.id
    shown = f"!{short_id(name, width - LETTER)}" if one.clash else short_id(name, width)
    return shown, day_month(due.day) if due else "no date", word


def _move_groups(data: PageData) -> list[tuple[str, list[dict[str, Any]]]]:
    """The move list, under the place from which each starts, in the plan's order."""
    groups: list[tuple[str, list[dict[str, Any]]]] = []
    by_id: dict[str, Shown] = {s.prospect.pupa.id: s for s in data.shown}
    for move in data.moves:
        one = by_id.get(move.pupa)
        if one is None:
            continue
        if not groups or groups[-1][0] != move.from_place:
            groups.append((move.from_place, []))
        after = one.moves.index(move) + 1
        if after == 1:
            at = day_sections.hangs(data.season, one.prospect.pupa)
        else:
            at = where(data.season, move.from_place, move.from_spot)
        to = where(data.season, move.to_place, move.to_spot)
        left = {m.step for m in data.moves}
        waits = [step for step in move.after if step in left]
        ways = {"at": data.names.apart(at), "to": data.names.apart(to)}
        row = {"one": one, "move": move, "after": after, "waits": waits, **ways}
        groups[-1][1].append(row)
    return groups


def _left_on_lids(data: PageData, names: Sequence[str]) -> dict[str, list[str]]:
    """Those of ``names`` who are not to be moved, under the reason; under an empty one who has no spot."""
    known = {s.prospect.pupa.id: s.prospect for s in data.shown}
    groups: dict[str, list[str]] = {}
    for name in names:
        one = known.get(name)
        why = one.forecast.why if one else ""
        if one and not why and one.pupa.stay:
            why = "to stay, by your own word"
        elif (
            one and not why and data.plan and one.forecast.firm_from and one.forecast.firm_from > data.plan.on
        ):
            why = "soft when planned and firm now: plan again"
        groups.setdefault(why, []).append(name)
    return dict(sorted(groups.items()))


@cache
def css() -> str:
    """All styles, the colours and type sizes of `planner.style` filled in."""
    look = {
        "light": vars(style.LIGHT),
        "dark": vars(style.DARK),
        "fills": {name: (fill, style.ink_on(fill)) for name, fill in style.STATE_FILLS.items()},
        "smallest": style.PAGE_SMALLEST,
        "id": style.PAGE_ID,
        "body": style.PAGE_BODY,
    }
    return "\n".join(_environment().get_template(name).render(look) for name in STYLES)


@cache
def _js(live: bool) -> str:
    """All scripts as one function, so that none of their names is seen outside."""
    env = _environment()
    assert env.loader is not None
    names = [*SCRIPTS[:-1], LIVE, SCRIPTS[-1]] if live else SCRIPTS
    parts = [env.loader.get_source(env, name)[0] for name in names]
    return "(() => {\n'use strict';\n" + "\n".join(parts) + "\n})();\n"


def policy(*, live: bool) -> str:
    """What a browser may load for this page: what stands in it; where it is served, what its server says."""
    speaks = "connect-src 'self'; " if live else ""
    return (
        f"default-src 'none'; script-src {digest(_js(live))}; style-src {digest(css())}; "
        f"{speaks}base-uri 'none'; form-action 'none'"
    )


def digest(text: str) -> str:
    """What a policy calls a script or a style by."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
