"""The small sign before a line of the list: what the case strip shows of the same. No Qt."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from annotate.tags import Comment, Leaning, TagKind
from app.look.palette import Palette, PhaseStyle
from app.review.row_lines import ListedRow
from app.strip.hatching import hatch_shapes
from app.strip.layout import leaning_colour
from app.strip.shapes import Box, Line, Polygon, Shape

SIGN_PX = 12.0
_PITCH = 5.0


def sign_shapes(
    row: ListedRow, styles: Mapping[str, PhaseStyle], palette: Palette
) -> Iterator[Shape]:
    """Shapes in a square of `SIGN_PX`: a piece of ribbon, or the head of a pin."""
    if isinstance(row, Comment) or row.kind is TagKind.EVENT:
        yield _head(row.leaning, palette)
    elif row.kind is TagKind.PHASE:
        style = styles.get(row.code)
        fill = palette.hues[style.hue] if style else palette.neutral
        box = Box(0, 0, SIGN_PX, SIGN_PX, fill)
        yield box
        if style:
            yield from hatch_shapes(box, style.hatch, palette.ink, _PITCH)
    elif row.kind is TagKind.IDLE:
        for x in (0.0, SIGN_PX - 3):
            yield Box(x, 2, 3, SIGN_PX - 4, palette.idle)
        yield Line(3, SIGN_PX / 2, SIGN_PX - 3, SIGN_PX / 2, palette.idle, 2.0)
    else:
        for y in (2.0, SIGN_PX - 2):
            yield Line(0, y, SIGN_PX, y, palette.text, 2.0)


def _head(leaning: Leaning | None, palette: Palette) -> Polygon:
    """Up to commend, down to correct, a lozenge where neither."""
    low, middle, high = 1.5, SIGN_PX / 2, SIGN_PX - 1.5
    corners = {
        Leaning.COMMEND: ((middle, low), (high, high), (low, high)),
        Leaning.CORRECT: ((middle, high), (high, low), (low, low)),
    }.get(
        leaning or Leaning.NEUTRAL,
        ((middle, low - 1), (high, middle), (middle, high + 1), (low, middle)),
    )
    return Polygon(corners, leaning_colour(palette, leaning))
