"""A few evenings at the terminal, more pupae than spots: who is hung tonight, and who when a spot is free."""

import pytest
from cli_world import World, call

from planner.season.plan import plan_file

# h1 hangs on the only mark, due on 11 July, 12:00; m1, on a tub that is needed, on the 16th.
SETTINGS = """\
season: Shelf
timezone: Europe/Lisbon
temperature: {constant: 23}
profiles: {monarch: {lower: 10, requirement: 130}}
places:
  - {line: north, length: 6, height: 150, clips_every: 4}
  - {lid: tub-2, width: 40, length: 28, clear: yes}
"""
PUPAE = """\
id,pupated,place,spot,x,y
h1,2027-07-01,north,4,,
m1,2027-07-06,tub-2,,5,5
"""


@pytest.fixture
def shelf(tmp_path, monkeypatch):
    (tmp_path / "porch").mkdir()
    monkeypatch.chdir(tmp_path)
    world = World(tmp_path / "porch")
    world.folder = world.folder.relative_to(tmp_path)
    world.write("season.yaml", SETTINGS)
    world.write("pupae.csv", PUPAE)
    return world


def planned(shelf):
    return [(one.who, one.spot, f"{one.since:%d}") for one in plan_file.read(shelf.folder).later]


def test_the_evening_is_told_when_it_comes_and_its_step_is_made_then(shelf):
    said = shelf.call("plan", on="2027-07-09T12:00")
    assert said.code == 0
    assert "Tue 13 Jul         m1 when its spot is free (97 % likely), at the latest 14 Jul\n" in said.out
    assert said.out.endswith("Next: plan again on Tue 13 Jul, for m1.\n")
    assert planned(shelf) == [("m1", "4", "13")]
    listed = shelf.read("out/moves.txt")
    assert "Tue 13 Jul  m1    tub-2  north 4 cm  when free  97 % free  14 Jul" in listed

    said = shelf.call("today", on="2027-07-10T12:00")
    note = "note: planned for Tue 13 Jul: m1 when its spot is free (97 % likely), at the\n  latest 14 Jul\n"
    assert note in said.out
    assert call("mark", "h1", "emerged", "porch", "--on", "2027-07-11T12:00").code == 0
    said = shelf.call("today", on="2027-07-13T12:00")
    assert "1 to be hung today." in said.out
    assert "note: to be hung today by the plan: m1; 'hangplan plan porch' makes the steps\n" in said.out
    assert "Left on lids to be cleared: 1 pupa. To be hung on their evening: m1.\n" in said.out
    assert shelf.call("check", on="2027-07-13T12:00").code == 0

    said = call("done", "m1", "porch", "--on", "2027-07-13T12:00")
    assert (said.code, said.err) == (
        1,
        "m1: is planned for Tue 13 Jul, at north 4 cm. Its step is made that evening: 'hangplan plan porch' "
        "first. If it hangs there already: 'hangplan done m1 porch --to north 4'\n",
    )
    said = shelf.call("plan", on="2027-07-13T12:00")
    assert said.code == 0
    assert "Move 1 of 1 pupa now." in said.out
    plan = plan_file.read(shelf.folder)
    assert [(m.pupa, m.to_spot) for m in plan.moves] == [("m1", "4")]
    assert (plan.later, plan.changed) == ((), ())


def test_planned_again_with_nothing_new_it_says_the_same(shelf):
    first = shelf.call("plan", on="2027-07-09T21:00").out
    again = shelf.call("plan", on="2027-07-09T22:30").out
    assert again == first.replace("21:00", "22:30", 1)


def test_for_tonight_alone_one_is_left_and_leaving_it_there_is_a_way_out(shelf):
    said = shelf.call("plan", "--evenings", "1", on="2027-07-09T12:00")
    assert said.code == 3
    told = " ".join(said.out.split())
    way = "leave 1 pupa on its lid until Tue 13 Jul 12:00, when its spot is free: m1 (plan --evenings 5)"
    assert f"- {way}" in told
    assert "Only puts it off" not in told


def test_one_put_off_without_a_spot_is_told_as_a_delay(shelf):
    said = shelf.call("plan", "--wait", on="2027-07-09T12:00")
    assert said.code == 0
    told = " ".join(said.out.split())
    put_off = "m1 stays on its lid for now: no spot is known yet. That only puts it off: plan again, with"
    assert f"{put_off} --wait, on Sat 10 Jul 12:00." in told
    said = shelf.call("plan", "--evenings", "2", "--json", on="2027-07-09T12:00")
    assert [one["pupa"] for one in said.data["plan"]["waits"]] == ["m1"]


def test_one_seen_darkening_before_its_evening_is_not_sent_to_its_spot(shelf):
    shelf.call("plan", on="2027-07-09T12:00")
    assert call("mark", "m1", "darkening", "porch", "--on", "2027-07-12T09:00").code == 0
    said = shelf.call("today", on="2027-07-12T12:00")
    assert "planned for" not in said.out
    assert "to be hung" not in said.out
