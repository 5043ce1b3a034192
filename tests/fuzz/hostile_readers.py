"""Every reader of a file that somebody else may have written, as a function of bytes that must not raise.

Each lets pass the one kind of refusal that its commands turn into messages, checks what a refusal says, and
uses what was read as the commands do. All else that is raised is a fault of ours.
"""

from __future__ import annotations

import contextlib
import json
import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

from planner.emergence import learned_file
from planner.emergence.temperatures import how_read, parse_temperatures
from planner.record.own_table import remembered_in
from planner.record.refusal import Refused
from planner.record.slip import check_of, read_slips
from planner.record.take import State, take
from planner.record.taken import Log
from planner.record.taken import dump as dump_log
from planner.record.taken import parse as parse_log
from planner.report.calendar_file import announced, by_name
from planner.season import FaultyFiles, Season
from planner.season.lists import foreign_columns, foreign_table
from planner.season.lists.sketch import read_sketch
from planner.season.logger.layout import in_fahrenheit
from planner.season.places import Lid
from planner.season.plan import plan_file
from planner.season.pupae.record import Record, read_record
from planner.season.pupae.table import read_table
from planner.season.pupae.table_edits import append, change
from planner.season.reading.yaml_text import decode, read_yaml
from planner.season.settings import read_settings
from planner.season.store import OWN, recover
from planner.season.store.changes import dump as dump_change
from planner.season.store.changes import parse as parse_change
from planner.season.store.disk import StoreError
from planner.season.validate import validate
from planner.verify import verify

KNOWN = frozenset(("monarch", "painted-lady"))
LONGEST_LINE = 2000  # letters of one message
FOLDER = Path(tempfile.gettempdir()) / "no-season-of-that-name"
SETTINGS = b"""\
season: Porch
timezone: Europe/Lisbon
profiles: {monarch: {lower: 10, requirement: 130}}
places:
  - {line: north, length: 60, height: 150, clips_every: 4}
  - {line: south, length: 60, height: 120, clip_width: 3}
  - {board: cork, width: 60, height: 45, pins_every: 5, pattern: staggered, bottom: 90}
  - {lid: tub-2, width: 40, length: 28}
"""
PUPAE = b"""\
id,pupated,place,spot,x,y
m1,2027-07-01,tub-2,,5,5
m2,2027-07-01,north,8,,
m3,2027-07-03,cork,r2p5,,
"""


def told(refusal: FaultyFiles) -> None:
    """A refusal says something, one line for each problem, none without end."""
    assert refusal.problems
    for problem in refusal.problems:
        line = str(problem)
        assert len(line) <= LONGEST_LINE, line[:200]
        assert "\n" not in line, ascii(line)
        assert problem.line >= 0
        assert problem.column >= 0


def season_yaml(data: bytes) -> None:
    """``season.yaml``."""
    try:
        read_yaml(data, "season.yaml")
        settings, report = read_settings(data, FOLDER, KNOWN)
        problems = [*report.problems, *validate(settings, Record(None, (), (), ()), KNOWN)]
        if problems:
            raise FaultyFiles(problems)
    except FaultyFiles as e:
        told(e)


def pupae_csv(data: bytes) -> None:
    """``pupae.csv``; what was accepted is written back byte for byte, and a new row changes no other."""
    settings, _ = read_settings(SETTINGS, FOLDER, KNOWN)
    try:
        record = read_record(data, 1.0, "monarch")
        assert record.table is not None
        assert record.table.to_bytes() == data
        problems = [*record.problems, *validate(settings, record, KNOWN)]
        if problems:
            raise FaultyFiles(problems)
    except FaultyFiles as e:
        told(e)
        return
    row = {"id": "new-1", "pupated": "2027-07-03", "place": "tub-2", "note": '=1+1, "said"; so'}
    more = read_record(append(data, [row]), 1.0, "monarch")
    known = [replace(p, line=0) for p in record.pupae]
    assert [replace(p, line=0) for p in more.pupae][:-1] == known
    assert more.pupae[-1].note == row["note"]
    if known:
        marked = change(data, {known[0].id: {"note": "seen"}})
        others = [replace(p, line=0) for p in read_record(marked, 1.0, "monarch").pupae]
        assert others[1:] == known[1:]
        assert others[0] == replace(known[0], note="seen")


def table(data: bytes) -> None:
    """Any table that has the columns of ``pupae.csv``."""
    try:
        assert read_table(data).to_bytes() == data
    except FaultyFiles as e:
        told(e)


def temperatures_csv(data: bytes) -> None:
    """``temperatures.csv``; what was accepted has only temperatures that air has."""
    readings, problems = parse_temperatures(data, "temperatures.csv", "Europe/Lisbon", "us")
    in_fahrenheit(data)
    season = Season(folder=FOLDER, name="s", temperature_file="temperatures.csv", readings=data)
    for sentence in how_read(season):
        assert len(sentence) <= LONGEST_LINE
        assert sentence.isprintable(), ascii(sentence)
    if problems:
        told(FaultyFiles(problems))
    elif len(readings.start):
        assert bool((readings.end > readings.start).all())
        for side in (readings.low, readings.high):
            assert -60 <= side.min() <= side.max() <= 70
        assert bool((readings.degree_days(10.0, 33.0) >= 0).all())
        readings.day_means()
        readings.recent_mean()


def learned_yaml(data: bytes) -> None:
    """``learned.yaml``; what was accepted says the same when it is written."""
    try:
        entries = learned_file.parse(data)
    except FaultyFiles as e:
        told(e)
    else:
        again = learned_file.parse(learned_file.dump(entries))
        assert [(e.accepted, e.species, e.replaced_by) for e in again] == [
            (e.accepted, e.species, e.replaced_by) for e in entries
        ]


def plan_yaml(data: bytes) -> None:
    """``plan.yaml``; what was accepted says the same when it is written, and the verifier judges it."""
    try:
        plan = plan_file.parse(data)
    except FaultyFiles as e:
        told(e)
        return
    assert plan_file.parse(plan_file.dump(plan)) == plan
    for breach in verify(_season(), plan):
        assert breach.what


def _season() -> Season:
    settings, _ = read_settings(SETTINGS, FOLDER, KNOWN)
    return replace(settings.season, pupae=read_record(PUPAE, 1.0, "monarch").pupae)


def sketch(data: bytes) -> None:
    """A lid drawn in letters; what was accepted lies on the lid."""
    try:
        found = read_sketch(data, "lid.txt")
    except FaultyFiles as e:
        told(e)
    else:
        lid = Lid(name="tub-2", width=40, length=28)
        for one in found.drawn:
            x, y = found.point(one, lid)
            assert 0 <= x <= 40
            assert 0 <= y <= 28


def keeper_table(data: bytes) -> None:
    """A keeper's own table, read with and without a stated form of dates."""
    for pattern in ("", "DD/MM/YYYY", "MM.DD.YYYY"):
        try:
            found = foreign_table.read_foreign(data, "notes.csv")
            columns = foreign_columns.guess(found, ["tub-2", "tub-3"], pattern)
            rows = foreign_table.understand(found, columns, pattern, "tub-2")
        except FaultyFiles as e:
            told(e)
        else:
            assert all(1 <= row.count <= foreign_table.MOST_NUMBER for row in rows)
            assert all(row.pupated is None or row.pupated.day > date(1989, 1, 1) for row in rows)


def columns_json(data: bytes) -> None:
    """``.hangplan/columns.json``; what is remembered can be used."""
    with tempfile.TemporaryDirectory() as name:
        (Path(name) / OWN).mkdir()
        (Path(name) / OWN / "columns.json").write_bytes(data)
        remembered = remembered_in(Path(name))
    found = foreign_table.read_foreign(b"Date,Tub\n03/07/2027,tub-2\n", "notes.csv")
    for meaning in remembered.values():
        columns, dates = meaning["columns"], str(meaning.get("dates") or "")
        assert isinstance(columns, dict)
        if columns.keys() <= set(found.header):
            try:
                foreign_table.understand(found, columns, dates, "tub-2")
            except FaultyFiles as e:
                told(e)


def journal(data: bytes) -> None:
    """``.hangplan/journal``: understood or named, and nothing outside the season's folder is touched."""
    try:
        note = parse_change(data)
    except ValueError:
        pass
    else:
        assert parse_change(dump_change(note)) == note
    with tempfile.TemporaryDirectory() as name:
        season = Path(name) / "season"
        (season / OWN / "history").mkdir(parents=True)
        (season / OWN / "journal").write_bytes(data)
        (season / "pupae.csv").write_bytes(PUPAE)
        (Path(name) / "pupae.csv").write_bytes(b"mine")
        with contextlib.suppress(StoreError):
            recover(season)
        assert (Path(name) / "pupae.csv").read_bytes() == b"mine"
        assert sorted(p.name for p in Path(name).iterdir()) == ["pupae.csv", "season"]
        assert (season / "pupae.csv").read_bytes() == PUPAE


def calendar(data: bytes) -> None:
    """The calendar file that a new one replaces."""
    for day, kind in announced(by_name(replace(_season(), name="Porch")), data):
        assert day + timedelta(days=1) > date.min
        assert kind


def slip(data: bytes) -> None:
    """A phone's slip, as text or JSON; what was accepted is taken into a season, or refused by name."""
    _slip(data)
    _slip(_checked(data))


def _checked(data: bytes) -> bytes:
    """A slip in JSON with events that nobody has changed, by what it says: so their readers are reached."""
    try:
        found = json.loads(data)
        return json.dumps({**found, "slip": 1, "check": check_of(found["events"])}).encode()
    except (ValueError, TypeError, KeyError, RecursionError):
        return b""


def _slip(data: bytes) -> None:
    try:
        slips = read_slips(data, "slip.txt")
        state = State(_season(), PUPAE, Log())
        with tempfile.TemporaryDirectory() as name:
            (Path(name) / "season.yaml").write_bytes(SETTINGS)
            state = replace(state, season=replace(state.season, folder=Path(name)))
            taken_state = take(state, slips, datetime(2199, 1, 1)).state
    except Refused as e:
        _in_plain_lines(e)
    except FaultyFiles as e:
        told(e)
    else:
        assert parse_log(dump_log(taken_state.log)).by_id.keys() == taken_state.log.by_id.keys()


def _in_plain_lines(refusal: Refused) -> None:
    assert refusal.problems
    assert all(str(problem).isprintable() for problem in refusal.problems)


def taken_jsonl(data: bytes) -> None:
    """The log of what was taken."""
    try:
        log = parse_log(data)
    except FaultyFiles as e:
        told(e)
    else:
        assert parse_log(dump_log(log)) == log


def text(data: bytes) -> None:
    """What all readers begin with."""
    try:
        decode(data, "a file")
    except FaultyFiles as e:
        told(e)


READERS: dict[str, Callable[[bytes], None]] = {
    f.__name__: f
    for f in (
        season_yaml, pupae_csv, table, temperatures_csv, learned_yaml, plan_yaml, sketch, keeper_table,
        columns_json, journal, calendar, slip, taken_jsonl, text,
    )
}  # fmt: skip
