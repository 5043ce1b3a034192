"""``tags``: for whom they are made, what has changed since, cards for groups, and sizes as they are typed."""

import io
import json
from dataclasses import replace

import pdfplumber
import pytest
from cli_world import ON, PUPAE, SETTINGS, call, good_plan

SHARP = "Pins, scissors and tweezers are sharp.\n"


@pytest.fixture
def planned(world):
    world.plan()
    return world


def tags(world, *words, on=ON):
    """Ids of the tags made."""
    said = world.call("tags", *words, "--json", on=on)
    assert said.code == 0, said
    return said.data["tags"]


def text(path):
    with pdfplumber.open(io.BytesIO(path.read_bytes())) as pdf:
        return " ".join(" ".join(page.extract_text() for page in pdf.pages).split())


def moved_to(spot):
    """The plan with m3 sent elsewhere."""
    plan = good_plan()
    hangs = tuple(replace(h, spot=spot, x=float(spot)) if h.pupa == "m3" else h for h in plan.hangs)
    moves = tuple(replace(m, to_spot=spot) if m.pupa == "m3" else m for m in plan.moves)
    return {"hangs": hangs, "moves": moves}


def test_pupae_places_and_steps_are_named_before_the_season_as_for_done(planned, monkeypatch):
    monkeypatch.chdir(planned.folder.parent)

    def named(*words):
        return call("tags", *words, "--json", "--on", ON).data["tags"]

    assert named("porch") == ["m2", "m3", "m1"]
    assert named("m1", "m3", "porch") == ["m3", "m1"]
    assert named("m1-m2", "porch") == ["m2", "m1"]
    assert named("north", "porch") == ["m2", "m3"]
    assert named("step", "2", "porch") == ["m3"]
    assert named("m1", "--pupa", "m3", "--season", "porch") == ["m3", "m1"]
    said = call("tags", "porch", "m1", "--on", ON)
    assert (said.code, said.err) == (2, "porch is a season: here it is named last, hangplan tags m1 porch\n")


def test_a_date_is_that_of_pupation_as_it_is_typed_anywhere(planned):
    assert tags(planned, "--date", "1 Jul") == ["m2", "m1"]
    assert tags(planned, "--date", "Jul 3") == ["m3"]
    assert tags(planned, "--date", "2 days ago") == ["m3"]
    assert tags(planned, "--date", "2027-07-01", "--date", "3 Jul") == ["m2", "m3", "m1"]
    said = planned.call("tags", "--date", "7/1")
    assert (said.code, said.err) == (
        2,
        '--date: "7/1" could be 7 January or 1 July: write 2027-01-07 or 2027-07-01, or set date_style: us '
        "or eu in season.yaml\n",
    )


def test_what_narrows_holds_together(planned):
    assert tags(planned, "--moved", "--date", "1 Jul") == ["m2"]
    assert tags(planned, "--moved", "--pupa", "m1-m3") == ["m2", "m3"]
    assert tags(planned, "--date", "1 Jul", "--pupa", "tub-2") == ["m1"]


@pytest.mark.parametrize(
    ("words", "code", "message"),
    [
        (("--date", "2 Jul"), 1,
         "--date: none of those asked for pupated on 2 Jul: there are tags of 1 Jul to 3 Jul"),
        (("--date", "32 Jul"), 2, "--date: '32 Jul': there is no such day"),
        (("--moved", "--pupa", "m1"), 1, "the plan moves nobody: without --moved there are tags for all"),
    ],
)  # fmt: skip
def test_what_holds_for_nobody_is_told(planned, words, code, message):
    said = planned.call("tags", *words)
    assert (said.code, said.out, said.err) == (code, "", f"{message}\n")


def test_a_date_among_the_names_is_asked_back(planned, monkeypatch):
    monkeypatch.chdir(planned.folder)
    said = call("tags", "3", "Jul", "--on", ON)
    assert (said.code, said.err) == (2, "'3 Jul': write --date '3 Jul' for those that pupated then\n")


# --changed


def test_before_any_tag_was_made_all_are_new_and_that_is_said(planned):
    said = planned.call("tags", "--changed")
    assert said.out.splitlines()[:2] == [
        "wrote porch/out/tags.pdf", "no tags were made yet, or out/tags.json is gone: all are new",
    ]  # fmt: skip
    assert json.loads((planned.folder / "out" / "tags.json").read_text())["tags"] == {
        "m1": ["monarch", "2027-07-01", "tub-2", ""],
        "m2": ["monarch", "2027-07-01", "north", "4"],
        "m3": ["monarch", "2027-07-03", "north", "8"],
    }


def test_tags_that_hold_are_not_made_again(planned):
    assert planned.call("tags").code == 0
    before = (planned.folder / "out" / "tags.pdf").read_bytes()
    said = planned.call("tags", "--changed")
    assert (said.code, said.out, said.err) == (0, "nothing to print: the tags made last still hold\n", "")
    assert planned.call("tags", "--changed", "--json").data == {
        "files": [], "tags": [], "notes": [], "new": [], "changed": [],
    }  # fmt: skip
    assert (planned.folder / "out" / "tags.pdf").read_bytes() == before


def test_a_tag_whose_spot_is_another_by_a_new_plan_no_longer_holds_until_it_is_made_again(planned):
    planned.call("tags")
    planned.plan(**moved_to("12"))
    said = planned.call("tags", "--changed")
    assert said.out.splitlines()[1] == "throw away the old tag of m3: it no longer holds"
    assert tags(planned, "--changed") == []
    planned.plan()
    data = planned.call("tags", "--changed", "--json").data
    assert (data["tags"], data["new"], data["changed"]) == (["m3"], [], ["m3"])


def test_a_tag_for_one_that_had_none_is_new_and_only_those_made_count(planned):
    planned.call("tags", "--pupa", "m2")
    data = planned.call("tags", "--changed", "--json").data
    # m1 stays on its lid: it has a tag where it is asked for.
    assert (data["tags"], data["new"], data["changed"]) == (["m3"], ["m3"], [])
    assert planned.call("tags", "--pupa", "m1", "--changed", "--json").data["new"] == ["m1"]


@pytest.mark.parametrize(
    "data", [b"", b"{}", b"[1]", b'{"tags": {"m1": 3}, "groups": {}}', b"\xff", b"[" * 9999]
)
def test_a_record_that_cannot_be_read_counts_as_none(planned, data):
    planned.call("tags")
    (planned.folder / "out" / "tags.json").write_bytes(data)
    assert tags(planned, "--changed") == ["m2", "m3", "m1"]


# --groups


def test_a_card_for_each_day_of_a_lid_and_each_stretch_of_a_line(planned):
    data = planned.call("tags", "--groups", "--json").data
    assert data["tags"] == ["m2", "m3", "m1"]
    assert [(g["place"], g["spot"], g["pupated"], g["pupae"], g["due"]) for g in data["groups"]] == [
        ("north", "4 cm", "2027-07-01", ["m2"], ["2027-07-11", "2027-07-11"]),
        ("north", "8 cm", "2027-07-03", ["m3"], ["2027-07-13", "2027-07-13"]),
        ("tub-2", "", "2027-07-01", ["m1"], ["2027-07-11", "2027-07-11"]),
    ]


def test_before_there_is_a_plan_a_lid_has_cards_for_those_that_hang_there_now(world):
    said = world.call("tags", "--groups")
    assert (said.code, said.out, said.err) == (
        0,
        "wrote porch/out/tags.pdf\nNext: print it at 100 %; lay or hang each card at its group\n",
        SHARP,
    )
    found = text(world.folder / "out" / "tags.pdf")
    assert "2 pupae monarch" in found
    assert "m1, m2" in found
    assert world.call("tags").err == "there is no plan yet: 'hangplan plan porch' makes one\n"


def test_newcomers_have_a_card_before_the_plan_is_made_again(planned):
    planned.call("tags", "--groups")
    planned.write("pupae.csv", PUPAE + "m4,2027-07-05,tub-2,30,20\nm5,2027-07-05,tub-2,32,20\n")
    data = planned.call("tags", "--groups", "--changed", "--json").data
    assert (data["tags"], data["new"], data["changed"]) == (["m4", "m5"], ["m4", "m5"], [])


def test_a_card_counts_its_whole_group_even_where_one_of_it_was_asked_for(world):
    assert tags(world, "--groups", "--pupa", "m1") == ["m1", "m2"]


def test_who_joins_a_group_makes_its_card_new(world):
    world.call("tags", "--groups")
    world.write("pupae.csv", PUPAE + "m4,2027-07-01,tub-2,30,20\n")
    data = world.call("tags", "--groups", "--changed", "--json").data
    assert (data["tags"], data["new"], data["changed"]) == (["m1", "m2", "m4"], ["m4"], ["m1", "m2"])


# sizes and paper


def test_what_there_is_no_room_for_is_told_with_the_size_that_has_it(planned):
    said = planned.call("tags", "--card", "25x15", "--shape", "fold", "--qr")
    assert (said.code, said.err) == (
        0,
        "note: cards of 25 × 15 mm: no room for the species (--card 29x18mm has room)\n" + SHARP,
    )
    data = planned.call("tags", "--card", "25x15", "--qr", "--json").data
    assert data["notes"] == ["cards of 25 × 15 mm: no room for the species (--card 29x18mm has room)"]
    found = text(planned.folder / "out" / "tags.pdf")
    assert all(name in found for name in ("m1", "m2", "m3"))


def test_a_card_too_small_for_an_id_is_a_wrong_call_and_nothing_is_written(world):
    long = "W" * 12  # the most letters that an id may have, and the widest
    world.write("pupae.csv", PUPAE.replace("m1,", f"{long},"))
    first, *others = good_plan().hangs
    world.plan(hangs=(replace(first, pupa=long), *others))
    said = world.call("tags", "--card", "20x12")
    assert (said.code, said.out) == (2, "")
    told = f"a card of 20 × 12 mm is too small for the tag of {long}: write --card 26x12mm\n"
    assert said.err.endswith(told)
    assert not (world.folder / "out").exists()
    assert world.call("tags", "--card", "26x12mm").code == 0


def test_in_inches_a_size_without_a_unit_is_asked_back_and_limits_are_told_in_inches(world):
    world.write("season.yaml", "units: in\nplaces:\n  - {lid: tub-2, width: 16, length: 12}\n")
    world.write("pupae.csv", "id,pupated,place\nm1,2027-07-01,tub-2\n")
    said = world.call("tags", "--groups", "--card", "3x5")
    assert (said.code, said.err) == (2, "--card: 3x5 mm is too small to read: write 3x5in\n")
    assert world.call("tags", "--groups", "--card", "3x5in").code == 0
    said = world.call("tags", "--groups", "--card", "9x5in", "--paper", "letter")
    # 215.9 - 24 mm are 7.555 in, 279.4 - 24 mm are 10.055 in
    assert said.err == (
        "a card of 9 × 5 in: 0.79 × 0.48 in to 7.55 × 10.05 in are possible on Letter with a margin of "
        "0.47 in\n"
    )


def test_the_season_s_paper_card_and_shape_are_taken_and_options_win(world):
    printed = "season: Porch\npaper: Letter\ncard: 3x5in\nshape: fold\n"
    world.write("season.yaml", SETTINGS.replace("season: Porch\n", printed))
    world.plan()
    letter, a4 = (612.0, 792.0), (595.3, 841.9)

    def page(name):
        with pdfplumber.open(io.BytesIO((world.folder / "out" / name).read_bytes())) as pdf:
            first = pdf.pages[0]
            return (round(float(first.width), 1), round(float(first.height), 1)), first.extract_text()

    wanted = {"tags.pdf": ("tags", "--card", "40x25"), "lids.pdf": ("lids",), "wall.pdf": ("map", "--wall")}
    for name, words in wanted.items():
        assert world.call(*words).code == 0
        assert page(name)[0] == letter
        assert world.call(*words, "--paper", "a4").code == 0
        assert page(name)[0] == a4
    out = str(world.folder / "out" / "today.pdf")
    for paper, size in (((), letter), (("--paper", "A4"), a4)):
        assert world.call("today", "-o", out, *paper).code == 0
        assert page("today.pdf")[0] == size
    assert "fold at the dashes" in page("tags.pdf")[1]
    world.call("tags", "--shape", "card")
    size, words = page("tags.pdf")
    assert "fold at the dashes" not in words
    assert "page 1 of 1" in words  # three index cards on Letter
