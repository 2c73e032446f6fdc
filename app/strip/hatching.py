"""Hatch lines inside a box, clipped to it, so that every painter shows the same hatch."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor

from app.look.palette import Hatch
from app.strip.shapes import Box, Line, Shape

PITCH = 7.0
_OPACITY = 0.42


def hatch_shapes(box: Box, hatch: Hatch, ink: str, pitch: float = PITCH) -> Iterator[Shape]:
    """Yield the strokes that fill `box` with `hatch`.

    Parameters
    ----------
    pitch : float
        Distance between strokes, in the unit of the box.
    """
    if hatch in (Hatch.RISING, Hatch.CROSSED):
        yield from _slanted(box, ink, pitch, is_rising=True)
    if hatch in (Hatch.FALLING, Hatch.CROSSED):
        yield from _slanted(box, ink, pitch, is_rising=False)
    if hatch is Hatch.UPRIGHT:
        for x in _steps(box.x, box.x + box.width, pitch):
            yield Line(x, box.y, x, box.y + box.height, ink, 1.0, _OPACITY)
    if hatch is Hatch.LEVEL:
        for y in _steps(box.y, box.y + box.height, max(pitch * 0.6, 3.0)):
            yield Line(box.x, y, box.x + box.width, y, ink, 1.0, _OPACITY)
    if hatch is Hatch.DOTTED:
        yield from _dots(box, ink, pitch)


def _steps(start: float, end: float, pitch: float) -> Iterator[float]:
    """Multiples of `pitch` strictly between `start` and `end`: hatches of neighbours line up."""
    for i in range(floor(start / pitch) + 1, ceil(end / pitch)):
        yield i * pitch


def _slanted(box: Box, ink: str, pitch: float, *, is_rising: bool) -> Iterator[Line]:
    """Strokes at 45 degrees: x + y constant when rising, x - y constant when falling."""
    top, bottom = box.y, box.y + box.height
    left, right = box.x, box.x + box.width
    sign = 1.0 if is_rising else -1.0
    spread = sorted(
        (left + sign * top, left + sign * bottom, right + sign * top, right + sign * bottom)
    )
    for c in _steps(spread[0], spread[-1], pitch * 1.4142):
        y_a, y_b = sign * (c - left), sign * (c - right)
        y1, y2 = (min(max(y, top), bottom) for y in (y_a, y_b))
        x1, x2 = c - sign * y1, c - sign * y2
        if abs(x1 - x2) > 0.01:
            yield Line(x1, y1, x2, y2, ink, 1.0, _OPACITY)


def _dots(box: Box, ink: str, pitch: float) -> Iterator[Box]:
    for row, y in enumerate(_steps(box.y, box.y + box.height, pitch * 0.7)):
        for x in _steps(box.x + (row % 2) * pitch / 2, box.x + box.width - 2, pitch):
            yield Box(x, y - 1, 2.0, 2.0, ink, _OPACITY + 0.15)
