"""No name in a season leads out of its folder: not by a path, a link or the tool's own notes."""

import json
import os
from pathlib import Path

import pytest

from planner.season import FaultyFiles, Store, load
from planner.season.store import OWN, recover
from planner.season.store.changes import is_name
from planner.season.store.disk import StoreError

SETTINGS = "temperature: {file: NAME}\nplaces: [{lid: tub-2, width: 40, length: 28}]\n"
OUTSIDE = "the file must lie in the season's folder"


def season(folder, name):
    """A season beside a file that is none of its business."""
    (folder / "season").mkdir()
    (folder / "mine.csv").write_text("date,min,max\n2027-07-03,10,20\n")
    (folder / "season" / "season.yaml").write_text(SETTINGS.replace("NAME", name))
    return folder / "season"


@pytest.mark.parametrize(
    "name",
    ["../mine.csv", "a/../../mine.csv", "/etc/passwd", "'\\\\host\\mine.csv'", "'C:\\mine.csv'", "'..'"],
)
def test_a_path_that_leads_out_is_refused(tmp_path, name):
    with pytest.raises(FaultyFiles, match=OUTSIDE):
        load(season(tmp_path, name), ["monarch"])


@pytest.mark.parametrize("name", [".", "logs"])
def test_a_folder_is_no_file(tmp_path, name):
    folder = season(tmp_path, name)
    (folder / "logs").mkdir()
    with pytest.raises(FaultyFiles) as caught:
        load(folder, ["monarch"])
    assert str(caught.value) == f"season.yaml:1:21: temperature.file: '{name}' is a folder: name a file in it"


def test_a_link_that_leads_out_is_refused(tmp_path):
    folder = season(tmp_path, "temperatures.csv")
    (folder / "temperatures.csv").symlink_to(tmp_path / "mine.csv")
    with pytest.raises(FaultyFiles) as caught:
        load(folder, ["monarch"])
    assert str(caught.value) == f"season.yaml:1:21: temperature.file: 'temperatures.csv': {OUTSIDE}"


def test_a_folder_that_is_a_link_that_leads_out_is_refused(tmp_path):
    folder = season(tmp_path, "logger/mine.csv")
    (folder / "logger").symlink_to(tmp_path)
    with pytest.raises(FaultyFiles, match=OUTSIDE):
        load(folder, ["monarch"])


def test_a_link_within_the_season_and_a_season_reached_by_a_link_are_read(tmp_path):
    folder = season(tmp_path, "temperatures.csv")
    (folder / "summer.csv").write_text("date,min,max\n2027-07-03,10,20\n")
    (folder / "temperatures.csv").symlink_to("summer.csv")
    (tmp_path / "link").symlink_to(folder)
    assert load(tmp_path / "link", ["monarch"]).temperature_file == "temperatures.csv"


@pytest.mark.parametrize("name", ["", ".", "..", "a/b", "a\\b", "a\0b", "a\nb", "\ud800", 7, None])
def test_what_is_no_plain_name_is_no_file_of_a_season(name):
    assert not is_name(name)


@pytest.mark.parametrize("name", ["../mine.csv", "/etc/passwd", "..", "a/b", "\ud800"])
def test_a_journal_that_names_a_file_outside_is_not_carried_out(tmp_path, name):
    folder = season(tmp_path, "x.csv")
    (folder / OWN).mkdir()
    note = {"number": 1, "what": "add", "when": "2027-07-03T08:00:00+01:00", "files": [
        {"name": name, "before": None, "after": "0" * 64}]}  # fmt: skip
    (folder / OWN / "journal").write_text(json.dumps(note))
    with pytest.raises(StoreError, match=r"journal: is no note of a change: .* not the name of a file"):
        recover(folder)
    assert (tmp_path / "mine.csv").read_text() == "date,min,max\n2027-07-03,10,20\n"


def test_a_store_writes_nothing_outside(tmp_path):
    folder = season(tmp_path, "x.csv")
    store = Store(folder)
    with store.locked(), pytest.raises((StoreError, ValueError)):
        store.write("../mine.csv", b"taken", None)
    assert (tmp_path / "mine.csv").read_text() == "date,min,max\n2027-07-03,10,20\n"


@pytest.mark.skipif(os.name == "nt", reason="no such names there")
def test_a_folder_whose_name_is_no_line_of_text_names_a_season_that_is(tmp_path):
    folder = Path(os.fsdecode(os.fsencode(tmp_path) + b"/a\nb\xff"))
    folder.mkdir()
    (folder / "season.yaml").write_text("places: [{lid: tub-2, width: 40, length: 28}]\n")
    assert load(folder, ["monarch"]).name == "a\ufffdb\ufffd"


@pytest.mark.parametrize("sign", "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
def test_a_name_cannot_turn_the_text_behind_it(tmp_path, sign):
    # 'due 12' behind U+202E would be read as '21 eud'.
    folder = season(tmp_path, "x.csv")
    (folder / "season.yaml").write_text(
        f"season: 'Porch{sign}'\nplaces: [{{lid: tub-2, width: 9, length: 9}}]\n"
    )
    with pytest.raises(FaultyFiles) as caught:
        load(folder, ["monarch"])
    assert str(caught.value) == (
        "season.yaml:1:9: season: 'Porch\ufffd': write one line of visible characters"
    )


def test_arabic_hebrew_and_signs_of_several_letters_are_names(tmp_path):
    folder = season(tmp_path, "x.csv")
    for name in ("خط", "קו", "\N{BUTTERFLY}\N{ZERO WIDTH JOINER}\N{FIRE}", "Ré", "$x$ {0} %s"):
        (folder / "season.yaml").write_text(
            f"season: '{name}'\nplaces: [{{lid: tub-2, width: 9, length: 9}}]\n", encoding="utf-8"
        )
        assert load(folder, ["monarch"]).name == name
