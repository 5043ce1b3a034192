"""docs/files.md tells the keys, defaults and limits of a season's files as they are."""

import re
from pathlib import Path

import pytest

from planner.emergence import known_species, shipped, temperatures
from planner.record import slip, taken
from planner.season import load
from planner.season.lists import foreign_table, sketch
from planner.season.places import KINDS
from planner.season.places.read_places import STAND
from planner.season.plan import plan_file
from planner.season.plan.plan_file import KEYS as PLAN_KEYS
from planner.season.pupae import ADDED, COLUMNS, table
from planner.season.reading import yaml_text
from planner.season.reading.problems import FaultyFiles
from planner.season.settings import _HOURS, _PROFILE, KEYS
from planner.season.store import disk

FILES = (Path(__file__).parents[1] / "docs" / "files.md").read_text(encoding="utf-8")


def rows(heading):
    """Cells of the first table below a heading, without its head, by the key in the first cell."""
    part = FILES.split(f"\n## {heading}\n")[1].split("\n## ")[0]
    lines = [line for line in part.splitlines() if line.startswith("| `")]
    table = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
    return [(cells[0].strip("`"), *cells[1:]) for cells in table]


@pytest.mark.parametrize(
    ("heading", "keys"),
    [
        ("Settings", {k for k in KEYS if k not in ("keeper_reach", "temperature")}
         | {"keeper_reach.lowest", "keeper_reach.highest", "temperature.constant", "temperature.file",
            "temperature.column"}),
        *((f"{name.capitalize()}s", {name, *kind.keys, *STAND}) for name, kind in KINDS.items()),
        ("Species of your own", {*_PROFILE, *_HOURS, "word"}),
        ("pupae.csv", {*COLUMNS, *ADDED}),
        ("plan.yaml", set(PLAN_KEYS)),
    ],
    ids=lambda v: v if isinstance(v, str) else "",
)  # fmt: skip
def test_the_page_on_files_names_each_key_once(heading, keys):
    assert sorted(row[0] for row in rows(heading)) == sorted(keys)


LINE = {"line": "n", "length": "60", "height": "150", "clips_every": "4"}
BOARD = {"board": "b", "width": "60", "height": "40", "pins_every": "5", "bottom": "90"}
LID = {"lid": "t", "width": "40", "length": "28"}


def settings(heading, key, value):
    """A season.yaml that is sound but perhaps for one value."""
    place = dict({"Boards": BOARD, "Lids": LID}.get(heading, LINE))
    top = {"temperature": "{constant: 23}"}
    profile = {"lower": "10", "requirement": "130"}
    if heading == "Settings":
        outer, _, inner = key.partition(".")
        top[outer] = f"{{{inner}: {value}}}" if inner else value
    elif heading == "Species of your own":
        profile[key] = value
    else:
        place[key] = value
        if key in ("clip_width", "to_nearest"):
            del place["clips_every"]
        if key == "to_nearest":
            place["clip_width"] = "3"
        if key in ("length", "clips_every", "clip_width") and heading == "Lines":
            place["length"] = value if key == "length" else "5000"
        if key == "below":
            place |= {"height": "5000"} if heading == "Lines" else {"bottom": "5000"}
        if key == "pins_every":
            place |= {"width": "5000", "height": "5000"} if float(value) > 100 else {}

    def flow(pairs):
        return "{" + ", ".join(f"{k}: {v}" for k, v in pairs.items()) + "}"

    lines = [f"{k}: {v}" for k, v in top.items()]
    return "\n".join([*lines, f"profiles: {{moth: {flow(profile)}}}", "places:", f"  - {flow(place)}"])


def ranges():
    for heading in ("Settings", "Lines", "Boards", "Lids", "Species of your own"):
        for key, _, _, allowed, *_ in rows(heading):
            if match := re.match(r"(more than )?(-?[\d.]+)(?: to |, at most )(-?[\d.]+)", allowed):
                yield heading, key, bool(match[1]), match[2], match[3]


@pytest.mark.parametrize(("heading", "key", "above", "low", "high"), list(ranges()))
def test_the_page_on_files_allows_just_what_is_allowed(heading, key, above, low, high, tmp_path):
    def faulty(value):
        (tmp_path / "season.yaml").write_text(settings(heading, key, value), encoding="utf-8")
        try:
            load(tmp_path, known_species())
        except FaultyFiles as e:
            return any(re.split(r"[.:]", p.where)[-1] == key.split(".")[-1] for p in e.problems)
        return False

    step = 0.001
    lowest = str(float(low) + step) if above else low
    assert not faulty(lowest)
    assert not faulty(high)
    assert faulty(low if above else str(float(low) - step))
    assert faulty(str(float(high) + step))


def test_the_ranges_are_found_in_the_page():
    assert len(list(ranges())) >= 30


def test_the_page_on_files_lists_the_shipped_species():
    listed = {row[0]: row[1:] for row in rows("Species")}
    assert sorted(listed) == sorted(known_species())
    for key, (latin, lower, requirement) in listed.items():
        profile = shipped()[key]
        assert (latin.strip("*"), float(lower), float(requirement)) == (
            profile.latin, profile.lower, profile.requirement,
        )  # fmt: skip


# A season of which nothing is stated but a place.
BARE = "places:\n  - {lid: t, width: 40, length: 28}\n"
STATED = {
    "gap_days": lambda s: s.gap_days,
    "wing_reach": lambda s: s.wing_reach,
    "drop": lambda s: s.drop,
    "clearance": lambda s: s.clearance,
    "keeper_reach.lowest": lambda s: s.lowest,
    "keeper_reach.highest": lambda s: s.highest,
    "temperature.constant": lambda s: s.constant,
}


def test_the_defaults_of_the_page_on_files_are_in_force_where_nothing_is_stated(tmp_path):
    (tmp_path / "season.yaml").write_text(BARE, encoding="utf-8")
    season = load(tmp_path, known_species())
    told = {row[0]: row[2] for row in rows("Settings")}
    assert {key: float(told[key]) for key in STATED} == {key: get(season) for key, get in STATED.items()}
    assert (told["units"], told["timezone"], told["species"]) == ("cm", "UTC", "monarch")
    assert (season.units, season.timezone, season.species) == ("cm", "UTC", "monarch")


def test_the_page_on_files_tells_how_large_each_may_be():
    told = {file: [int(n.replace(",", "")) for n in re.findall(r"[\d,]*\d", most)]
            for file, most in re.findall(r"^\| (.+?) \| ([\d,]+ bytes.*) \|$", FILES, re.M)}  # fmt: skip
    assert told == {
        "`season.yaml`": [yaml_text.LARGEST, yaml_text.DEEPEST, yaml_text.MOST_ALIASED],
        "`learned.yaml`": [yaml_text.LARGEST],
        "`earlier.yaml`": [yaml_text.LARGEST],
        "`pupae.csv`": [table.LARGEST, table.MOST_COLUMNS, table.MOST_CELLS],
        "`temperatures.csv`": [temperatures.LARGEST, temperatures.MOST_FAULTS],
        "`plan.yaml`": [plan_file.LARGEST, yaml_text.MOST_VALUES],
        "a lid drawn for `add --sketch`": [sketch.LARGEST, sketch.MOST_ACROSS],
        "a table of yours for `add --csv`": [
            foreign_table.LARGEST, foreign_table.MOST_COLUMNS, foreign_table.MOST_ROWS
        ],
        "a slip for `take`": [slip.LARGEST, slip.MOST_EVENTS],
        "`taken.jsonl`": [taken.LARGEST],
        "anything in `.hangplan`": [disk.LARGEST],
    }  # fmt: skip
