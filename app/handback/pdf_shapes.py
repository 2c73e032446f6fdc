"""A strip's shapes put on a page as vectors and real text."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from app.handback.pdf_sheet import FACE, Sheet, readable
from app.strip.shapes import Anchor, Box, Line, Polygon, Shape, Words

_MM_PT = 72 / 25.4


def draw_shapes(
    sheet: Sheet, shapes: Sequence[Shape], left: float, top: float, scale: float
) -> None:
    """Draw shapes with their origin at `left`, `top`; `scale` is millimetres a unit."""
    x, y = sheet.x, sheet.y
    for opacity, alike in groupby(shapes, key=_opacity):
        with sheet.local_context(fill_opacity=opacity, stroke_opacity=opacity):
            for shape in alike:
                _draw(sheet, shape, left, top, scale)
    sheet.set_xy(x, y)


def _opacity(shape: Shape) -> float:
    return 1.0 if isinstance(shape, Words) else shape.opacity


def _draw(sheet: Sheet, shape: Shape, left: float, top: float, scale: float) -> None:
    match shape:
        case Box():
            sheet.paint(shape.fill)
            size = (shape.width * scale, shape.height * scale)
            sheet.rect(left + shape.x * scale, top + shape.y * scale, *size, style="F")
        case Line():
            _line(sheet, shape, left, top, scale)
        case Polygon():
            sheet.paint(shape.fill)
            points = [(left + px * scale, top + py * scale) for px, py in shape.points]
            sheet.polygon(points, style="F")
        case Words():
            _words(sheet, shape, left, top, scale)


def _line(sheet: Sheet, shape: Line, left: float, top: float, scale: float) -> None:
    sheet.paint(shape.colour)
    sheet.set_line_width(shape.width * scale)
    if shape.is_dotted:
        sheet.set_dash_pattern(2 * scale, 3 * scale)
    sheet.line(
        left + shape.x1 * scale,
        top + shape.y1 * scale,
        left + shape.x2 * scale,
        top + shape.y2 * scale,
    )
    if shape.is_dotted:
        sheet.set_dash_pattern()


def _words(sheet: Sheet, shape: Words, left: float, top: float, scale: float) -> None:
    height = shape.size * scale
    sheet.set_font(FACE, "B" if shape.is_bold else "", height * _MM_PT)
    sheet.paint(shape.colour)
    text = readable(shape.text)
    width = sheet.get_string_width(text)
    back = {Anchor.START: 0.0, Anchor.MIDDLE: width / 2, Anchor.END: width}[shape.anchor]
    if shape.halo:  # a plate as large as the letters: stroked letters would be read out twice
        sheet.paint(shape.halo)
        plate = (left + shape.x * scale - back, top + shape.y * scale - 0.78 * height)
        sheet.rect(*plate, width, height, style="F")
        sheet.paint(shape.colour)
    # A cell's baseline lies at half its height and 0.3 of the font's below its top.
    sheet.set_xy(left + shape.x * scale - back, top + shape.y * scale - 0.8 * height)
    sheet.cell(width, height, text)
