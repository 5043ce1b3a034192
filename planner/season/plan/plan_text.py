"""A plan as the text of ``plan.yaml``: one line per pupa.

Every text is in quotes that YAML could take for a number, a date or a yes, so that any reader gets the same
values from it.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterable
from datetime import datetime

from planner.season.plan.plan_record import Changed, Hang, Kept, Level, Move, Plan, TooClose

FORM = 2
END = "end: whole"  # the last line: without it the file was cut off
_HEAD = """\
# The plan in force, written by hangplan: make a new one rather than change it.
# Lengths in cm, in each place's own frame; times are local.
"""
_BARE = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
_WORDS = {"y", "n", "yes", "no", "on", "off", "true", "false", "null"}
# JSON leaves these as they are; YAML does not allow them, or takes them for line ends.
_UNPRINTABLE = re.compile("[\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")


def dump(plan: Plan) -> bytes:
    """The file's bytes. Numbers must be finite and times local, or ValueError is raised."""
    lines = [f"plan: {FORM}", f"'on': {_time(plan.on)}", f"gap_days: {_number(plan.gap_days)}"]
    lines += _block("settings", (f"  {_text(k)}: {_number(v)}" for k, v in plan.settings.items()), "{}")
    if plan.drying:
        lines += _block("drying", (f"  {_text(k)}: {_number(v)}" for k, v in plan.drying.items()), "{}")
    if plan.neighbours:
        numbers = (f"  {_text(k)}: {_number(v)}" for k, v in plan.neighbours.items())
        lines += _block("neighbours", numbers, "{}")
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
    if plan.hoped:
        lines += _block("hoped", map(_kept, plan.hoped))
    if plan.changed:
        lines += _block("changed", map(_changed, plan.changed))
    if plan.void:
        lines.append(f"void: {_numbers(plan.void)}")
    for key, texts in (("reason", plan.reason), ("ways_out", plan.ways_out)):
        lines += _block(key, (f"  - {_text(t)}" for t in texts)) if texts else []
    return (_HEAD + "\n".join([*lines, END]) + "\n").encode("utf-8")


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
        ("after", _numbers(move.after) if move.after else None),
    )


def _kept(kept: Kept) -> str:
    return _flow(
        ("for", _text(kept.who)),
        ("place", _text(kept.place)),
        ("spot", _text(kept.spot)),
        ("since", _time(kept.since)),
        ("due", kept.due.isoformat()),
        ("chance", _maybe(kept.chance)),
        ("latest", None if kept.latest is None else _time(kept.latest)),
    )


def _changed(one: Changed) -> str:
    return _flow(("pupa", _text(one.pupa)), ("place", _text(one.place)), ("spot", _text(one.spot)))


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


def _numbers(numbers: Iterable[int]) -> str:
    return f"[{', '.join(map(str, numbers))}]"


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
