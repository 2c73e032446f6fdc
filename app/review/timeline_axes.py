"""The timeline's edges: a time ruler above, the names of the lanes at the left."""

from __future__ import annotations

from typing import Any

import pyqtgraph as pg
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter

from annotate.clock import US_PER_S, format_time, short_time
from app.review.timeline_paint import Lanes
from app.strip.layout import ruler_step_us

_GUTTER_PX = 72


class TimeRuler(pg.AxisItem):
    """A ruler in minutes and seconds; its values are seconds of case time."""

    def tickValues(self, low: float, high: float, size: float) -> list[tuple[float, list[float]]]:
        span_us = max((high - low) * US_PER_S, 1)
        step_s = ruler_step_us(span_us, max(int(size / 80), 2)) / US_PER_S
        if span_us < 2 * US_PER_S:
            return super().tickValues(low, high, size)
        first = int(low / step_s)
        ticks = [i * step_s for i in range(first, int(high / step_s) + 1) if i * step_s >= low]
        return [(step_s, ticks)]

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        if spacing < 1:
            return [format_time(round(v * US_PER_S)) for v in values]
        return [short_time(round(v * US_PER_S)) for v in values]


class LaneNames(pg.AxisItem):
    """Names of the lanes, in the gutter at the left."""

    def __init__(self) -> None:
        super().__init__("left")
        self.setWidth(_GUTTER_PX)
        self.setStyle(showValues=False)

    def paint(self, painter: QPainter, *_: Any) -> None:
        box = self.linkedView()
        if box is None:
            return
        area = self.boundingRect()
        lanes = Lanes(QRectF(0, 0, _GUTTER_PX, box.height()), 0, 1)
        painter.setPen(self.textPen())
        flags = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        for name, top, bottom in lanes.names():
            spot = QRectF(area.x(), top, _GUTTER_PX - 8, bottom - top)
            painter.drawText(spot, flags, name)
