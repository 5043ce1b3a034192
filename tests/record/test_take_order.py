"""Events of three phones in whatever order they come: the season is that of time, or a conflict is told."""

from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from slip_world import event, marked, moved, recorded, slip
from tries import tries

from planner.emergence import known_species
from planner.record.refusal import Refused
from planner.record.slip import read_slips
from planner.record.take import State, take
from planner.record.taken import Log
from planner.season.load import load
from planner.season.pupae import table

NOW = datetime(2027, 7, 13, 12)
SETTINGS = """\
season: Porch
temperature: {constant: 23}
profiles: {monarch: {lower: 10, requirement: 130}}
places:
  - {line: north, length: 60, height: 150, clips_every: 4}
  - {lid: tub-2, width: 40, length: 28}
"""
# m1 to m3 are firm from 3 July and may darken from 10 July 12:00 on; m4 still hangs in a J.
PUPAE = """\
id,pupated,place,x,y
m1,2027-07-01,tub-2,5,5
m2,2027-07-01,tub-2,15,5
m3,2027-07-01,tub-2,25,5
m4,,tub-2,35,5
"""
PUPA, SPOT = st.sampled_from(["m1", "m2", "m3", "m4"]), st.sampled_from(["4", "8", "12", "16", "20"])
WHAT = st.one_of(
    st.tuples(st.just("moved"), PUPA, SPOT),
    st.tuples(st.just("moved"), PUPA, SPOT),
    st.tuples(st.just("marked"), PUPA, st.sampled_from(["darkening", "emerged", "emerged", "failed"])),
    st.tuples(st.just("pupated"), st.just("m4"), st.just("")),
    st.tuples(st.just("noted"), PUPA, st.sampled_from(["small", "by the door"])),
    st.tuples(st.just("recorded"), st.integers(1, 3), st.just("")),
    st.tuples(st.just("taken back"), st.integers(0, 9), st.just("")),
)
LIVES = st.lists(st.tuples(st.integers(0, 2), WHAT), min_size=1, max_size=9)
ARRIVALS = st.lists(st.tuples(st.integers(0, 2), st.integers(1, 9)), max_size=6)


@pytest.fixture(scope="module")
def start(tmp_path_factory):
    folder = tmp_path_factory.mktemp("porch")
    (folder / "season.yaml").write_text(SETTINGS, encoding="utf-8")
    (folder / "pupae.csv").write_text(PUPAE, encoding="utf-8")
    return State(load(folder, known_species()), PUPAE.encode(), Log())


def written(life):
    """What each phone wrote down; the k-th event of all happened k half-hours after 11 July 12:00."""
    phones = [[], [], []]
    for k, (phone, (kind, who, what)) in enumerate(life):
        at, own = f"2027-07-11T{12 + k // 2}:{k % 2 * 30:02}", phones[phone]
        if kind == "moved":
            own.append(moved(who, "north", what, at, anyway=True))
        elif kind == "marked":
            own.append(marked(who, what, at))
        elif kind == "recorded":  # of two phones the same point is one pupa, of one phone it is tapped once
            x = str(5 * who)
            if not any(e["kind"] == kind and e["x"] == x for e in own):
                own.append(recorded("tub-2", at, x=x, y="20", pupated="2027-07-11"))
        elif kind == "taken back":
            of = [e["id"] for e in own if e["kind"] not in ("taken back", "recorded")]
            if of:
                own.append(event(kind, at, of=of[who % len(of)]))
        else:
            own.append(event(kind, at, pupa=who, **({"note": what} if kind == "noted" else {})))
    return phones


def taken(state, *slips):
    """The state after slips, and what was told where they were refused."""
    found = [s for text in slips for s in read_slips(text.encode(), "slip")]
    try:
        return take(state, found, NOW).state, ()
    except Refused as e:
        return state, e.problems


def known(state):
    """All that is recorded, but for the order of notes and the numbers of newcomers."""
    data = table.read_table(state.data)
    rows = [{c: data.text(row, c) for c in sorted(table.KNOWN)} for row in data.records()]
    for row in rows:
        row["note"] = "; ".join(sorted(row["note"].split("; ")))
        row["id"] = "new" if row["id"].startswith("new") else row["id"]
    return sorted(rows, key=lambda row: (row["id"], row["x"]))


def outcomes(start, life, arrivals):
    """The season in the order of time, and as the slips came; each with the conflicts told."""
    slips = [slip(*own, device=f"phone{i}") for i, own in enumerate(written(life))]
    in_time = taken(start, *slips)
    state = start
    for phone, number in arrivals:  # a slip holds all that its phone had by then
        state, _ = taken(state, slip(*written_up_to(slips, phone, number), device=f"phone{phone}"))
    return in_time, taken(state, *slips)


def written_up_to(slips, phone, number):
    return list(read_slips(slips[phone].encode(), "slip")[0].raw[:number])


@given(LIVES, ARRIVALS)
@tries(80, deadline=None)
def test_in_whatever_order_slips_come_the_season_is_that_of_time_or_a_conflict_is_told(start, life, arrivals):
    (state, against), (late, against_late) = outcomes(start, life, arrivals)
    assert bool(against) == bool(against_late)  # the same conflicts, whoever comes first
    assert against or known(late) == known(state)


@given(LIVES)
@tries(20, deadline=None)
def test_what_comes_twice_is_taken_once(start, life):
    slips = [slip(*own, device=f"phone{i}") for i, own in enumerate(written(life))]
    once, _ = taken(start, *slips)
    again, _ = taken(once, *slips)
    assert (again.data, again.log) == (once.data, once.log)
