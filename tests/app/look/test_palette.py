"""Contrast and colour vision: computed from the palette, not looked at."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from contrasts import contrast, linear
from numpy.typing import NDArray

from annotate.vocabulary_file import shipped_names, shipped_vocabulary
from app.look.palette import DARK, PALETTES, Palette, phase_styles

# Machado GM, Oliveira MM, Fernandes LAF (2009), IEEE TVCG 15:1291-1298, severity 1.0, on linear
# RGB; matrices from memory, rows checked to sum to 1 below.
DEFICIENCIES = {
    "protanopia": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216],
                   [-0.003882, -0.048116, 1.051998]],
    "deuteranopia": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413],
                     [-0.011820, 0.042940, 0.968881]],
    "tritanopia": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602],
                   [0.004733, 0.691367, 0.303900]],
}  # fmt: skip


def lab(rgb: NDArray[np.float64]) -> NDArray[np.float64]:
    """CIE L*a*b* (D65) of linear RGB."""
    to_xyz = np.array(
        [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    )
    xyz = to_xyz @ np.clip(rgb, 0, 1) / np.array([0.9505, 1.0, 1.089])
    f = np.where(xyz > 0.008856, np.cbrt(xyz), 7.787 * xyz + 16 / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def test_contrast_of_black_on_white_is_the_standards_21() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("matrix", DEFICIENCIES.values(), ids=DEFICIENCIES.keys())
def test_a_simulated_deficiency_leaves_white_white(matrix: list[list[float]]) -> None:
    assert np.array(matrix).sum(axis=1) == pytest.approx([1, 1, 1], abs=2e-6)


@pytest.mark.parametrize("palette", PALETTES.values(), ids=PALETTES.keys())
def test_words_reach_4_5_to_1_on_every_ground(palette: Palette) -> None:
    for ground in (palette.ground, palette.raised, palette.sunken):
        for words in (palette.text, palette.quiet):
            assert contrast(words, ground) >= 4.5, (words, ground)
    assert contrast(palette.on_accent, palette.accent) >= 4.5


@pytest.mark.parametrize("palette", PALETTES.values(), ids=PALETTES.keys())
def test_signs_and_lines_reach_3_to_1(palette: Palette) -> None:
    signs = (palette.commend, palette.correct, palette.neutral, palette.accent, palette.idle,
             palette.warning, palette.caution)  # fmt: skip
    for ground, sign in itertools.product((palette.ground, palette.raised), signs):
        assert contrast(sign, ground) >= 3, (sign, ground)


@pytest.mark.parametrize("palette", PALETTES.values(), ids=PALETTES.keys())
def test_ink_is_readable_on_every_hue(palette: Palette) -> None:
    for hue in palette.hues:
        assert contrast(palette.ink, hue) >= 4.5, hue


@pytest.mark.parametrize("deficiency", DEFICIENCIES)
@pytest.mark.parametrize("palette", PALETTES.values(), ids=PALETTES.keys())
def test_commend_and_correct_stay_apart_in_every_colour_vision(
    palette: Palette, deficiency: str
) -> None:
    matrix = np.array(DEFICIENCIES[deficiency])
    a, b = (lab(matrix @ linear(colour)) for colour in (palette.commend, palette.correct))
    assert np.linalg.norm(a - b) > 20


@pytest.mark.parametrize("name", shipped_names())
def test_neighbouring_phases_differ_by_hatch_or_by_hue_in_every_colour_vision(name: str) -> None:
    codes = shipped_vocabulary(name).phase_codes
    styles = phase_styles(codes)
    for one, other in itertools.pairwise(codes):
        assert styles[one].hue != styles[other].hue
        if styles[one].hatch is not styles[other].hatch:
            continue
        for matrix in DEFICIENCIES.values():
            a, b = (lab(np.array(matrix) @ linear(DARK.hues[styles[c].hue])) for c in (one, other))
            assert np.linalg.norm(a - b) > 15


@pytest.mark.parametrize("name", shipped_names())
def test_no_two_phases_of_a_vocabulary_look_the_same(name: str) -> None:
    styles = phase_styles(shipped_vocabulary(name).phase_codes)
    assert len(set(styles.values())) == len(styles)


def test_a_phase_looks_the_same_in_every_vocabulary_that_has_it() -> None:
    seen: dict[str, object] = {}
    for name in ("phaco-divide-conquer", "phaco-stop-chop", "phaco-chop"):
        for code, style in phase_styles(shipped_vocabulary(name).phase_codes).items():
            assert seen.setdefault(code, style) == style
