"""The loop on the timeline: a bracket over the lanes, with its name between the arms."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from app.look.palette import Palette
from app.review.timeline_paint import Lanes

_ARM_PX = 9.0
_DROP_PX = 3.0
_WORDS_PX = 10
_WORD = "loop"


def paint_loop(
    painter: QPainter, lanes: Lanes, edges: tuple[int | None, int | None], palette: Palette
) -> None:
    """Paint the bracket; of a loop that has one edge so far, that edge's arm alone.

    Its shape says what it is: two arms that point at each other and a line between them.
    """
    start_us, end_us = edges
    if start_us is None and end_us is None:
        return
    painter.save()
    painter.setPen(QPen(QColor(palette.accent), 2))
    painter.setBrush(QColor(palette.accent))
    top = lanes.area.y() + 1
    arm = _ARM_PX
    if start_us is not None and end_us is not None:
        arm = min(arm, max((lanes.x_of(end_us) - lanes.x_of(start_us)) / 2 - 1, 1.0))
    for at_us, inward in ((start_us, arm), (end_us, -arm)):
        if at_us is not None:
            _paint_arm(painter, lanes, lanes.x_of(at_us), top, inward)
    if start_us is not None and end_us is not None:
        left, right = lanes.x_of(start_us), lanes.x_of(end_us)
        painter.drawLine(QPointF(left, top), QPointF(right, top))
        _paint_word(painter, lanes, max(left, lanes.area.x()), min(right, lanes.area.right()))
    painter.restore()


def _paint_arm(painter: QPainter, lanes: Lanes, x: float, top: float, inward: float) -> None:
    painter.drawLine(QPointF(x, top), QPointF(x, lanes.area.bottom()))
    painter.drawPolygon(
        QPolygonF(
            [
                QPointF(x, top + _DROP_PX),
                QPointF(x + inward, top + _DROP_PX),
                QPointF(x, top + _DROP_PX + abs(inward)),
            ]
        )
    )


def _paint_word(painter: QPainter, lanes: Lanes, left: float, right: float) -> None:
    font = QFont(painter.font())
    font.setPixelSize(_WORDS_PX)
    painter.setFont(font)
    width = QFontMetricsF(font).horizontalAdvance(_WORD)
    if right - left < width + 2 * _ARM_PX + 8:
        return
    spot = QRectF(left + _ARM_PX + 4, lanes.area.y() + 2, width + 2, _WORDS_PX + 4)
    painter.drawText(spot, int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop), _WORD)
