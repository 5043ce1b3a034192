"""Folders and files that are missing, unreadable, cut off or scrambled: problems, never a crash."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given
from hypothesis import strategies as st
from tries import tries

import planner
from planner.season import FaultyFiles, load

LID = "places: [{lid: tub, width: 40, length: 28}]\n"
STARTER = Path(planner.__file__).parent / "cli" / "starter" / "season.yaml"


def test_a_missing_folder_is_one_problem(tmp_path):
    with pytest.raises(FaultyFiles) as caught:
        load(tmp_path / "porch", ["monarch"])
    assert str(caught.value) == f"{tmp_path / 'porch'}: there is no such folder"


def test_a_file_for_a_folder_is_one_problem(tmp_path):
    file = tmp_path / "season.yaml"
    file.write_text(LID)
    with pytest.raises(FaultyFiles) as caught:
        load(file, ["monarch"])
    assert str(caught.value) == f"{file}: is not a folder: a season is a folder"


def test_a_folder_without_settings_is_one_problem(tmp_path):
    with pytest.raises(FaultyFiles) as caught:
        load(tmp_path, ["monarch"])
    assert str(caught.value) == (
        f"season.yaml: there is no such file in {tmp_path}: 'hangplan new' writes one to start from"
    )


@pytest.mark.parametrize("name", ["season.yaml", "pupae.csv"])
def test_a_file_that_cannot_be_read_is_one_problem(tmp_path, name):
    (tmp_path / "season.yaml").write_text(LID)
    (tmp_path / name).unlink(missing_ok=True)
    (tmp_path / name).mkdir()
    with pytest.raises(FaultyFiles) as caught:
        load(tmp_path, ["monarch"])
    assert str(caught.value) == f"{name}: cannot be read: Is a directory"


def test_a_record_cut_off_anywhere_is_read_or_reported_but_never_a_crash(season_of):
    settings = LID.encode()
    rows = 'id,pupated,place,x,y,note\nm1,2027-07-03,tub,3,4,"é ""x"""\nm2,2027-07-04,tub,,,\n'.encode()
    outcomes = set()
    for end in range(len(rows)):
        try:
            outcomes.add(len(season_of(settings, rows[:end]).pupae))
        except FaultyFiles:
            outcomes.add("reported")
    assert outcomes == {0, 1, 2, "reported"}


def test_settings_cut_off_anywhere_are_read_or_reported_but_never_a_crash(season_of):
    text = STARTER.read_bytes()
    outcomes = set()
    for end in range(0, len(text), 17):
        try:
            season_of(text[:end])
            outcomes.add("read")
        except FaultyFiles:
            outcomes.add("reported")
    assert outcomes == {"read", "reported"}


TRICKS = [b"{", b"[", b"&a ", b"*a", b"!!int ", b"? ", b": ", b"- ", b"\n", b"\r", b'"', b"'", b"|", b"1e999"]
# At a place, so many bytes are replaced by others.
noise = st.binary(max_size=8) | st.sampled_from(TRICKS)
scrambles = st.tuples(
    st.integers(0, 4000), st.integers(0, 20), st.binary(max_size=8) | st.sampled_from(TRICKS)
)
anything = tries(50, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])


def scramble(data, where):
    at, length, new = where
    at %= len(data)
    return data[:at] + new + data[at + length :]


def problems(season_of, *files):
    try:
        season_of(*files)
    except FaultyFiles as e:
        return e.problems
    return ()


@anything
@given(scrambles, scrambles)
def test_scrambled_settings_are_read_or_reported_in_single_lines(season_of, one, other):
    found = problems(season_of, scramble(scramble(STARTER.read_bytes(), one), other))
    assert all(p.file == "season.yaml" and p.what and "\n" not in str(p) for p in found)


@anything
@given(scrambles, scrambles)
def test_a_scrambled_record_is_read_or_reported_in_single_lines(season_of, one, other):
    rows = b"id,species,pupated,place,spot,x,y,hung,stay,darkening,outcome,ended,note\n"
    rows += b"m1,,2027-07-03,tub,,3,4,,,,,,\n"
    rows += b"m2,monarch,2027-07-03,tub,,5,6,,yes,2027-07-13,emerged,2027-07-14,x\n"
    found = problems(season_of, LID, scramble(scramble(rows, one), other))
    assert all(p.file == "pupae.csv" and p.what and "\n" not in str(p) for p in found)
