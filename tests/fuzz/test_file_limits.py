"""Files made to exhaust memory or patience: refused within seconds, and with little memory."""

import os
import re
import subprocess
import sys
import time
import tracemalloc
from pathlib import Path

import pytest
from hostile_readers import FOLDER, KNOWN, PUPAE

from planner.emergence import learned_file
from planner.emergence.temperatures import parse_temperatures
from planner.season import FaultyFiles, load
from planner.season.lists import foreign_table
from planner.season.lists.sketch import read_sketch
from planner.season.plan import plan_file
from planner.season.pupae import table
from planner.season.reading import yaml_text
from planner.season.settings import read_settings
from planner.season.store import recover
from planner.season.store.disk import LARGEST, StoreError, read_bytes
from planner.season.store.history import changes

SECONDS = 20.0  # of the processor on a slow machine; each takes one or two
MEGABYTES = 50


def refusal(read, data):
    """What a reader says of data that it must refuse in time."""
    began = time.process_time()
    with pytest.raises(FaultyFiles) as caught:
        read(data)
    assert time.process_time() - began < SECONDS
    return [str(p) for p in caught.value.problems]


def temperatures(data):
    _, problems = parse_temperatures(data, "temperatures.csv")
    if problems:
        raise FaultyFiles(problems)


def settings(data):
    _, report = read_settings(data, FOLDER, KNOWN)
    if report.problems:
        raise FaultyFiles(report.problems)


@pytest.mark.parametrize(
    ("read", "most"),
    [
        (settings, yaml_text.LARGEST),
        (learned_file.parse, yaml_text.LARGEST),
        (table.read_table, table.LARGEST),
        (temperatures, table.LARGEST),
        (lambda data: read_sketch(data, "lid.txt"), 1_000_000),
        (lambda data: foreign_table.read_foreign(data, "notes.csv"), foreign_table.LARGEST),
    ],
)
def test_a_line_of_fifty_megabytes_is_refused_by_its_length_alone(read, most):
    data = b"a" * (MEGABYTES * 1_000_000)
    tracemalloc.start()
    try:
        (line,) = refusal(read, data)
        assert tracemalloc.get_traced_memory()[1] < 1_000_000
    finally:
        tracemalloc.stop()
    assert line.endswith(f": the file is too long: at most {most} bytes are read")


def test_of_a_file_no_more_is_read_than_is_allowed(tmp_path):
    with (tmp_path / "season.yaml").open("wb") as file:
        file.truncate(MEGABYTES * 1_000_000)  # takes no room on the disk
    data = read_bytes(tmp_path, "season.yaml", 1000)
    assert data is not None
    assert len(data) == 1001


def test_a_line_as_long_as_may_be_is_no_line_of_a_plan():
    # One text of 5 MB where the plan's form should stand; the message quotes only its beginning.
    data = b"plan: " + b"a" * 5_000_000
    lines = refusal(plan_file.parse, data)
    assert f"plan.yaml:1:7: plan: '{'a' * 57}...' is not a whole number from 1 to 1000000" in lines


def test_aliases_that_double_forty_times_are_counted_not_expanded():
    data = "a0: &a0 [x, x]\n" + "".join(f"a{i}: &a{i} [*a{i - 1}, *a{i - 1}]\n" for i in range(1, 41))
    # a0 has 3 values with itself, each further one 1 + twice as many: *a10 alone would be
    # 4095, and 2 * 4095 + all before are more than 10,000.
    (line,) = refusal(settings, data.encode())
    assert line.startswith("season.yaml:12:")
    assert line.endswith("aliases expand to more than 10000 values")


@pytest.mark.parametrize("opening", ["[", "{a: ", "- ", "? ", "[{a: "])
def test_deep_nesting_is_refused_at_once(opening):
    lines = refusal(settings, b"places: " * (opening[0] in "[{") + opening.encode() * 40_000)
    assert len(lines) == 1


def test_a_plan_of_more_values_than_any_season_has_is_refused(monkeypatch):
    monkeypatch.setattr(yaml_text, "MOST_VALUES", 20_000)
    # The mapping, its key and the list are values too: the 19,998th a is one too many;
    # the first is in column 8.
    assert refusal(plan_file.parse, b"left: [" + b"a," * 30_000 + b"]") == [
        f"plan.yaml:1:{8 + 2 * 19_997}: more than 20000 values"
    ]


def test_settings_of_nothing_but_wrong_keys_are_refused_in_time():
    lines = refusal(settings, "".join(f"palces{i}: 1\n" for i in range(20_000)).encode())
    # 1,000 are told; of the 20,000 wrong keys and the missing ones the rest is counted.
    assert len(lines) == 1000
    assert re.fullmatch(r"season.yaml:\d+:\d+: and 19,\d\d\d more", lines[-1])


@pytest.mark.parametrize(
    ("data", "cells"),
    [
        (b"id,pupated,place" + b"," * 15_000_000, "too many columns"),
        (b"id,pupated,place\n" + b"\n" * 300_000, "too many rows"),
        (b"id,pupated,place" + b"," * 900 + b"\n" + b"a\n" * 60, "rows that a change would fill up"),
        (b"id,pupated,place\n" + b",,,,,,,,,,,,,,\n" * 20_000, "rows of nothing"),
    ],
)
def test_a_record_of_too_many_cells_is_refused(data, cells, monkeypatch):
    monkeypatch.setattr(table, "MOST_CELLS", 50_000)
    (line,) = refusal(table.read_table, data)
    expected = "pupae.csv: the table is too large: at most 1000 columns and 50000 cells are read"
    assert line == expected, cells


@pytest.mark.parametrize(
    "data", [b"Date" + b",a" * 2_000_000 + b"\n1\n", b"Date,Tub\n" + b"1,2\n" * 100_010, b"a," * 9_000_000]
)
def test_a_keepers_table_of_too_many_cells_is_refused(data):
    (line,) = refusal(lambda d: foreign_table.read_foreign(d, "notes.csv"), data)
    assert line.endswith("the table is too large: at most 1000 columns and 100000 rows are read")


@pytest.mark.parametrize("text", ["T" * 100_000, " T" * 50_000 + "x", "2027\n-07-03", "2027-07-03 12\n:30"])
def test_a_cell_that_is_no_date_is_known_as_none_at_once(text):
    began = time.process_time()
    for pattern in ("", "DD/MM/YYYY"):
        with pytest.raises(ValueError, match="is not a date: write 2027-07-03 or 2027-07-03T14:30"):
            foreign_table.parse_day(text, pattern)
    assert time.process_time() - began < SECONDS


def test_a_line_of_a_sketch_is_gone_over_once():
    data = b"a = 2027-07-03" + b" " * 400_000 + b"x\n" + b" " * 400_000 + b"b\n"
    assert len(refusal(lambda d: read_sketch(d, "lid.txt"), data)) >= 1


def test_another_file_in_place_of_the_temperatures_is_given_up_after_a_thousand_faults():
    lines = refusal(temperatures, b"date,min,max\n" + b"2027-07-03,a,b\n" * 100_000)
    # two in each row, so the 501st row is not read
    assert lines[-1] == "temperatures.csv:502:1: 1000 faults: the rest was not read"
    assert len(lines) == 1001


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
@pytest.mark.parametrize("name", ["season.yaml", "pupae.csv", "temperatures.csv"])
def test_a_pipe_in_place_of_a_file_is_not_waited_for(tmp_path, name):
    (tmp_path / "season.yaml").write_text(
        "temperature: {file: temperatures.csv}\nplaces: [{lid: tub-2, width: 40, length: 28}]\n"
    )
    (tmp_path / "pupae.csv").write_bytes(PUPAE.splitlines()[0])
    (tmp_path / "temperatures.csv").write_text("date,min,max\n2027-07-03,10,20\n")
    (tmp_path / name).unlink()
    os.mkfifo(tmp_path / name)
    code = "import sys; from planner.cli import main; sys.argv = ['hangplan', 'check', sys.argv[1]]; main()"
    said = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path)], capture_output=True, text=True, timeout=180, check=False
    )
    assert said.returncode == 1
    assert f"{name}: cannot be read: Not a file" in said.stderr


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_no_note_of_the_program_s_own_is_waited_for_or_read_without_end(tmp_path):
    history = tmp_path / ".hangplan" / "history"
    history.mkdir(parents=True)
    os.mkfifo(history / "000007.change")
    assert changes(history) == []
    journal = tmp_path / ".hangplan" / "journal"
    os.mkfifo(journal)
    with pytest.raises(StoreError, match="journal: cannot be read: Not a file"):
        recover(tmp_path)
    journal.unlink()
    with journal.open("wb") as file:
        file.truncate(LARGEST + 1)  # takes no room on the disk
    with pytest.raises(StoreError, match="journal: no file of a season has more than 100000000 bytes"):
        recover(tmp_path)


def test_a_season_in_a_folder_of_links_in_a_circle_is_refused(tmp_path):
    (tmp_path / "temperatures.csv").symlink_to("temperatures.csv")
    (tmp_path / "season.yaml").write_text(
        "temperature: {file: temperatures.csv}\nplaces: [{lid: tub-2, width: 40, length: 28}]\n"
    )
    with pytest.raises(FaultyFiles, match="the file must lie in the season's folder"):
        load(Path(tmp_path), ["monarch"])


def test_of_thousands_of_faulty_rows_a_thousand_faults_are_told_and_the_rest_is_counted(tmp_path):
    (tmp_path / "season.yaml").write_text("season: s\nplaces:\n  - {lid: t, width: 40, length: 28}\n")
    rows = "".join(f"x{n},2027-02-30,nowhere\n" for n in range(3000))  # two faults each
    (tmp_path / "pupae.csv").write_text(f"id,pupated,place\n{rows}")
    with pytest.raises(FaultyFiles) as refused:
        load(tmp_path, {"monarch"})
    told = refused.value.problems
    assert len(told) == 1001
    assert (told[-1].line, told[-1].what) == (
        502,
        "and 5,000 more",
    )  # two of each of the rows 2 to 501 are told
