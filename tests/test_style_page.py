"""Every text of the page can be read on what it stands on, in both looks, and no two states look alike."""

import pytest

from planner import style
from planner.style import DARK, LIGHT, STATE_FILLS, contrast, ink_on


@pytest.mark.parametrize("paper", [LIGHT, DARK], ids=["light", "dark"])
def test_texts_have_contrast_4_5(paper):
    on_ground = [(name, getattr(paper, name)) for name in ("ink", "quiet", "accent", "alarm")]
    pairs = {(name, under): contrast(colour, getattr(paper, under))
             for name, colour in on_ground for under in ("ground", "raised")}  # fmt: skip
    pairs["on_accent", "accent"] = contrast(paper.on_accent, paper.accent)
    assert {pair: round(value, 2) for pair, value in pairs.items() if value < 4.5} == {}


@pytest.mark.parametrize("paper", [LIGHT, DARK], ids=["light", "dark"])
def test_frames_and_bars_have_contrast_3(paper):
    assert min(contrast(paper.edge, under) for under in (paper.ground, paper.raised)) >= 3
    assert contrast(paper.bar, paper.raised) >= 3


@pytest.mark.parametrize("state", STATE_FILLS)
def test_the_words_on_a_tag_have_contrast_4_5(state):
    assert contrast(ink_on(STATE_FILLS[state]), STATE_FILLS[state]) >= 4.5


# What a colour-blind eye makes of a colour: matrices of severity 1 for linear RGB, from Machado, Oliveira,
# Fernandes, "A physiologically-based model for simulation of color vision deficiency", IEEE TVCG 15 (2009).
EYES = {
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}


def seen(colour, eye):
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return [min(1.0, max(0.0, sum(a * b for a, b in zip(row, linear, strict=True)))) for row in EYES[eye]]


def lab(rgb):
    """CIE L*a*b* (D65) of linear RGB."""
    to_xyz = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
    white = (0.9505, 1.0, 1.089)
    xyz = [
        sum(a * b for a, b in zip(row, rgb, strict=True)) / w for row, w in zip(to_xyz, white, strict=True)
    ]
    x, y, z = (t ** (1 / 3) if t > 0.008856 else 7.787 * t + 16 / 116 for t in xyz)
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


@pytest.mark.parametrize("eye", EYES)
def test_fills_of_states_stay_apart_in_colour_blind_eyes(eye):
    fills = sorted(set(STATE_FILLS.values()))
    points = [lab(seen(fill, eye)) for fill in fills]
    apart = {
        (a, b): sum((p - q) ** 2 for p, q in zip(points[i], points[j], strict=True)) ** 0.5
        for i, a in enumerate(fills)
        for j, b in enumerate(fills)
        if i < j
    }
    assert len(apart) == 15  # of 6 fills
    assert {pair: round(value) for pair, value in apart.items() if value < 10} == {}  # 2.3 is just noticed


def test_the_colours_are_those_of_okabe_and_ito():
    named = (style.ORANGE, style.SKY, style.GREEN, style.YELLOW, style.BLUE, style.VERMILION, style.PURPLE)
    published = [
        (230, 159, 0),
        (86, 180, 233),
        (0, 158, 115),
        (240, 228, 66),
        (0, 114, 178),
        (213, 94, 0),
        (204, 121, 167),
    ]
    assert list(named) == [f"#{r:02x}{g:02x}{b:02x}" for r, g, b in published]
