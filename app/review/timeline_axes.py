"""The timeline's edges: a time ruler above, the names of the lanes at the left."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pyqtgraph as pg
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPolygonF
from PySide6.QtWidgets import QApplication

from annotate.clock import US_PER_S, format_time, short_time
from app.look.palette import DARK, Palette
from app.review.presenter import ReviewPresenter
from app.review.timeline_lanes import WIDE_NAMES, Lanes
from app.strip.layout import ruler_step_us

_GUTTER_LEAST_PX, _GUTTER_EDGE_PX = 78, 8
_HEAD_PX = 6.0
_SIGN_PX = 74.0
"""Room for the sign that says on which side the playhead is."""
_CLEAR_PX = 40.0
"""No time is read beside the sign: half of one would look out from under it."""


class TimeRuler(pg.AxisItem):
    """A ruler in minutes and seconds; its values are seconds of case time.

    The playhead has a handle on it, and where it is out of sight a sign says on which side.
    """

    def __init__(self, presenter: ReviewPresenter) -> None:
        super().__init__("top")
        self._presenter = presenter
        self._shown: tuple[float, int] = (-1.0, 0)
        self.palette: Palette = DARK

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

    # The playhead

    def head(self) -> tuple[float, int]:
        """Where the playhead lies across the ruler, and on which side it is out of sight."""
        box = self.linkedView()
        low, high = box.viewRange()[0]
        now_s = self._presenter.playhead_us / US_PER_S
        side = -1 if now_s < low else int(now_s > high)
        width = self.boundingRect().width()
        return (now_s - low) / max(high - low, 1e-9) * box.width() if not side else width, side

    def follow_head(self) -> None:
        """Paint the handle anew where it has moved to another pixel."""
        x, side = self.head()
        if (round(x), side) != (round(self._shown[0]), self._shown[1]):
            self.update()

    def is_on_head_sign(self, position: QPointF) -> bool:
        """Whether a point of the timeline lies on the sign of a playhead out of sight."""
        side = self.head()[1]
        spot = self.mapFromScene(position)
        return bool(side) and self._sign(side).contains(spot)

    def _sign(self, side: int) -> QRectF:
        box = self.linkedView()
        left = 0.0 if side < 0 else box.width() - _SIGN_PX
        return QRectF(left, 0, _SIGN_PX, self.size().height() - 1)

    def paint(self, painter: QPainter, *arguments: Any) -> None:
        super().paint(painter, *arguments)
        if self.linkedView() is None:
            return
        self._shown = self.head()
        x, side = self._shown
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        accent = QColor(self.palette.accent)
        if not side:
            base = self.size().height()
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(accent)
            corners = [(x - _HEAD_PX, base - 9), (x + _HEAD_PX, base - 9), (x, base)]
            painter.drawPolygon(QPolygonF([QPointF(*corner) for corner in corners]))
            return
        spot = self._sign(side)
        painter.fillRect(spot.adjusted(-_CLEAR_PX, 0, _CLEAR_PX, -1), QColor(self.palette.ground))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(accent)
        painter.drawRoundedRect(spot, 3, 3)
        painter.setPen(QColor(self.palette.on_accent))
        time = short_time(self._presenter.playhead_us)
        words = f"◀ {time}" if side < 0 else f"{time} ▶"
        painter.drawText(spot, int(Qt.AlignmentFlag.AlignCenter), words)


class LaneNames(pg.AxisItem):
    """Names of the lanes, in the gutter at the left."""

    def __init__(self, lay_out: Callable[[], Lanes]) -> None:
        super().__init__("left")
        self._lay_out = lay_out
        metrics = QFontMetrics(QApplication.font())
        widest = max(metrics.horizontalAdvance(name) for name in WIDE_NAMES)
        self._wide_px = max(widest + 2 * _GUTTER_EDGE_PX, _GUTTER_LEAST_PX)
        self.setWidth(self._wide_px)
        self.setStyle(showValues=False)

    def paint(self, painter: QPainter, *_: Any) -> None:
        if self.linkedView() is None:
            return
        area = self.boundingRect()
        lanes = self._lay_out()
        above = lanes.area.y()
        painter.setPen(self.textPen())
        flags = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        for name, top, bottom in lanes.names():
            wide_px = self._wide_px - _GUTTER_EDGE_PX
            spot = QRectF(area.x(), top - above, wide_px, bottom - top)
            painter.drawText(spot, flags, name)
