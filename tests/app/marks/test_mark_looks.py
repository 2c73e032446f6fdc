"""Colours of marks: computed contrast and colour vision, and a dash for each."""

from __future__ import annotations

import importlib.util
import itertools
import sys
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from annotate.marks import MarkLook
from app.marks.looks import LOOKS, UNDER, bgr


def _palette_checks() -> ModuleType:
    """The simulation that the palette's own tests use, with its sources."""
    path = Path(__file__).parents[1] / "look" / "test_palette.py"
    spec = importlib.util.spec_from_file_location("palette_checks", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


CHECKS = _palette_checks()


def test_every_look_has_its_style_and_words() -> None:
    assert set(LOOKS) == set(MarkLook)
    assert len({style.words for style in LOOKS.values()}) == len(LOOKS)


@pytest.mark.parametrize("look", list(MarkLook))
def test_light_on_dark_reads_on_any_ground(look: MarkLook) -> None:
    """7:1 between the two strokes; on any ground one of them has 3:1 (WCAG 2.2, 1.4.11)."""
    colour = LOOKS[look].colour
    assert CHECKS.contrast(colour, UNDER) >= 7
    for level in range(0, 256, 5):
        grey = f"#{level:02x}{level:02x}{level:02x}"
        assert max(CHECKS.contrast(colour, grey), CHECKS.contrast(UNDER, grey)) >= 3


@pytest.mark.parametrize("vision", ["usual", *CHECKS.DEFICIENCIES])
def test_looks_stay_apart_in_every_colour_vision(vision: str) -> None:
    matrix = np.eye(3) if vision == "usual" else np.array(CHECKS.DEFICIENCIES[vision])
    seen = {look: CHECKS.lab(matrix @ CHECKS.linear(style.colour)) for look, style in LOOKS.items()}
    for one, other in itertools.combinations(MarkLook, 2):
        assert np.linalg.norm(seen[one] - seen[other]) > 20, (one, other)


def test_no_two_looks_share_a_dash() -> None:
    assert len({style.dash for style in LOOKS.values()}) == len(LOOKS)


def test_colours_come_apart_into_blue_green_and_red() -> None:
    assert bgr("#0a1420") == (32, 20, 10)
