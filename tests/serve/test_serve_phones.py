"""Several phones and the command line at once lose nothing and double nothing."""

import random
from concurrent.futures import ThreadPoolExecutor
from itertools import chain

from cli_world import ON, call
from serve_world import World, event, moved, write_season

from planner.record.taken import read_log
from planner.season.pupae import table


def rows(world):
    return table.texts((world.root / "pupae.csv").read_bytes())


def test_three_phones_and_the_command_line_at_once_lose_nothing_and_double_nothing(porch, monkeypatch):
    monkeypatch.chdir(porch.root.parent)
    # each phone notes, and records one newcomer on a point of its own; every slip is sent twice
    phones = {
        f"phone{k}": [
            [event(100 * k + i, "noted", pupa=f"m{k}", note=f"{k}{i}") for i in range(3)],
            [event(100 * k + 50, "recorded", lid="tub-2", x=str(15 + 5 * k), y="15", pupated="2027-07-04")],
        ]
        for k in (1, 2, 3)
    }
    sends = [(name, slip) for name, slips in phones.items() for slip in slips] * 2
    with ThreadPoolExecutor(4) as pool:
        typed = pool.submit(call, "mark", "m1", "darkening", "porch", "--on", ON)
        said = list(pool.map(lambda one: porch.send(*one[1], device=one[0]), sends))
        assert typed.result().code == 0
    assert {one.status for one in said} == {200}
    taken = list(chain(*(one.data["taken"] for one in said)))
    assert len(taken) == len(set(taken)) == 12
    found = rows(porch)
    assert len(found) == 3 + 3
    assert found["m1"]["darkening"] == ON
    for k in (1, 2, 3):
        assert sorted(found[f"m{k}"]["note"].split("; ")) == [f"{k}{i}" for i in range(3)]
    assert len(read_log(porch.root).entries) == 12


def test_whatever_the_order_in_which_slips_arrive_the_season_is_the_same(tmp_path):
    # m2 hung three times by three phones: the last by their clocks, at 12, counts; of two sights the first
    slips = [
        ("phone1", [moved(1, "m2", "4"), event(10, "noted", pupa="m1", note="by the first")]),
        ("phone2", [moved(60, "m2", "8", anyway=True), event(200, "marked", pupa="m3", what="darkening")]),
        ("phone3", [moved(120, "m2", "12", anyway=True), event(300, "marked", pupa="m3", what="darkening")]),
    ]
    chance = random.Random(18)
    found = []
    for k in range(8):
        world = World(write_season(tmp_path / f"{k}").rename(tmp_path / "porch"))
        for name, slip in chance.sample(slips * 2, 6):
            assert world.send(*chance.sample(slip, 2), device=name).data["refused"] == []
        found.append(rows(world))
        world.root.rename(tmp_path / f"{k}")
    assert found[0]["m2"]["spot"] == "12"
    assert found[0]["m3"]["darkening"] == "2027-07-05T07:03"
    assert all(one == found[0] for one in found)
