"""Marks on the screen's picture: a light stroke upon a dark one, seen on any tissue."""

from __future__ import annotations

import math
from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPen

from annotate.marks import Mark, MarkKind, Point

_DARK, _LIGHT = "#101414", "#f4f7f5"
_BARB_PX = 14


def paint_mark(painter: QPainter, mark: Mark, place: Callable[[Point], QPointF]) -> None:
    """Draw a mark where the picture is shown.

    Parameters
    ----------
    place : callable
        From a point in shares of the upright picture to where it is painted. Strokes and words
        keep their size and stand upright, however the picture is turned or enlarged.
    """
    points = [place(point) for point in mark.points]
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for colour, width in ((_DARK, 5.0), (_LIGHT, 2.4)):
        painter.setPen(QPen(QColor(colour), width))
        _stroke(painter, mark.kind, points)
    if mark.text:
        _label(painter, mark.text, points[0])
    painter.restore()


def _stroke(painter: QPainter, kind: MarkKind, points: list[QPointF]) -> None:
    if kind is MarkKind.RING and len(points) > 1:
        radius = math.dist(points[0].toTuple(), points[1].toTuple())
        painter.drawEllipse(points[0], radius, radius)
        return
    if kind is MarkKind.TEXT:
        return
    painter.drawPolyline(points)
    if kind is MarkKind.ARROW and len(points) > 1:
        tail, head = points[-2], points[-1]
        along = math.atan2(head.y() - tail.y(), head.x() - tail.x())
        for turn in (2.6, -2.6):
            barb = QPointF(math.cos(along + turn), math.sin(along + turn)) * _BARB_PX
            painter.drawLine(head, head + barb)


def _label(painter: QPainter, text: str, at: QPointF) -> None:
    font = QFont(painter.font())
    font.setPixelSize(15)
    font.setBold(True)
    painter.setFont(font)
    width = painter.fontMetrics().horizontalAdvance(text) + 12
    box = QRectF(at.x() + 8, at.y() - 28, width, 22)
    painter.fillRect(box, QColor(16, 20, 20, 210))
    painter.setPen(QColor(_LIGHT))
    painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), text)
