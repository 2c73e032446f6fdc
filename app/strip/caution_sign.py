"""The sign for what is worth a look: a small box with a stroke and a dot, no wedge as pins have."""

from __future__ import annotations

from app.strip.shapes import Box, Shape

WIDE_PX, HIGH_PX = 8.0, 9.0
_STROKE_PX = 2.0


def caution_sign(x: float, top: float, fill: str, ink: str) -> tuple[Shape, ...]:
    """The sign with its middle at `x`."""
    left = x - _STROKE_PX / 2
    return (
        Box(x - WIDE_PX / 2, top, WIDE_PX, HIGH_PX, fill),
        Box(left, top + 1.0, _STROKE_PX, 4.0, ink),
        Box(left, top + 6.0, _STROKE_PX, _STROKE_PX, ink),
    )
