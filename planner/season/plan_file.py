"""``plan.yaml``: the plan in force, written and read. Only the tool writes it; people and programs read it.

One line per pupa, and every text in quotes that YAML could take for a number, a date or a yes, so that any
reader gets the same values from it.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterable, Iterator
from datetime import date, datetime
from pathlib import Path

from planner.season.fields import Fields, Range, Report
from planner.season.load import read_bytes
from planner.season.plan_record import Hang, Kept, Level, Move, Plan, Stuck, TooClose, Waits
from planner.season.problems import FaultyFiles, shorten
from planner.season.yaml_text import Node, read_yaml

FILE = "plan.yaml"
FORM = 1
LARGEST = 64_000_000  # bytes
KEYS = (
    "plan", "on", "gap_days", "settings", "drying", "inputs", "proof", "hangs", "moves", "clashes",
    "waiting", "left", "stuck", "waits", "kept", "reason", "ways_out",
)  # fmt: skip
_HEAD = """\
# The plan in force, written by hangplan: make a new one rather than change it.
# Lengths in cm, in each place's own frame; times are local.
"""
_BARE = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
_WORDS = {"y", "n", "yes", "no", "on", "off", "true", "false", "null"}
# JSON leaves these as they are; YAML does not allow them, or takes them for line ends.
_UNPRINTABLE = re.compile("[\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")
_ANY = Range(-1e300, 1e300)


def dump(plan: Plan) -> bytes:
    """The file's bytes. Numbers must be finite and times local, or ValueError is raised."""
    lines = [f"plan: {FORM}", f"'on': {_time(plan.on)}", f"gap_days: {_number(plan.gap_days)}"]
    lines += _block("settings", (f"  {_text(k)}: {_number(v)}" for k, v in plan.settings.items()), "{}")
    if plan.drying:
        lines += _block("drying", (f"  {_text(k)}: {_number(v)}" for k, v in plan.drying.items()), "{}")
    lines += _block("inputs", (f"  {_text(k)}: {_text(v)}" for k, v in plan.inputs.items()), "{}")
    lines += _block("proof", map(_level, plan.proof))
    lines += _block("hangs", map(_hang, plan.hangs))
    lines += _block("moves", map(_move, plan.moves))
    lines += _block("clashes", map(_too_close, plan.clashes))
    lines += _block("waiting", map(_too_close, plan.waiting))
    lines += _block("left", (f"  - {_text(p)}" for p in plan.left))
    if plan.stuck:
        lines += _block("stuck", (_flow(("pupa", _text(s.pupa)), ("why", _text(s.why))) for s in plan.stuck))
    if plan.waits:
        each = (_flow(("pupa", _text(w.pupa)), ("until", _time(w.until))) for w in plan.waits)
        lines += _block("waits", each)
    if plan.kept:
        lines += _block("kept", map(_kept, plan.kept))
    for key, texts in (("reason", plan.reason), ("ways_out", plan.ways_out)):
        lines += _block(key, (f"  - {_text(t)}" for t in texts)) if texts else []
    return (_HEAD + "\n".join(lines) + "\n").encode("utf-8")


def read(folder: Path) -> Plan | None:
    """The plan in force, or None where there is no file. Raises FaultyFiles."""
    data = read_bytes(folder, FILE, LARGEST)
    return None if data is None else parse(data)


def parse(data: bytes) -> Plan:
    """Read what ``dump`` wrote. Raises FaultyFiles with all problems."""
    report = Report(FILE)
    top = Fields(report, read_yaml(data, FILE, LARGEST), "", KEYS)
    form = top.integer("plan", 0, 1, 10**6, need=True)
    if form > FORM:
        top.fault("plan", f"{form}: the file was written by a newer hangplan; this one reads up to {FORM}")
        raise FaultyFiles(report.problems)
    settings, inputs = top.mapping("settings", None), top.mapping("inputs", None)
    drying = top.mapping("drying", None)
    plan = Plan(
        on=_moment(top, "on"),
        gap_days=top.number("gap_days", 0.0, Range(0, 1e6, "days"), need=True),
        settings={k: settings.number(k, 0.0, _ANY, need=True) for k in settings.map},
        drying={k: drying.number(k, 0.0, _ANY, need=True) for k in drying.map},
        inputs={k: _free(inputs, k) for k in inputs.map},
        proof=tuple(_read_level(f) for f in _each(top, "proof", ("name", "value", "bound", "proved"))),
        hangs=tuple(
            _read_hang(f) for f in _each(top, "hangs", ("pupa", "place", "spot", "x", "y", "due", "from"))
        ),
        moves=tuple(_read_move(f) for f in _each(top, "moves", _MOVE)),
        clashes=tuple(_read_close(f) for f in _each(top, "clashes", _CLOSE)),
        waiting=tuple(_read_close(f) for f in _each(top, "waiting", _CLOSE)),
        left=tuple(_read_word(report, *item, "a pupa's id") for item in top.items("left")),
        stuck=tuple(
            Stuck(pupa=_free(f, "pupa"), why=_free(f, "why")) for f in _each(top, "stuck", ("pupa", "why"))
        ),
        waits=tuple(
            Waits(pupa=_free(f, "pupa"), until=_moment(f, "until"))
            for f in _each(top, "waits", ("pupa", "until"))
        ),
        kept=tuple(_read_kept(f) for f in _each(top, "kept", ("for", "place", "spot", "since", "due"))),
        reason=tuple(_read_word(report, *item, "a sentence") for item in top.items("reason")),
        ways_out=tuple(_read_word(report, *item, "a sentence") for item in top.items("ways_out")),
    )
    if report.problems:
        raise FaultyFiles(report.problems)
    return plan


# Writing


def _block(key: str, lines: Iterable[str], empty: str = "[]") -> list[str]:
    lines = list(lines)
    return [f"{key}:", *lines] if lines else [f"{key}: {empty}"]


def _flow(*pairs: tuple[str, str | None]) -> str:
    return "  - {" + ", ".join(f"{k}: {v}" for k, v in pairs if v is not None) + "}"


def _level(level: Level) -> str:
    return _flow(
        ("name", _text(level.name)),
        ("value", "null" if level.value is None else _number(level.value)),
        ("bound", "null" if level.bound is None else _number(level.bound)),
        ("proved", "true" if level.proved else "false"),
    )


def _hang(hang: Hang) -> str:
    return _flow(
        ("pupa", _text(hang.pupa)),
        ("place", _text(hang.place)),
        ("spot", _text(hang.spot)),
        ("x", _maybe(hang.x)),
        ("y", _maybe(hang.y)),
        ("due", None if hang.due is None else hang.due.isoformat()),
        ("from", None if hang.from_place is None else _text(hang.from_place)),
    )


def _move(move: Move) -> str:
    return _flow(
        ("step", str(move.step)),
        ("pupa", _text(move.pupa)),
        ("from", _text(move.from_place)),
        ("from_spot", _text(move.from_spot)),
        ("to", _text(move.to_place)),
        ("to_spot", _text(move.to_spot)),
        ("not_before", _time(move.not_before)),
        ("not_after", _time(move.not_after)),
        ("after", f"[{', '.join(map(str, move.after))}]" if move.after else None),
    )


def _kept(kept: Kept) -> str:
    return _flow(
        ("for", _text(kept.who)),
        ("place", _text(kept.place)),
        ("spot", _text(kept.spot)),
        ("since", _time(kept.since)),
        ("due", kept.due.isoformat()),
    )


def _too_close(pair: TooClose) -> str:
    return _flow(
        ("a", _text(pair.a)),
        ("b", _text(pair.b)),
        ("gap", _number(pair.gap)),
        ("distance", _maybe(pair.distance)),
        ("why", _text(pair.why) if pair.why else None),
    )


def _text(text: str) -> str:
    if _BARE.fullmatch(text) and text.lower() not in _WORDS:
        return text
    quoted = json.dumps(text, ensure_ascii=False)
    return _UNPRINTABLE.sub(lambda m: f"\\u{ord(m[0]):04x}", quoted)


def _maybe(number: float | None) -> str | None:
    return None if number is None else _number(number)


def _number(number: float) -> str:
    if not math.isfinite(number):
        raise ValueError(f"{number} is not a finite number")
    if number == int(number) and abs(number) < 1e15:
        return str(int(number))
    text = repr(float(number))
    # YAML takes 1e-06 for text: a number needs a point.
    return text if "." in text else text.replace("e", ".0e")


def _time(moment: datetime) -> str:
    if moment.tzinfo is not None:
        raise ValueError(f"{moment} is not in local time")
    return moment.isoformat()


# Reading

_MOVE = ("step", "pupa", "from", "from_spot", "to", "to_spot", "not_before", "not_after", "after")
_STEPS = 10**6
_CLOSE = ("a", "b", "gap", "distance", "why")
_NEVER = datetime(1990, 1, 1)


def _each(top: Fields, key: str, known: tuple[str, ...]) -> Iterator[Fields]:
    for where, node in top.items(key):
        yield Fields(top.report, node, where, known)


def _free(fields: Fields, key: str, default: str = "", *, need: bool = True) -> str:
    """Any text, as it was dumped."""
    return fields.text(key, default, need=need, free=True)


def _moment(fields: Fields, key: str) -> datetime:
    text = _free(fields, key)
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is not None:
        if fields.has(key):
            fields.fault(key, f"'{shorten(text)}' is not a local time: write 2027-07-03T08:00:00")
        return _NEVER
    return moment


def _finite(fields: Fields, key: str, *, need: bool = False) -> float | None:
    return fields.number(key, None, _ANY, need=need)


def _read_level(fields: Fields) -> Level:
    def value(key: str) -> float | None:
        return None if _free(fields, key) == "null" else _finite(fields, key, need=False)

    return Level(
        name=_free(fields, "name"),
        value=value("value"),
        bound=value("bound"),
        proved=fields.yes("proved", False, need=True),
    )


def _read_hang(fields: Fields) -> Hang:
    day: date | None = fields.day("due", None)
    return Hang(
        pupa=_free(fields, "pupa"),
        place=_free(fields, "place"),
        spot=_free(fields, "spot"),
        x=_finite(fields, "x"),
        y=_finite(fields, "y"),
        due=day,
        from_place=_free(fields, "from", need=False) if fields.has("from") else None,
    )


def _read_move(fields: Fields) -> Move:
    return Move(
        step=fields.integer("step", 0, 1, _STEPS, need=True),
        pupa=_free(fields, "pupa"),
        from_place=_free(fields, "from"),
        from_spot=_free(fields, "from_spot"),
        to_place=_free(fields, "to"),
        to_spot=_free(fields, "to_spot"),
        not_before=_moment(fields, "not_before"),
        not_after=_moment(fields, "not_after"),
        after=tuple(fields.integers("after", 1, _STEPS)),
    )


def _read_kept(fields: Fields) -> Kept:
    return Kept(
        who=_free(fields, "for"),
        place=_free(fields, "place"),
        spot=_free(fields, "spot"),
        since=_moment(fields, "since"),
        due=fields.day("due", date.min, need=True),
    )


def _read_close(fields: Fields) -> TooClose:
    return TooClose(
        a=_free(fields, "a"),
        b=_free(fields, "b"),
        gap=fields.number("gap", 0.0, _ANY, need=True),
        distance=_finite(fields, "distance"),
        why=_free(fields, "why", need=False),
    )


def _read_word(report: Report, where: str, node: Node, what: str) -> str:
    if not isinstance(node.value, str) or node.blank:
        report.add(node.line, node.column, where, f"{node.kind} where {what} is expected")
        return ""
    return node.value
