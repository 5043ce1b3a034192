"""The map as a file: PNG, SVG and PDF."""

import re
import subprocess
import sys
from io import BytesIO
from xml.etree import ElementTree

import pytest
from draw_world import case, hang, line, pdf_text, porch_file
from PIL import Image

from planner.draw.map.rack_map import rack_map
from planner.draw.paper import render

SVG = "{http://www.w3.org/2000/svg}"


def small(name="Porch"):
    return case([line()], [hang("a", "north", "10")], name=name)


def svg_words(data):
    return {"".join(t.itertext()) for t in ElementTree.fromstring(data).iter(f"{SVG}text")}


def test_a_png_opens_and_has_150_dots_per_inch():
    with Image.open(BytesIO(porch_file("png"))) as image:
        image.load()
        assert image.format == "PNG"
        assert image.width == pytest.approx(297 / 25.4 * 150, abs=1)
        assert image.info["dpi"] == pytest.approx((150, 150), abs=0.1)


def test_a_png_is_not_blank():
    with Image.open(BytesIO(rack_map(*small(), "png"))) as image:
        assert len(image.convert("L").getcolors(256)) > 20


def test_an_svg_is_well_formed_and_has_its_words_as_text():
    words = svg_words(porch_file("svg"))
    assert {"m01", "due 15", "CLASH same day", "Porch"} <= words


def test_an_svg_escapes_what_xml_would_take_for_its_own():
    words = svg_words(rack_map(*small('<b>Rose & "Jim"</b> ]]> -- \x07'), "svg"))
    assert '<b>Rose & "Jim"</b> ]]> --  ' in words


def test_accents_come_through_in_every_format():
    made = case([line("Küche")], [hang("é1", "Küche", "10")], name="Çà et là, Ærø")
    assert {"Çà et là, Ærø", "Küche", "é1"} <= svg_words(rack_map(*made, "svg"))
    text = pdf_text(rack_map(*made, "pdf"))
    assert all(t in text for t in ("Çà et là, Ærø", "Küche", "é1"))


def test_letters_the_typeface_lacks_break_nothing():
    made = case([line("菜園")], [hang("蝶1", "菜園", "10")], name="裏庭 🦋")
    assert rack_map(*made, "png").startswith(b"\x89PNG")
    assert rack_map(*made, "pdf").startswith(b"%PDF")
    assert {"菜園", "蝶1", "裏庭 🦋"} <= svg_words(rack_map(*made, "svg"))


def test_a_pdf_has_all_tags_on_its_pages():
    text = pdf_text(porch_file("pdf"))
    assert all(re.search(rf"\bm{i:02}\b", text) for i in range(1, 36))


@pytest.mark.parametrize("fmt", ["png", "svg", "pdf"])
def test_the_same_plan_makes_the_same_file(fmt):
    assert rack_map(*small(), fmt) == rack_map(*small(), fmt)


def test_an_unknown_format_is_refused():
    with pytest.raises(ValueError, match=r"^'gif' is no format for a drawing: png, svg or pdf$"):
        rack_map(*small(), "gif")


def test_a_png_too_large_to_draw_is_refused_with_the_way_out(monkeypatch):
    monkeypatch.setattr(render, "TALLEST", 300)
    with pytest.raises(
        ValueError,
        match=r"^as a PNG the map would be more than 300 pixels high: take pdf \(several pages\) or svg$",
    ):
        rack_map(*small(), "png")


def test_the_keepers_own_matplotlib_settings_change_nothing(monkeypatch):
    import matplotlib

    plain = rack_map(*small(), "svg")
    for key, value in {
        "text.usetex": True, "savefig.bbox": "tight", "lines.linewidth": 9, "figure.autolayout": True,
        "font.family": ["serif"], "savefig.transparent": True, "svg.fonttype": "path", "font.size": 30,
    }.items():  # fmt: skip
        monkeypatch.setitem(matplotlib.rcParams, key, value)
    assert rack_map(*small(), "svg") == plain


def test_drawing_needs_neither_pyplot_nor_the_solver():
    script = (
        "import sys, planner.draw.map.rack_map, planner.draw.tags.tag_sheet\n"
        "print([m for m in ('matplotlib.pyplot', 'ortools', 'networkx') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
