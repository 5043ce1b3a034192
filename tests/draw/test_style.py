import matplotlib
import pytest
from matplotlib.colors import to_hex

from planner.style import BLACK, FAINT, QUIET, UNKNOWN, VERMILION, WHITE, contrast, ink_on


def test_black_on_white_has_the_greatest_contrast():
    assert contrast(BLACK, WHITE) == pytest.approx(21.0)  # (1 + 0.05) / (0 + 0.05)


def test_a_colour_on_itself_has_contrast_1():
    assert contrast(VERMILION, VERMILION) == 1.0


def test_contrast_follows_the_published_formula():
    # #777777: 119/255 = 0.46667; ((0.46667 + 0.055) / 1.055)^2.4 = 0.18448; 1.05 / 0.23448 = 4.478,
    # which is why #767676 is known as the lightest grey that passes 4.5:1 on white.
    assert contrast("#777777", WHITE) == pytest.approx(4.478, abs=1e-3)
    assert contrast("#767676", WHITE) > 4.5


def test_red_green_and_blue_count_as_much_as_they_are_seen():
    assert contrast("#ff0000", BLACK) == pytest.approx((0.2126 + 0.05) / 0.05)
    assert contrast("#00ff00", BLACK) == pytest.approx((0.7152 + 0.05) / 0.05)
    assert contrast("#0000ff", BLACK) == pytest.approx((0.0722 + 0.05) / 0.05)


def test_the_ink_on_every_due_colour_has_contrast_4_5():
    fills = {to_hex(matplotlib.colormaps["cividis"](part)) for part in range(256)}
    assert len(fills) > 200
    assert {fill: contrast(ink_on(fill), fill) for fill in fills if contrast(ink_on(fill), fill) < 4.5} == {}


@pytest.mark.parametrize("fill", [VERMILION, UNKNOWN, WHITE, "#767676", "#0072b2"])
def test_the_ink_on_other_fills_has_contrast_4_5(fill):
    assert contrast(ink_on(fill), fill) >= 4.5


def test_text_that_stands_back_is_still_readable_and_marks_are_still_seen():
    assert contrast(QUIET, WHITE) >= 4.5
    assert contrast(FAINT, WHITE) >= 3.0
