"""``lids``, ``map --wall`` and the shapes, codes and places of ``tags``, called as a keeper does."""

from io import BytesIO

import pdfplumber
import pypdfium2
import pytest
import zxingcpp

from planner.cli.tags import SHAPES


def pages(path):
    """Text and size in mm of each page."""
    with pdfplumber.open(BytesIO(path.read_bytes())) as file:
        return [
            (p.extract_text(), [round(s / 72 * 25.4, 1) for s in (p.width, p.height)]) for p in file.pages
        ]


def test_the_wall_has_the_day_the_moves_with_their_lids_and_the_rack_numbered_through(world):
    world.plan()
    said = world.call("map", "--wall")
    assert (said.code, said.out, said.err) == (0, "wrote porch/out/wall.pdf\n", "")
    texts = [text for text, _ in pages(world.folder / "out" / "wall.pdf")]
    heads = ["Porch: Mon 5 Jul 2027", "2 pupae to move", "from above, 1 : ", "The rack", "0 clashes"]
    at = ["\f".join(texts).index(head) for head in heads]
    assert at == sorted(at)
    for i, text in enumerate(texts, start=1):
        assert text.count(f"page {i} of {len(texts)}") == 1
        assert text.count("page ") == 1


@pytest.mark.parametrize(("paper", "size"), [("A4", [210.0, 297.0]), ("letter", [215.9, 279.4])])
def test_every_page_of_the_wall_is_of_one_paper_and_upright(world, paper, size):
    world.plan()
    assert world.call("map", "--wall", "--paper", paper, "-o", "w.pdf").out == "wrote w.pdf\n"
    assert {tuple(found) for _, found in pages(world.folder.parent / "w.pdf")} == {tuple(size)}


@pytest.mark.parametrize(("paper", "size"), [("A4", {210.0, 297.0}), ("letter", {215.9, 279.4})])
def test_a_map_in_pages_is_of_the_paper_asked_for(world, paper, size):
    world.plan()
    assert world.call("map", "--paper", paper, "-o", "m.pdf").out == "wrote m.pdf\n"
    assert [set(found) for _, found in pages(world.folder.parent / "m.pdf")] == [size]


def test_a_wall_without_moves_has_no_steps_and_the_lids_on_the_map(world):
    world.write("pupae.csv", "id,pupated,place,x,y\nm1,2027-07-01,tub-2,5,5\n")
    plan = world.plan()
    world.plan(hangs=plan.hangs[:1], moves=(), proof=())
    assert world.call("map", "--wall", "--json").data == {"files": ["porch/out/wall.pdf"]}
    texts = [text for text, _ in pages(world.folder / "out" / "wall.pdf")]
    text = "\n".join(texts)
    assert "to move\n" in text  # of the rack: 0 to move
    assert "pupae to move\n" not in text
    assert text.count("those who stay on them") == 1


def test_the_lids_say_who_goes_in_which_step(world):
    world.plan()
    said = world.call("lids")
    assert (said.code, said.out, said.err) == (0, "wrote porch/out/lids.pdf\n", "")
    text = " ".join(text for text, _ in pages(world.folder / "out" / "lids.pdf"))
    assert "1 m2 1 Jul → north 4 cm" in text
    assert "2 m3 3 Jul → north 8 cm" in text
    assert "stay where they are: m1" in text


@pytest.mark.parametrize(("suffix", "begins"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF")])
def test_the_suffix_chooses_the_format_of_the_lids(world, suffix, begins):
    world.plan()
    assert world.call("lids", "-o", f"lids.{suffix}", "--json").data == {"files": [f"lids.{suffix}"]}
    assert (world.folder.parent / f"lids.{suffix}").read_bytes().startswith(begins)


@pytest.mark.parametrize("command", ["map --wall", "lids"])
def test_without_a_plan_nothing_is_printed(world, command):
    said = world.call(*command.split())
    assert (said.code, said.out) == (1, "")
    assert said.err == "there is no plan yet: 'hangplan plan porch' makes one\n"


@pytest.mark.parametrize("shape", SHAPES)
def test_tags_of_every_shape_hold_the_id_as_a_code(world, shape):
    world.plan()
    assert world.call("tags", "--shape", shape, "--qr", "--pupa", "m2").code == 0
    page = pypdfium2.PdfDocument((world.folder / "out" / "tags.pdf").read_bytes())[0]
    read = zxingcpp.read_barcodes(page.render(scale=4).to_pil())
    assert {code.text for code in read} == {"m2"}
    ((text, _),) = pages(world.folder / "out" / "tags.pdf")
    shown = "fold" if shape == "auto" else shape  # it goes to a line
    assert (f"{shown}:" in text) == (shape != "card")


def test_a_reprint_starts_at_the_place_asked_for_and_names_the_next(world):
    world.plan()
    assert world.call("tags", "--pupa", "m2", "--start-at", "5").code == 0
    ((text, _),) = pages(world.folder / "out" / "tags.pdf")
    assert "next free place: 6" in text
