"""``plan.yaml``: the plan in force, as it is read. Only the tool writes it; people and programs read it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path

from planner.season.plan.plan_record import Changed, Hang, Kept, Level, Move, Plan, Stuck, TooClose, Waits
from planner.season.plan.plan_text import END, FORM, dump
from planner.season.reading.fields import Fields, Range, Report
from planner.season.reading.problems import FaultyFiles, shorten
from planner.season.reading.yaml_text import Node, read_yaml
from planner.season.store.disk import read_bytes

__all__ = ["FILE", "KEYS", "LARGEST", "dump", "parse", "read"]

FILE = "plan.yaml"
LARGEST = 64_000_000  # bytes
KEYS = (
    "plan", "on", "gap_days", "settings", "drying", "neighbours", "inputs", "proof", "hangs", "moves",
    "clashes", "waiting", "left", "stuck", "waits", "kept", "hoped", "changed", "void", "reason", "ways_out",
    "end",
)  # fmt: skip
_ALWAYS = ("settings", "inputs", "proof", "hangs", "moves", "clashes", "waiting", "left")  # in every form
_LONGEST = 20_000  # characters; a reason may name many pupae
_ANY = Range(-1e300, 1e300)


def read(folder: Path) -> Plan | None:
    """The plan in force, or None where there is no file. Raises FaultyFiles."""
    data = read_bytes(folder, FILE, LARGEST)
    return None if data is None else parse(data)


def parse(data: bytes) -> Plan:
    """Read what ``dump`` wrote. Raises FaultyFiles with all problems."""
    report = Report(FILE)
    top = Fields(report, read_yaml(data, FILE, LARGEST), "", KEYS)
    _whole(top, top.form("plan", FORM, "the file was written"))
    settings, inputs = top.mapping("settings", None), top.mapping("inputs", None)
    drying, neighbours = top.mapping("drying", None), top.mapping("neighbours", None)
    plan = Plan(
        on=_moment(top, "on"),
        gap_days=top.number("gap_days", 0.0, Range(0, 1e6, "days"), need=True),
        settings={k: settings.number(k, 0.0, _ANY, need=True) for k in settings.map},
        drying={k: drying.number(k, 0.0, _ANY, need=True) for k in drying.map},
        neighbours={k: neighbours.number(k, 0.0, _ANY, need=True) for k in neighbours.map},
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
        kept=tuple(_read_kept(f) for f in _each(top, "kept", _KEPT)),
        hoped=tuple(_read_kept(f) for f in _each(top, "hoped", _KEPT)),
        changed=tuple(
            Changed(pupa=_free(f, "pupa"), place=_free(f, "place"), spot=_free(f, "spot"))
            for f in _each(top, "changed", ("pupa", "place", "spot"))
        ),
        void=tuple(top.integers("void", 1, _STEPS)),
        reason=tuple(_read_word(report, *item, "a sentence") for item in top.items("reason")),
        ways_out=tuple(_read_word(report, *item, "a sentence") for item in top.items("ways_out")),
    )
    if report.problems:
        raise FaultyFiles(report.problems)
    return plan


def _whole(top: Fields, form: int) -> None:
    """Ask for all that is always written: in a file cut off, what is missing would be taken for none.

    Form 1 had no last line of its own, so of it only the lists that come last may be cut unseen.
    """
    for key in _ALWAYS:
        if not top.has(key):
            top.fault(key, "is missing")
    if form >= _CLOSED and (last := top.text("end", "", free=True)) != END.partition(": ")[2]:
        said = f"ends with '{shorten(last)}'" if last else "has no such line"
        top.fault("end", f"the file was cut off: its last line is '{END}', and it {said}")


_CLOSED = 2  # from this form on a last line closes the file
_MOVE = ("step", "pupa", "from", "from_spot", "to", "to_spot", "not_before", "not_after", "after")
_STEPS = 10**6
_CLOSE = ("a", "b", "gap", "distance", "why")
_KEPT = ("for", "place", "spot", "since", "due", "chance", "latest")
_NEVER = datetime(1990, 1, 1)


def _each(top: Fields, key: str, known: tuple[str, ...]) -> Iterator[Fields]:
    for where, node in top.items(key):
        yield Fields(top.report, node, where, known)


def _free(fields: Fields, key: str, default: str = "", *, need: bool = True) -> str:
    """Any text, as it was dumped: no name or sentence of ours is longer than ``_LONGEST``."""
    text = fields.text(key, default, need=need, free=True)
    if len(text) <= _LONGEST:
        return text
    fields.fault(key, f"'{shorten(text)}' has {len(text)} characters: at most {_LONGEST} are allowed")
    return default


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
        chance=fields.number("chance", None, Range(0, 1)),
        latest=_moment(fields, "latest") if fields.has("latest") else None,
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
    if len(node.value) > _LONGEST:
        long = f"'{shorten(node.value)}' has {len(node.value)} characters: at most {_LONGEST} are allowed"
        report.add(node.line, node.column, where, long)
        return ""
    return node.value
