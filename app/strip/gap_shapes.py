"""A stretch between two parts of the recording in which nothing was recorded."""

from __future__ import annotations

from collections.abc import Iterator

from app.look.palette import Hatch, Palette
from app.strip.hatching import hatch_shapes
from app.strip.shapes import Box, Line, Shape

_OVER = 3.0
"""How far it reaches above and below the ribbon."""


def unrecorded(
    top: float, bottom: float, palette: Palette, left: float, right: float
) -> Iterator[Shape]:
    """The ribbon is cut through, thread and all, and the hole is hatched between two edges."""
    width = max(right - left, 2.0)
    hole = Box(left, top - _OVER, width, bottom - top + 2 * _OVER, palette.ground)
    yield hole
    yield from hatch_shapes(hole, Hatch.RISING, palette.text, pitch=4.0)
    for x in (left, left + width):
        yield Line(x, hole.y, x, hole.y + hole.height, palette.quiet, 1.0)
