"""What is written of a page by our own operators is what matplotlib's artists would draw."""

import re
from io import BytesIO

import numpy as np
import pypdfium2
import pytest
from draw_world import figure_of, pdf, pdf_text
from matplotlib.patches import Circle

from planner.draw.paper.page import Page
from planner.draw.paper.pdf_page import path
from planner.draw.paper.pdf_text import PdfTexts
from planner.draw.paper.pen import add, box, disc, put, rings, stroke, triangle
from planner.draw.paper.plot import plotted
from planner.draw.paper.render import look, render


def drawn(by_artists):
    """A page with each kind of mark, written as marks or as artists."""
    with look():
        page = Page(60, 40)
        box(page, (5, 5), (20, 10), fill="#1b4f9c", weight=2.0, ls="--", zorder=4)
        box(page, (8, 8), (6, 4), fill="#d55e00", edge=None, zorder=3)
        stroke(page, (5, 50, float("nan"), 30, 40), (30, 30, 0, 35, 38), colour="#888888", weight=1.4, ls=":")
        disc(page, (40, 15), 4, fill="#ffffff", edge="#000000", weight=1.1, ls=(0, (1.6, 1.2)))
        triangle(page, [(50, 10), (56, 10), (53, 5)], fill="#000000", edge="#ffffff")
        rings(page, [30, 34], [22, 22], edge="#555555", crosses=False, zorder=3, gid="free")
        rings(page, [38], [22], edge="#999999", crosses=True, zorder=3, gid="unused")
        put(page, 6, 20, "AV m1234 ◂ tub (2)", 9, bold=True, colour="#1b4f9c")
        put(page, 50, 25, "due 12 Jul", 8, ha="right")
        put(page, 50, 33, "fit \\ é", 8, turned=True)
        return plotted(figure_of(page), "pdf") if by_artists else render([page], "pdf")


def picture(data):
    document = pypdfium2.PdfDocument(BytesIO(data))
    shown = np.asarray(document[0].render(scale=4).to_pil().convert("L")).astype(int)
    document.close()
    return shown


def test_a_page_of_marks_looks_as_its_artists_do_and_says_the_same():
    ours, artists = drawn(False), drawn(True)
    assert ours != artists  # else one way was compared with itself
    assert pdf_text(ours).split() == pdf_text(artists).split()
    shown, wanted = picture(ours), picture(artists)
    # Edges move by a hundredth of a point; the palest of the marks, the cross, is 102 darker than the paper.
    assert np.max(abs(shown - wanted)) < 80


def test_an_artist_of_another_kind_is_drawn_between_what_lies_below_and_above_it():
    with look():
        page = Page(30, 30)
        box(page, (0, 0), (30, 30), fill="#ff0000", edge=None, zorder=1)
        add(page, Circle((15, 15), 10, fc="#00ff00", ec="none", zorder=2))
        box(page, (10, 10), (10, 10), fill="#0000ff", edge=None, zorder=3)
        document = pypdfium2.PdfDocument(BytesIO(render([page], "pdf")))
    shown = document[0].render(scale=1).to_pil()
    document.close()
    across = [shown.getpixel((round(x * 72 / 25.4), round(15 * 72 / 25.4))) for x in (2, 7, 15)]
    assert across == [(255, 0, 0), (0, 255, 0), (0, 0, 255)]


def test_a_line_with_a_point_that_is_no_number_is_interrupted_there():
    # 1 mm is 2.8346 pt
    assert path((0, 1, float("nan"), 2, 3), (0, 0, 0, 0, 0)) == (
        b"0.00 0.00 m\n2.83 0.00 l\n5.67 0.00 m\n8.50 0.00 l\n"
    )


@pytest.mark.parametrize("text", ["m1234", "AVATAR To.", "tub-12", "due 12 Jul"])
def test_a_text_put_together_from_pairs_is_as_wide_as_laid_out_whole(text, monkeypatch):
    def ends(joined):
        with monkeypatch.context() as patch:
            if not joined:
                patch.setattr(PdfTexts, "_joined", lambda *_: None)
            with look():
                page = Page(60, 20)
                put(page, 5, 5, text, 11)
                data = render([page], "pdf")
        with pdf(data) as file:
            return [(c["text"], c["x0"]) for c in file.pages[0].chars]

    assert [one for one, _ in ends(True)] == list(text)
    assert ends(True) == [(one, pytest.approx(x, abs=0.05)) for one, x in ends(False)]  # pt


def test_letters_that_merge_are_laid_out_whole():
    with look():
        page = Page(60, 20)
        put(page, 5, 5, "office", 11)
        data = render([page], "pdf")
    assert re.sub(r"\s", "", pdf_text(data)) in ("office", "o\ufb03ce")


def test_a_text_that_is_not_begun_by_its_place_is_drawn_by_matplotlib(monkeypatch):
    monkeypatch.setattr(PdfTexts, "made", lambda *_: None)
    assert "due 12 Jul" in pdf_text(drawn(False))
