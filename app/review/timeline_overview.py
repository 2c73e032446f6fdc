"""The whole case in a slim strip under the timeline, with the part in view marked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent, QPen, QPixmap
from PySide6.QtWidgets import QWidget

from annotate.clock import US_PER_S
from app.look.palette import Palette
from app.review.timeline_lanes import Lanes
from app.review.timeline_paint import LanePainter
from app.review.timeline_stamps import Stamps, stamp_key
from app.strip.paint_qt import colour

if TYPE_CHECKING:
    from app.review.timeline import TimelineView

HEIGHT_PX = 18
_NAME = "Whole case"
_LEAST_PX = 6.0


class Overview(QWidget):
    """Shown while the timeline shows less than the whole case; its window can be dragged."""

    def __init__(self, timeline: TimelineView) -> None:
        super().__init__(timeline)
        self._timeline = timeline
        self._picture: QPixmap | None = None
        self._picture_of: tuple[object, ...] = ()
        self._stamps: Stamps | None = None
        self._held_s: float | None = None
        self.setFixedHeight(HEIGHT_PX)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAccessibleName("The whole case, with the part in view marked")
        self.setToolTip("The whole case. Drag the marked part, or click where to look.")
        self.hide()

    def area(self) -> QRectF:
        """Where the whole case lies."""
        lanes = self._timeline.getViewBox().sceneBoundingRect()
        return QRectF(lanes.x(), 1, lanes.width(), self.height() - 2)

    def x_of(self, time_s: float) -> float:
        """Where a moment of the case lies."""
        area, length_s = self.area(), self._length_s
        return area.x() + min(max(time_s, 0.0), length_s) / length_s * area.width()

    def window(self) -> QRectF:  # type: ignore[override]
        """Where the part in view lies."""
        low, high = self._timeline.getViewBox().viewRange()[0]
        left, right = self.x_of(low), self.x_of(high)
        wide = max(right - left, _LEAST_PX)
        middle = (left + right) / 2
        return QRectF(middle - wide / 2, 0.5, wide, self.height() - 1)

    @property
    def _length_s(self) -> float:
        return max(self._timeline.presenter.length_us, 1) / US_PER_S

    def paintEvent(self, event: QPaintEvent) -> None:
        palette: Palette = self._timeline.lanes.palette
        painter = QPainter(self)
        try:
            painter.fillRect(self.rect(), QColor(palette.ground))
            area = self.area()
            painter.setPen(QColor(palette.quiet))
            flags = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            painter.drawText(QRectF(0, 0, area.x() - 8, self.height()), flags, _NAME)
            painter.fillRect(area, QColor(palette.sunken))
            painter.drawPixmap(area.topLeft(), self._strip(area, palette))
            self._paint_window(painter, area, palette)
        finally:
            painter.end()

    def _paint_window(self, painter: QPainter, area: QRectF, palette: Palette) -> None:
        window = self.window()
        veil = colour(palette.ground, 0.5)
        painter.fillRect(QRectF(QPointF(area.left(), 0), window.bottomLeft()), veil)
        painter.fillRect(QRectF(window.topRight(), QPointF(area.right(), self.height())), veil)
        painter.setPen(QPen(QColor(palette.text), 1.5))
        painter.drawRect(window)
        x = self.x_of(self._timeline.presenter.playhead_us / US_PER_S)
        for tone, wide in ((palette.ground, 7), (palette.accent, 3)):  # clear of the hues beside it
            painter.setPen(QPen(QColor(tone), wide, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
            painter.drawLine(QPointF(x, 0), QPointF(x, self.height()))

    def _strip(self, area: QRectF, palette: Palette) -> QPixmap:
        index, density = self._timeline.lanes.index, self.devicePixelRatioF()
        state = (index.spans, index.markup.tags, area.width(), palette, density)
        if self._picture is None or not _same(state, self._picture_of):
            flat = QRectF(0, 0, area.width(), area.height())
            lanes = Lanes(
                flat, 0, self._timeline.presenter.length_us, flat.height(),
                has_pins=False, has_words=False,
            )  # fmt: skip
            content = self._timeline.lanes.content()
            if self._stamps is None or self._stamps.key != stamp_key(lanes.strip, palette, density):
                styles = tuple(content.styles.values())
                self._stamps = Stamps(lanes.strip, palette, styles, density)
            made = QPixmap(round(flat.width() * density), round(flat.height() * density))
            made.setDevicePixelRatio(density)
            made.fill(Qt.GlobalColor.transparent)
            painter = QPainter(made)
            try:
                LanePainter(painter, lanes, index, content, palette, self._stamps).paint()
            finally:
                painter.end()
            self._picture, self._picture_of = made, state
        return self._picture

    # Pointer

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() is not Qt.MouseButton.LeftButton:
            return
        low, high = self._timeline.getViewBox().viewRange()[0]
        at_s = self._time_at(event.position().x())
        if not self.window().contains(event.position()):
            self._timeline.look_at(at_s)
            low, high = self._timeline.getViewBox().viewRange()[0]
        self._held_s = at_s - (low + high) / 2

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held_s is not None:
            self._timeline.look_at(self._time_at(event.position().x()) - self._held_s)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._held_s = None

    def _time_at(self, x: float) -> float:
        area = self.area()
        return (x - area.x()) / max(area.width(), 1.0) * self._length_s


def _same(state: tuple[object, ...], other: tuple[object, ...]) -> bool:
    """Whether two states are one; the tags are told apart as what they are, not gone through."""
    return len(state) == len(other) and all(
        a is b or (not isinstance(a, tuple | dict) and a == b)
        for a, b in zip(state, other, strict=True)
    )
