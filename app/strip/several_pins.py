"""A pin that stands for several events which fall together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from annotate.tags import Leaning
from app.look.palette import Palette
from app.strip.layout import StripFrame, pin_shapes
from app.strip.shapes import Line, Polygon, Shape


def several_shapes(
    leaning: Leaning | None, weight: int | None, frame: StripFrame, palette: Palette, x: float
) -> Iterator[Shape]:
    """A pin for several that fall together: two stems, or a hole; no wider than the head."""
    pin = tuple(pin_shapes(leaning, weight, frame, palette, x))
    stems = [shape for shape in pin if isinstance(shape, Line)]
    half = (3.0 + (weight or 1)) / 2
    for stem in stems:
        yield from (replace(stem, x1=x + d, x2=x + d) for d in (-half, half))
    yield from (shape for shape in pin if not isinstance(shape, Line))
    if not stems:
        top, bottom = frame.ribbon
        y = (top + bottom) / 2
        corners = ((x, y - half), (x + half, y), (x, y + half), (x - half, y))
        yield Polygon(corners, palette.ink)
