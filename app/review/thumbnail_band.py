"""A band of small pictures along the timeline, each where it belongs; it follows its zoom.

A place in which no picture lies borrows the nearest one, drawn dim; where that is far off, the
place stays empty.
"""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QApplication, QSizePolicy, QWidget

from annotate.clock import US_PER_S
from app.look.theme import current_palette
from app.review.band_images import BandImages
from app.review.case_looks import AS_FILMED, CaseLook
from app.review.case_pictures import BORROWED_US, CasePictures, SlotPicture
from app.review.presenter import ReviewPresenter
from app.review.small_look import aspect_seen
from app.review.timeline import TimelineView

_LOW_PX, _HIGH_PX = 32, 52
_BETWEEN_PX = 1
_NAME = "Pictures"
_BEING_MADE = "Small pictures are being made ..."
DIM = 0.4
"""How much is left of a picture that is not of its place."""


class ThumbnailBand(QWidget):
    """Small pictures over the timeline.

    Signals
    -------
    hovered, left
        The pointer is over a case time, in microseconds, or has gone.
    wished, passed
        A case time was gone to, or dragged over.
    """

    hovered = Signal(object, float)
    left = Signal()
    wished = Signal(object)
    passed = Signal(object)

    def __init__(
        self,
        presenter: ReviewPresenter,
        timeline: TimelineView,
        pictures: CasePictures,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._presenter, self._timeline, self.pictures = presenter, timeline, pictures
        self._images = BandImages()
        self._look = AS_FILMED
        self._head_x = -1.0
        self._is_scrubbing = False
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Small pictures along the timeline")
        self.fit_to(is_low=True)
        timeline.getViewBox().sigXRangeChanged.connect(self._follow_zoom)
        presenter.playhead_moved.listen(self._follow_head)
        self.look_again()

    # What it shows

    def fit_to(self, *, is_low: bool) -> None:
        """Be as high as a low or a high screen has room for."""
        self.setFixedHeight(_LOW_PX if is_low else _HIGH_PX)

    def look_again(self) -> None:
        """There may be more pictures."""
        self.setAccessibleDescription(self.words())
        self.update()

    def show_look(self, look: CaseLook) -> None:
        """Show the pictures turned, mirrored and toned so."""
        self._look = look
        self.update()

    def words(self) -> str:
        """How many there are, and what a dim one means, in words."""
        n, is_complete = self.pictures.n_made, self.pictures.is_complete
        if not n:
            return "No small picture can be made" if is_complete else _BEING_MADE
        so_far = "" if is_complete else " so far"
        return (
            f"{n} small pictures{so_far}. Where none was made, the nearest within "
            f"{BORROWED_US // US_PER_S} s stands, drawn dim."
        )

    def slots(self) -> list[tuple[QRectF, SlotPicture | None]]:
        """The places along the band, and the picture in each."""
        area = self._area()
        aspect = aspect_seen(self.pictures.aspect, self._look)
        width_px = max(self.height() * aspect, 12.0) + _BETWEEN_PX
        start_us, us_per_px = self._scale(area)
        slot_us = round(width_px * us_per_px)
        if slot_us < 1:
            return []
        first = max(start_us // slot_us, 0)
        end_us = min(start_us + us_per_px * area.width(), self._presenter.length_us)
        n_slots = max(int(-(-(end_us - first * slot_us) // slot_us)), 0)
        found = self.pictures.along(int(first * slot_us), slot_us, n_slots)
        lefts = (area.x() + ((first + n) * slot_us - start_us) / us_per_px for n in range(n_slots))
        size = (width_px - _BETWEEN_PX, float(self.height()))
        return [(QRectF(x, 0, *size), picture) for x, picture in zip(lefts, found, strict=True)]

    def sizeHint(self) -> QSize:
        return QSize(200, self.height())

    def paintEvent(self, event: QPaintEvent) -> None:
        palette = current_palette()
        painter = QPainter(self)
        try:
            painter.fillRect(self.rect(), QColor(palette.ground))
            area = self._area()
            painter.setPen(QColor(palette.quiet))
            flags = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            painter.drawText(QRectF(0, 0, area.x() - 8, self.height()), flags, _NAME)
            painter.setClipRect(area)
            painter.fillRect(area, QColor(palette.sunken))
            slots = self.slots()
            for place, found in slots:
                if found is not None and place.intersects(QRectF(event.rect())):
                    painter.setOpacity(1.0 if found.is_here else DIM)
                    self._images.paint(painter, found.picture, place, self._look)
            painter.setOpacity(1.0)
            if not any(found is not None for _, found in slots):
                painter.drawText(area.adjusted(10, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter,
                                 self._why_empty())  # fmt: skip
            self._head_x = self._timeline.x_of(self._presenter.playhead_us)
            painter.setPen(QPen(QColor(palette.accent), 2))
            painter.drawLine(QPointF(self._head_x, 0), QPointF(self._head_x, self.height()))
        finally:
            painter.end()

    def _why_empty(self) -> str:
        if self.pictures.n_made:
            return "No small picture lies in this stretch"
        return self.words()

    def _area(self) -> QRectF:
        """Where the timeline's lanes lie across, at this band's height."""
        lanes = self._timeline.lanes_area().area
        return QRectF(lanes.x(), 0, lanes.width(), self.height())

    def _scale(self, area: QRectF) -> tuple[float, float]:
        """Case time at the left edge, and microseconds a pixel."""
        low, high = self._timeline.getViewBox().viewRange()[0]
        return low * US_PER_S, (high - low) * US_PER_S / max(area.width(), 1.0)

    def _follow_zoom(self, *_: object) -> None:
        self.update()

    def _follow_head(self) -> None:
        x = self._timeline.x_of(self._presenter.playhead_us)
        for edge in (self._head_x, x):
            self.update(int(edge) - 2, 0, 5, self.height())

    # Pointer

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton:
            self._is_scrubbing = True
            self.left.emit()
            self.wished.emit(self._timeline.time_at(event.position()))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        time_us = self._timeline.time_at(event.position())
        if self._is_scrubbing:
            self.passed.emit(time_us)
        elif event.position().x() >= self._area().x():
            self.hovered.emit(time_us, event.position().x())
        else:
            self.left.emit()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._is_scrubbing:
            self._is_scrubbing = False
            self.wished.emit(self._timeline.time_at(event.position()))

    def leaveEvent(self, event: object) -> None:
        self.left.emit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        QApplication.sendEvent(self._timeline.viewport(), event)
