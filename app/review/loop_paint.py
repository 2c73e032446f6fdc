"""The loop on the timeline: a bracket over the lanes, with its name between the arms."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from app.look.palette import Palette
from app.review.timeline_lanes import Lanes

_ARM_PX = 9.0
_DROP_PX = 3.0
_WORDS_PX = 10
_WORD = "loop"
_FROM, _TO = "loop from", "loop to"


def paint_loop(
    painter: QPainter, lanes: Lanes, edges: tuple[int | None, int | None], palette: Palette
) -> None:
    """Paint the bracket; of a loop that has one edge so far, that edge alone, hollow and named.

    Its shape says what it is: two filled arms that point at each other and a line between them
    where something is gone round in; a broken line with a hollow arm where nothing is yet.
    """
    start_us, end_us = edges
    painter.save()
    top = lanes.area.y() + 1
    if start_us is not None and end_us is not None:
        painter.setPen(QPen(QColor(palette.accent), 2))
        painter.setBrush(QColor(palette.accent))
        _paint_whole(painter, lanes, start_us, end_us)
    elif start_us is not None or end_us is not None:
        x = lanes.x_of(start_us if start_us is not None else end_us or 0)
        inward = _ARM_PX if start_us is not None else -_ARM_PX
        painter.setPen(QPen(QColor(palette.accent), 2, Qt.PenStyle.DashLine))
        _paint_line(painter, lanes, x, top)
        painter.setPen(QPen(QColor(palette.accent), 1.5))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        _paint_arm(painter, x, top, inward)
        _paint_name(painter, lanes, x, _FROM if start_us is not None else _TO)
    painter.restore()


def _paint_whole(painter: QPainter, lanes: Lanes, start_us: int, end_us: int) -> None:
    left, right, top = lanes.x_of(start_us), lanes.x_of(end_us), lanes.area.y() + 1
    arm = min(_ARM_PX, max((right - left) / 2 - 1, 1.0))
    for x, inward in ((left, arm), (right, -arm)):
        _paint_line(painter, lanes, x, top)
        _paint_arm(painter, x, top, inward)
    painter.drawLine(QPointF(left, top), QPointF(right, top))
    _paint_word(painter, lanes, max(left, lanes.area.x()), min(right, lanes.area.right()))


def _paint_line(painter: QPainter, lanes: Lanes, x: float, top: float) -> None:
    painter.drawLine(QPointF(x, top), QPointF(x, lanes.area.bottom()))


def _paint_arm(painter: QPainter, x: float, top: float, inward: float) -> None:
    painter.drawPolygon(
        QPolygonF(
            [
                QPointF(x, top + _DROP_PX),
                QPointF(x + inward, top + _DROP_PX),
                QPointF(x, top + _DROP_PX + abs(inward)),
            ]
        )
    )


def _write(painter: QPainter, lanes: Lanes, left: float, word: str) -> None:
    spot = QRectF(left, lanes.area.y() + 2, lanes.area.width(), _WORDS_PX + 4)
    painter.drawText(spot, int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop), word)


def _width(painter: QPainter, word: str) -> float:
    font = QFont(painter.font())
    font.setPixelSize(_WORDS_PX)
    painter.setFont(font)
    return QFontMetricsF(font).horizontalAdvance(word)


def _paint_word(painter: QPainter, lanes: Lanes, left: float, right: float) -> None:
    if right - left >= _width(painter, _WORD) + 2 * _ARM_PX + 8:
        _write(painter, lanes, left + _ARM_PX + 4, _WORD)


def _paint_name(painter: QPainter, lanes: Lanes, x: float, word: str) -> None:
    """Beside a lone edge, on the side to which the loop will lie; on the other where that ends."""
    width, beside = _width(painter, word), _ARM_PX + 4
    is_right = word == _FROM
    if is_right and x + beside + width > lanes.area.right():
        is_right = False
    elif not is_right and x - beside - width < lanes.area.x():
        is_right = True
    _write(painter, lanes, x + beside if is_right else x - beside - width, word)
