"""Put a strip's shapes on the screen."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from app.strip.shapes import HALO_PX, Anchor, Box, Line, Polygon, Shape, Words


def paint_shapes(painter: QPainter, shapes: Iterable[Shape], x: float = 0, y: float = 0) -> None:
    """Paint shapes with their origin at `x`, `y`."""
    painter.save()
    painter.translate(x, y)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
    for shape in shapes:
        _paint(painter, shape)
    painter.restore()


_AROUND = tuple(
    QPointF(HALO_PX * x, HALO_PX * y)
    for x, y in (
        (1, 0),
        (-1, 0),
        (0, 1),
        (0, -1),
        (0.7, 0.7),
        (-0.7, 0.7),
        (0.7, -0.7),
        (-0.7, -0.7),
    )
)
"""A halo is the letters themselves, put down about their place: quicker than their outline."""


def _paint(painter: QPainter, shape: Shape) -> None:
    match shape:
        case Box():
            painter.fillRect(
                QRectF(shape.x, shape.y, shape.width, shape.height),
                colour(shape.fill, shape.opacity),
            )
        case Line():
            pen = QPen(colour(shape.colour, shape.opacity), shape.width)
            if shape.is_dotted:
                pen.setStyle(Qt.PenStyle.DotLine)
            painter.setPen(pen)
            painter.drawLine(QPointF(shape.x1, shape.y1), QPointF(shape.x2, shape.y2))
        case Polygon():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(colour(shape.fill, shape.opacity))
            painter.drawPolygon(QPolygonF([QPointF(x, y) for x, y in shape.points]))
        case Words():
            _write(painter, shape)


def _write(painter: QPainter, words: Words) -> None:
    font = QFont(painter.font())
    font.setPixelSize(max(round(words.size), 1))
    font.setBold(words.is_bold)
    painter.setFont(font)
    x = words.x
    if words.anchor is not Anchor.START:
        width = QFontMetricsF(font).horizontalAdvance(words.text)
        x -= width if words.anchor is Anchor.END else width / 2
    place = QPointF(x, words.y)
    if words.halo:
        painter.setPen(colour(words.halo))
        for away in _AROUND:
            painter.drawText(place + away, words.text)
    painter.setPen(colour(words.colour))
    painter.drawText(place, words.text)


def colour(text: str, opacity: float = 1.0) -> QColor:
    """A colour of the palette as Qt's."""
    made = QColor(text)
    made.setAlphaF(opacity)
    return made
