"""The picture: paints the newest frame, and the marks that belong to its moment."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QImage, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from annotate.marks import Mark, MarkKind
from app.look.theme import current_palette
from app.review.picture_feed import Shown


class PictureView(QWidget):
    """Shows one frame, fitted, with the session's marks over it."""

    room_changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: Shown | None = None
        self._image: QImage | None = None
        self._sentence = ""
        self._marks: tuple[Mark, ...] = ()
        self.setMinimumSize(320, 180)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Picture of the case")
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    def room(self) -> tuple[int, int]:
        """Width and height in device pixels."""
        ratio = self.devicePixelRatioF()
        return round(self.width() * ratio), round(self.height() * ratio)

    def show_picture(self, shown: Shown, marks: tuple[Mark, ...]) -> None:
        """Paint this frame from now on."""
        height, width = shown.pixels.shape[:2]
        image = QImage(
            shown.pixels.data, width, height, shown.pixels.strides[0], QImage.Format.Format_RGB32
        )
        image.setDevicePixelRatio(self.devicePixelRatioF())
        self._shown, self._image, self._marks, self._sentence = shown, image, marks, ""
        self.update()

    def say(self, sentence: str) -> None:
        """Show words in place of the picture."""
        self._image, self._sentence = None, sentence
        self.update()

    @property
    def shown_number(self) -> int | None:
        """Number of the frame on the screen."""
        return self._shown.number if self._shown else None

    def sizeHint(self) -> QSize:
        return QSize(960, 540)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.room_changed.emit()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        palette = current_palette()
        painter.fillRect(self.rect(), QColor(palette.sunken))
        if self._image is None:
            painter.setPen(QColor(palette.quiet))
            room = self.rect().adjusted(40, 40, -40, -40)
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(room, int(flags), self._sentence)
            return
        area = self._picture_area(self._image)
        if abs(area.width() - self._image.deviceIndependentSize().width()) < 1.5:
            painter.drawImage(area.topLeft(), self._image)
        else:
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            painter.drawImage(area, self._image)
        for mark in self._marks:
            _paint_mark(painter, mark, area)

    def _picture_area(self, image: QImage) -> QRectF:
        """Where the picture lies: as large as fits, in the middle."""
        scale = min(self.width() / image.width(), self.height() / image.height())
        width, height = image.width() * scale, image.height() * scale
        return QRectF((self.width() - width) / 2, (self.height() - height) / 2, width, height)


def _paint_mark(painter: QPainter, mark: Mark, area: QRectF) -> None:
    """Draw a mark twice, dark below light, so that it stands out on any tissue."""
    points = [
        QPointF(area.x() + x * area.width(), area.y() + y * area.height()) for x, y in mark.points
    ]
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for colour, width in (("#101414", 5.0), ("#f4f7f5", 2.4)):
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
            barb = QPointF(math.cos(along + turn), math.sin(along + turn)) * 14
            painter.drawLine(head, head + barb)


def _label(painter: QPainter, text: str, at: QPointF) -> None:
    font = QFont(painter.font())
    font.setPixelSize(15)
    font.setBold(True)
    painter.setFont(font)
    width = painter.fontMetrics().horizontalAdvance(text) + 12
    box = QRectF(at.x() + 8, at.y() - 28, width, 22)
    painter.fillRect(box, QColor(16, 20, 20, 210))
    painter.setPen(QColor("#f4f7f5"))
    painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), text)
