import math
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st
from tries import tries

from planner.season import FaultyFiles, Hang, Level, Move, Plan, Stuck, TooClose, Waits
from planner.season.plan.plan_file import dump, parse, read

T = datetime(2027, 7, 3, 8)
PLAN = Plan(
    on=T,
    gap_days=2,
    settings={"wing_reach": 10, "drop": 20.5},
    inputs={"season.yaml": "00e1", "pupae.csv": "12e3"},
    proof=(
        Level(name="clashes", value=0, bound=0, proved=True),
        Level(name="smallest gap", value=None, bound=None, proved=False),
    ),
    hangs=(
        Hang(pupa="m1", place="north", spot="36", x=36, y=0, due=date(2027, 7, 15), from_place="tub-2"),
        Hang(pupa="m2", place="cork", spot="r2p5", x=25.0, y=37.5, due=date(2027, 7, 14)),
        Hang(pupa="m3", place="tub 3", spot="?"),
    ),
    moves=(
        Move(
            step=1, pupa="m1", from_place="tub-2", from_spot="?", to_place="north", to_spot="36",
            not_before=datetime(2027, 7, 4), not_after=datetime(2027, 7, 14, 12, 30),
        ),
        Move(
            step=3, pupa="m2", from_place="cork", from_spot="r1p1", to_place="cork", to_spot="r2p5",
            not_before=datetime(2027, 7, 4), not_after=datetime(2027, 7, 14), after=(1, 2),
        ),
    ),
    clashes=(TooClose(a="m2", b="m3", gap=0.5, distance=None),),
    waiting=(TooClose(a="m2", b="m4", gap=1, distance=7.25, why="until m4 is firm"),),
    left=("m4", "no"),
    stuck=(Stuck(pupa="m5", why="would change places with m6: no spot is free"),),
    waits=(Waits(pupa="m4", until=datetime(2027, 7, 5)),),
)  # fmt: skip

TEXT = """\
# The plan in force, written by hangplan: make a new one rather than change it.
# Lengths in cm, in each place's own frame; times are local.
plan: 2
'on': 2027-07-03T08:00:00
gap_days: 2
settings:
  wing_reach: 10
  drop: 20.5
inputs:
  "season.yaml": "00e1"
  "pupae.csv": "12e3"
proof:
  - {name: clashes, value: 0, bound: 0, proved: true}
  - {name: "smallest gap", value: null, bound: null, proved: false}
hangs:
  - {pupa: m1, place: north, spot: "36", x: 36, y: 0, due: 2027-07-15, from: tub-2}
  - {pupa: m2, place: cork, spot: r2p5, x: 25, y: 37.5, due: 2027-07-14}
  - {pupa: m3, place: "tub 3", spot: "?"}
moves:
  - {step: 1, pupa: m1, from: tub-2, from_spot: "?", to: north, to_spot: "36", \
not_before: 2027-07-04T00:00:00, not_after: 2027-07-14T12:30:00}
  - {step: 3, pupa: m2, from: cork, from_spot: r1p1, to: cork, to_spot: r2p5, \
not_before: 2027-07-04T00:00:00, not_after: 2027-07-14T00:00:00, after: [1, 2]}
clashes:
  - {a: m2, b: m3, gap: 0.5}
waiting:
  - {a: m2, b: m4, gap: 1, distance: 7.25, why: "until m4 is firm"}
left:
  - m4
  - "no"
stuck:
  - {pupa: m5, why: "would change places with m6: no spot is free"}
waits:
  - {pupa: m4, until: 2027-07-05T00:00:00}
end: whole
"""


def test_a_plan_is_one_line_per_pupa():
    assert dump(PLAN).decode() == TEXT


def test_a_risk_and_its_benefit_are_kept():
    plan = Plan(
        on=T, gap_days=0, hangs=(), settings={"risk": 0.02}, drying={"as_planned": 0.1, "as_found": 3.25}
    )
    text = dump(plan).decode()
    assert "settings:\n  risk: 0.02\ndrying:\n  as_planned: 0.1\n  as_found: 3.25\n" in text
    assert parse(dump(plan)) == plan
    assert plan.too_near == "more than 2 % likely to dry their wings together"


def test_what_is_told_of_neighbours_beside_the_levels_is_kept():
    plan = Plan(on=T, gap_days=2, hangs=(), neighbours={"smallest_gap": 2.0417, "close": 3})
    assert (
        "settings: {}\nneighbours:\n  smallest_gap: 2.0417\n  close: 3\ninputs: {}\n" in dump(plan).decode()
    )
    assert parse(dump(plan)) == plan


def test_the_reason_and_the_ways_out_are_kept_in_words():
    plan = Plan(
        on=T, gap_days=2, hangs=(), reason=("m1: too close, 2 of 3.",), ways_out=("no", "a gap: 1 day")
    )
    text = dump(plan).decode()
    assert text.endswith(
        'reason:\n  - "m1: too close, 2 of 3."\nways_out:\n  - "no"\n  - "a gap: 1 day"\nend: whole\n'
    )
    assert parse(dump(plan)) == plan


def test_what_was_written_is_read_back():
    assert parse(dump(PLAN)) == PLAN
    assert parse(dump(Plan(on=T, gap_days=1.5, hangs=()))) == Plan(on=T, gap_days=1.5, hangs=())


def test_other_programs_get_the_same_values_from_it():
    data = yaml.safe_load(dump(PLAN))
    assert data["on"] == T
    assert data["hangs"][0] == {
        "pupa": "m1", "place": "north", "spot": "36", "x": 36, "y": 0, "due": date(2027, 7, 15),
        "from": "tub-2",
    }  # fmt: skip
    assert data["inputs"] == {"season.yaml": "00e1", "pupae.csv": "12e3"}
    assert data["left"] == ["m4", "no"]


def test_there_may_be_no_plan_yet(tmp_path):
    assert read(tmp_path) is None
    (tmp_path / "plan.yaml").write_bytes(dump(PLAN))
    assert read(tmp_path) == PLAN


# What a careless writer would turn into a number, a date, a yes, nothing, or no YAML at all.
TRAPS = (
    "36", "1e3", "0x1F", "012", "1_000", "12:30", "2027-07-03", "no", "Y", "~", "null", "True", ".inf", "=",
    "<<", "", " ", "a b", "- a", "a: b", "#a", "{}", "'", '"', "\\", "\n", "\x85",
    "\u2028", "\ufeff", "\x00", "\x7f",
)  # fmt: skip
words = st.sampled_from(TRAPS) | st.text(st.characters(codec="utf-8"), max_size=12)
numbers = st.floats(-1e300, 1e300).filter(math.isfinite)
days = st.dates(date(1990, 1, 1), date(2200, 12, 31))
times = st.datetimes(datetime(1990, 1, 1), datetime(2200, 12, 31))
pairs = st.builds(TooClose, a=words, b=words, gap=numbers, distance=st.none() | numbers, why=words)
plans = st.builds(
    Plan,
    on=times,
    gap_days=st.floats(0, 1e6),
    settings=st.dictionaries(words, numbers, max_size=3),
    inputs=st.dictionaries(words, words, max_size=3),
    proof=st.lists(
        st.builds(
            Level, name=words, value=st.none() | numbers, bound=st.none() | numbers, proved=st.booleans()
        ),
        max_size=2,
    ).map(tuple),
    hangs=st.lists(
        st.builds(
            Hang, pupa=words, place=words, spot=words, x=st.none() | numbers, y=st.none() | numbers,
            due=st.none() | days, from_place=st.none() | words,
        ),
        max_size=3,
    ).map(tuple),
    moves=st.lists(
        st.builds(
            Move, step=st.integers(1, 10**6), pupa=words, from_place=words, from_spot=words, to_place=words,
            to_spot=words, not_before=times, not_after=times,
            after=st.lists(st.integers(1, 10**6), max_size=3).map(tuple),
        ),
        max_size=2,
    ).map(tuple),
    clashes=st.lists(pairs, max_size=2).map(tuple),
    waiting=st.lists(pairs, max_size=2).map(tuple),
    left=st.lists(words, max_size=3).map(tuple),
    stuck=st.lists(st.builds(Stuck, pupa=words, why=words), max_size=2).map(tuple),
    waits=st.lists(st.builds(Waits, pupa=words, until=times), max_size=2).map(tuple),
)  # fmt: skip


@tries(40)
@given(plans)
def test_any_plan_is_read_back_as_it_was(plan):
    assert parse(dump(plan)) == plan


@tries(30)
@given(plans)
def test_any_plan_gives_other_programs_its_texts_as_texts_and_its_numbers_as_numbers(plan):
    data = yaml.safe_load(dump(plan))
    assert data["on"] == plan.on
    assert data["inputs"] == plan.inputs
    assert data["settings"] == plan.settings
    assert data["left"] == list(plan.left)
    for one, hang in zip(data["hangs"], plan.hangs, strict=True):
        assert (one["pupa"], one["place"], one["spot"]) == (hang.pupa, hang.place, hang.spot)
        assert (one.get("x"), one.get("y"), one.get("due")) == (hang.x, hang.y, hang.due)
        assert one.get("from") == hang.from_place


def test_what_no_reader_could_read_is_not_written():
    with pytest.raises(ValueError, match="inf is not a finite number"):
        dump(Plan(on=T, gap_days=math.inf, hangs=()))
    with pytest.raises(ValueError, match="is not in local time"):
        dump(Plan(on=datetime(2027, 7, 3, tzinfo=UTC), gap_days=2, hangs=()))


FAULTS = {
    "an empty file": ("", [" the file is empty"]),
    "a file that breaks off": (
        TEXT[: TEXT.index(", due")],
        ["17:1: a ',' or '}' is missing in the mapping opened in line 16"],
    ),
    "a newer form": (
        TEXT.replace("plan: 2", "plan: 3"),
        ["3:7: plan: 3: the file was written by a newer hangplan; this one reads up to 2"],
    ),
    "no moment": (TEXT.replace("'on'", "at"), ["3:1: on: is missing", "4:1: unknown key 'at'"]),
    "a moment of another zone": (
        TEXT.replace("T08:00:00", "T08:00:00Z"),
        ["4:7: on: '2027-07-03T08:00:00Z' is not a local time: write 2027-07-03T08:00:00"],
    ),
    "several faults": (
        TEXT.replace("x: 36,", "x: left,")
        .replace("proved: true", "proved: perhaps")
        .replace("pupa: m3, ", ""),
        [
            "13:49: proof[0].proved: 'perhaps': write yes or no",
            "16:45: hangs[0].x: 'left' is not a number",
            "18:5: hangs[2].pupa: is missing",
        ],
    ),
    "a list among those left": (
        TEXT.replace("  - m4", "  - [m4]"),
        ["27:5: left[0]: a list where a pupa's id is expected"],
    ),
    "steps that are no numbers": (
        TEXT.replace("after: [1, 2]", "after: [1, two, 0]"),
        [
            "21:155: moves[1].after[1]: 'two' is not a whole number from 1 to 1000000",
            "21:160: moves[1].after[2]: '0' is not a whole number from 1 to 1000000",
        ],
    ),
}


@pytest.mark.parametrize(("text", "lines"), FAULTS.values(), ids=FAULTS)
def test_a_damaged_plan_is_reported(text, lines):
    with pytest.raises(FaultyFiles) as caught:
        parse(text.encode())
    assert [str(p) for p in caught.value.problems] == [f"plan.yaml:{line}" for line in lines]


def test_a_plan_cut_off_anywhere_is_refused():
    whole = dump(replace(PLAN, drying={"as_planned": 0.1}, reason=("m1: too close.",), ways_out=("a gap",)))
    for length in range(len(whole) - 1):  # without its last line end it still says everything
        with pytest.raises(FaultyFiles):
            parse(whole[:length])
    parse(whole[:-1])


def test_a_plan_of_before_there_was_a_last_line_is_read_but_whatever_was_always_written_is_asked_for():
    old = TEXT.replace("plan: 2", "plan: 1").replace("end: whole\n", "")
    assert parse(old.encode()) == PLAN
    lines = old.splitlines(keepends=True)
    for number in range(lines.index("left:\n") + 1):  # behind it come lists that need not be there
        with pytest.raises(FaultyFiles):
            parse("".join(lines[:number]).encode())
    with pytest.raises(FaultyFiles) as caught:
        parse(old[: old.index("hangs:")].encode())
    assert [str(p) for p in caught.value.problems] == [
        f"plan.yaml:3:1: {key}: is missing" for key in ("clashes", "hangs", "left", "moves", "waiting")
    ]


def test_a_plan_without_its_last_line_is_told_to_be_cut_off():
    with pytest.raises(FaultyFiles) as caught:
        parse(TEXT.removesuffix("end: whole\n").encode())
    assert [str(p) for p in caught.value.problems] == [
        "plan.yaml:3:1: end: the file was cut off: its last line is 'end: whole', and it has no such line"
    ]
