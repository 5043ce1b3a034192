"""Texts of a picture are set where matplotlib's own renderer sets their letters."""

from io import BytesIO

import numpy as np
import pytest
from matplotlib.backends.backend_agg import RendererAgg
from PIL import Image

from planner.draw.paper.page import Page
from planner.draw.paper.pen import put
from planner.draw.paper.render import DPI, look, render

MM = DPI / 25.4  # pixels


def edges(shown):
    """First and last row and column with ink."""
    rows, columns = np.nonzero(shown.min(axis=2) < 128)
    return np.array([rows.min(), rows.max(), columns.min(), columns.max()])


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("text", ["due 12 Jul", "gypsy", "___", "◂ tub-1", "Émil"])
def test_a_text_of_a_picture_is_at_most_two_pixels_from_its_letters_set_one_by_one(text, turned):
    with look():
        page = Page(60, 20)
        put(page, 30.03, 10.02, text, 12, bold=True, turned=turned)
        ours = np.asarray(Image.open(BytesIO(render([page], "png"))).convert("RGB"))
        letters = RendererAgg(60 * MM, 20 * MM, DPI)
        page.draw(letters)
        theirs = np.asarray(letters.buffer_rgba())[..., :3]
    assert ours.shape == theirs.shape
    # One for where it begins, and one for the pairs of letters that are drawn nearer
    assert np.max(abs(edges(ours) - edges(theirs))) <= 2
