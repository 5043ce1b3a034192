"""Files as damage, malice and spreadsheets make them: read, or refused in plain lines, and nothing else."""

import random
from pathlib import Path

import pytest
from hostile_mutations import mutated
from hostile_readers import READERS
from hypothesis import HealthCheck, example, given
from hypothesis import strategies as st
from tries import tries

from planner.season import FaultyFiles
from planner.season.lists import foreign_columns, foreign_table

CORPUS = Path(__file__).parent / "corpus"
FILES = {name: sorted((CORPUS / name).iterdir()) for name in READERS}
LARGE = [HealthCheck.too_slow, HealthCheck.data_too_large]


@pytest.mark.parametrize("name", READERS)
def test_every_file_of_the_corpus_is_read_or_refused(name):
    assert FILES[name]
    for file in FILES[name]:
        READERS[name](file.read_bytes())


@pytest.mark.parametrize("name", READERS)
@tries(40, suppress_health_check=LARGE)
@given(data=st.binary(max_size=300))
@example(data=b"")
@example(data=b"\xef\xbb\xbf")
@example(data=b"\n" * 50)
@example(data=b"[" * 3000)
@example(data=b"- " * 3000)
@example(data=b'"' * 3000)
@example(data=b"a," * 3000)
def test_bytes_of_any_kind_are_read_or_refused(name, data):
    READERS[name](data)


@pytest.mark.parametrize("name", READERS)
@tries(80, suppress_health_check=LARGE)
@given(seed=st.integers(0, 2**32))
def test_sound_files_with_damage_are_read_or_refused(name, seed):
    READERS[name](mutated([f.read_bytes() for f in FILES[name]], random.Random(seed)))


@pytest.mark.parametrize("name", ["pupae_csv", "table", "keeper_table", "temperatures_csv", "sketch"])
@tries(40, suppress_health_check=LARGE)
@given(
    cells=st.lists(
        st.lists(st.text(st.characters(blacklist_categories=["Cs"]), max_size=12), max_size=8), max_size=8
    ),
    cut=st.sampled_from(",;\t"),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
    head=st.sampled_from(
        ["", "id,pupated,place", "date,min,max", "time,temperature", "Date,Tub", "lid: tub-2"]
    ),
)
def test_tables_of_any_words_are_read_or_refused(name, cells, cut, end, head):
    rows = [head.replace(",", cut), *(cut.join(row) for row in cells)]
    READERS[name](end.join(rows).encode())


@pytest.mark.parametrize("wanted", ["a b", "zzz"])
def test_a_column_s_name_of_two_lines_is_quoted_in_one(wanted):
    table = foreign_table.read_foreign(b'"a\nb",Tub\n1,2\n', "notes.csv")
    with pytest.raises(ValueError, match="has no column") as caught:
        foreign_columns.stated(f"{wanted}=pupated", table)
    assert "a\ufffdb" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_the_readers_here_do_fail_where_a_reader_raises_something_else(monkeypatch):
    # A harness that swallowed everything would find nothing.
    monkeypatch.setattr("hostile_readers.read_sketch", lambda *_: {}["x"])
    with pytest.raises(KeyError):
        READERS["sketch"](b"")
    monkeypatch.setattr("hostile_readers.decode", lambda *_: (_ for _ in ()).throw(FaultyFiles([])))
    with pytest.raises(AssertionError):
        READERS["text"](b"")
