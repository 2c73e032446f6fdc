"""Signs for going to the tag before and the next one: an arrow, and a pin of the case strip."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPalette, QPen, QPixmap, QPolygonF
from PySide6.QtWidgets import QToolButton

_SIZE = QSize(18, 14)
_RATIOS = (1.0, 2.0, 3.0)
"""Of screens; each gets the icon pixel for pixel."""


def tag_icon(colour: QColor, faded: QColor, *, is_next: bool) -> QIcon:
    """An arrow to the right and a pin right of it; mirrored for the tag before."""
    icon = QIcon()
    for mode, ink in ((QIcon.Mode.Normal, colour), (QIcon.Mode.Disabled, faded)):
        for ratio in _RATIOS:
            icon.addPixmap(_painted(ink, ratio, is_next=is_next), mode)
    return icon


def _painted(ink: QColor, ratio: float, *, is_next: bool) -> QPixmap:
    pixmap = QPixmap(round(_SIZE.width() * ratio), round(_SIZE.height() * ratio))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if not is_next:
            painter.translate(_SIZE.width(), 0)
            painter.scale(-1, 1)
        painter.setPen(QPen(ink, 1.5, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        painter.drawLine(QPointF(1, 7), QPointF(8, 7))
        painter.drawPolyline(QPolygonF([QPointF(5, 4), QPointF(8.5, 7), QPointF(5, 10)]))
        painter.drawLine(QPointF(14.5, 6), QPointF(14.5, 13))  # the pin's needle and its head
        painter.setBrush(ink)
        painter.drawEllipse(QPointF(14.5, 4), 2.8, 2.8)
    finally:
        painter.end()
    return pixmap


class TagButton(QToolButton):
    """A button whose sign takes the colours of the theme."""

    def __init__(self, *, is_next: bool) -> None:
        super().__init__()
        self._is_next = is_next
        self.setIconSize(_SIZE)
        self.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        if is_next:  # the sign stands on the side to which it goes
            self.setLayoutDirection(Qt.LayoutDirection.RightToLeft)
        self._dress()

    def _dress(self) -> None:
        palette, role = self.palette(), QPalette.ColorRole.ButtonText
        faded = palette.color(QPalette.ColorGroup.Disabled, role)
        colour = palette.color(QPalette.ColorGroup.Active, role)
        self.setIcon(tag_icon(colour, faded, is_next=self._is_next))

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.ApplicationPaletteChange):
            self._dress()
