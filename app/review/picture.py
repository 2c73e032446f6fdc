"""The picture: paints the newest frame as it is looked at, and the marks of its moment.

Zoom, turn and tone are wished for here (`framing`, `tone`) and made by whoever decodes. Until a
picture comes that was made so, the one at hand is painted as near to it as it can be.
"""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QMouseEvent,
    QNativeGestureEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from annotate.clip.showing import NEUTRAL, Framing, Tone
from app.look.focus_ring import FocusRing
from app.look.theme import current_palette
from app.playing.shown import Shown
from app.review.mark_layer import MarkLayer
from app.review.pointer import Hand, PointerTool
from app.review.viewpoint import ZOOM_STEP, Point, Room, Viewpoint

_NOTCH = 120
"""What a wheel's notch counts."""


class PictureView(QWidget):
    """Shows one frame with the session's marks over it.

    Signals
    -------
    room_changed
        There is more or less room.
    framing_changed
        Pictures are to come otherwise: look at `framing` and `tone`.
    """

    room_changed = Signal()
    framing_changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: Shown | None = None
        self._image: QImage | None = None
        self._made_as = Framing()
        self._sentence = ""
        self._picture_size = (16, 9)
        self._viewpoint = Viewpoint()
        self._tone = NEUTRAL
        self._is_original = False
        self.layer = MarkLayer()
        self.tool: PointerTool = Hand(self)
        self.setMinimumSize(320, 180)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Picture of the case")
        self.focus_ring = FocusRing(self)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    # What is wished for

    def room(self) -> tuple[int, int]:
        """Width and height in device pixels."""
        ratio = self.devicePixelRatioF()
        return round(self.width() * ratio), round(self.height() * ratio)

    def look_room(self) -> Room:
        """The room with the size of the picture in it."""
        return Room(self.room(), self._picture_size)

    @property
    def framing(self) -> Framing:
        """How pictures are to be made, in device pixels."""
        return self.seen_from.framing(self.look_room())

    @property
    def tone(self) -> Tone:
        """The tone in which pictures are to come."""
        return NEUTRAL if self._is_original else self._tone

    @property
    def viewpoint(self) -> Viewpoint:
        """From where it is looked at, whether or not the original is shown just now."""
        return self._viewpoint

    @property
    def chosen_tone(self) -> Tone:
        """The tone that was set, whether or not the original is shown just now."""
        return self._tone

    @property
    def is_original(self) -> bool:
        """Whether turn, mirror and tone are left out just now."""
        return self._is_original

    @property
    def seen_from(self) -> Viewpoint:
        """From where it is looked at now: while the original is shown, as it was filmed."""
        return self._viewpoint.as_filmed() if self._is_original else self._viewpoint

    def look_from(self, viewpoint: Viewpoint) -> None:
        """Look from elsewhere."""
        if viewpoint != self._viewpoint:
            self._viewpoint = viewpoint
            self._change()

    def look_at(self, seen: Viewpoint) -> None:
        """Look at another spot, or from nearer; the way round stays as it was set."""
        mine = self._viewpoint
        self.look_from(replace(seen, turn_deg=mine.turn_deg, is_mirrored=mine.is_mirrored))

    def set_tone(self, tone: Tone) -> None:
        """Set the tone."""
        if tone != self._tone:
            self._tone = tone
            self._change()

    def show_original(self, is_original: bool) -> None:
        """Leave turn, mirror and tone out, or take them in again; what is enlarged stays so."""
        if is_original != self._is_original:
            self._is_original = is_original
            self._change()

    def set_picture_size(self, size: tuple[int, int]) -> None:
        """Say how large the upright picture is, in its own pixels."""
        if min(size) > 0 and size != self._picture_size:
            self._picture_size = size
            self._change()

    def _change(self) -> None:
        self.setCursor(self.tool.cursor)
        self.update()
        self.framing_changed.emit()

    # What is shown

    def show_picture(self, shown: Shown) -> None:
        """Paint this frame from now on."""
        height, width = shown.pixels.shape[:2]
        image = QImage(
            shown.pixels.data, width, height, shown.pixels.strides[0], QImage.Format.Format_RGB32
        )
        self._shown, self._image, self._sentence = shown, image, ""
        self._made_as = shown.framing
        self.set_picture_size(shown.picture_size)
        self.update()

    def say(self, sentence: str) -> None:
        """Show words in place of the picture."""
        self._image, self._sentence = None, sentence
        self.update()

    @property
    def shown_number(self) -> int | None:
        """Number of the frame on the screen."""
        return self._shown.number if self._shown else None

    def as_on_screen(self) -> QImage | None:
        """The picture as it is on the screen, with its marks; None where there is none."""
        if self._image is None:
            return None
        area = self.seen_from.area(self.look_room())
        self.layer.is_bare = True  # neither handles nor what is only being drawn
        try:
            whole = self.grab().toImage()
        finally:
            self.layer.is_bare = False
        return whole.copy(area.left, area.top, area.width, area.height)

    def sizeHint(self) -> QSize:
        return QSize(960, 540)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.room_changed.emit()
        self.framing_changed.emit()

    # Painting

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
        area = self.picture_area()
        painter.setClipRect(area)
        self._paint_image(painter, self._image, area)
        self.layer.paint(painter, self.framing, area, self.place_of)

    def picture_area(self) -> QRectF:
        """Where the shown part of the picture lies, in the widget's own lengths."""
        area = self.seen_from.area(self.look_room())
        ratio = self.devicePixelRatioF()
        return QRectF(area.left / ratio, area.top / ratio, area.width / ratio, area.height / ratio)

    def place_of(self, point: Point) -> QPointF:
        """Where a point of the upright picture (in shares of it) lies in this widget."""
        x, y = self.framing.to_view(*point)
        area = self.picture_area()
        return QPointF(area.x() + x * area.width(), area.y() + y * area.height())

    def point_at(self, place: QPointF) -> Point:
        """The inverse of `place_of`; below 0 or above 1 beside the picture."""
        area = self.picture_area()
        return self.framing.to_picture(
            (place.x() - area.x()) / area.width(), (place.y() - area.y()) / area.height()
        )

    def _paint_image(self, painter: QPainter, image: QImage, area: QRectF) -> None:
        """Pixel for pixel where the picture was made for this view; else as near as it can be."""
        wanted = self.framing
        if self._made_as == wanted and (image.width(), image.height()) == (
            wanted.width,
            wanted.height,
        ):
            image.setDevicePixelRatio(self.devicePixelRatioF())
            painter.drawImage(area.topLeft(), image)
            return
        corner, right, below = (
            self.place_of(self._made_as.to_picture(*at)) for at in ((0, 0), (1, 0), (0, 1))
        )
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        across, down = right - corner, below - corner
        to_place = QTransform(across.x(), across.y(), down.x(), down.y(), corner.x(), corner.y())
        painter.setTransform(to_place, True)
        painter.drawImage(QRectF(0, 0, 1, 1), image)
        painter.restore()

    # Pointer

    def _spot(self, place: QPointF) -> Point:
        """A place of the widget in device pixels."""
        ratio = self.devicePixelRatioF()
        return place.x() * ratio, place.y() * ratio

    def zoom(self, factor: float, at: Point | None = None) -> None:
        """Look from nearer; what is under a point (device pixels), or in the middle, stays."""
        self.look_at(self.seen_from.zoomed(self.look_room(), factor, at))

    def move_by(self, right: float, down: float) -> None:
        """Look at what lies beside: shares of the room, to the right and down."""
        width, height = self.room()
        room = self.look_room()
        self.look_at(self.seen_from.moved(room, -right * width, -down * height))

    def wheelEvent(self, event: QWheelEvent) -> None:
        notches = event.angleDelta().y() / _NOTCH
        if self._image is None or not notches:
            event.ignore()
            return
        self.zoom(ZOOM_STEP**notches, self._spot(event.position()))
        event.accept()

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QNativeGestureEvent):
            if event.gestureType() is Qt.NativeGestureType.ZoomNativeGesture:
                self.zoom(1 + event.value(), self._spot(event.position()))
                return True
        elif event.type() == QEvent.Type.DevicePixelRatioChange:
            self.framing_changed.emit()
        return super().event(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        if event.button() is Qt.MouseButton.LeftButton and self._image is not None:
            self.tool.press(self._spot(event.position()))
            self.setCursor(self.tool.cursor)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() & Qt.MouseButton.LeftButton:
            self.tool.drag(self._spot(event.position()))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton:
            self.tool.release(self._spot(event.position()))
            self.setCursor(self.tool.cursor)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if not isinstance(self.tool, Hand):
            self.mousePressEvent(event)
        elif event.button() is Qt.MouseButton.LeftButton:
            self.look_from(self._viewpoint.fitted())
