"""What is drawn in the cells of the list: the poster, and the case strip with its tooltip."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QHelpEvent, QPainter, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QToolTip,
)

from app.caseload.strip_words import words_at
from app.caseload.table import POSTER_SIZE, ROW_PX
from app.look.theme import chosen_colour, current_palette
from app.strip.layout import StripContent, StripFrame, strip_shapes
from app.strip.paint_qt import paint_shapes

Index = QModelIndex | QPersistentModelIndex
_BAR_PX = 3
_MARGIN_PX = 2.0


def _fill_if_chosen(painter: QPainter, option: QStyleOptionViewItem) -> bool:
    is_chosen = bool(option.state & QStyle.StateFlag.State_Selected)
    if is_chosen:
        painter.fillRect(option.rect, QColor(chosen_colour(current_palette())))
    return is_chosen


class PosterDelegate(QStyledItemDelegate):
    """Draws a case's picture as it is, and a bar at the left of the chosen row."""

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        palette = current_palette()
        if _fill_if_chosen(painter, option):
            bar = QRectF(option.rect)
            bar.setWidth(_BAR_PX)
            painter.fillRect(bar, QColor(palette.accent))
        picture = index.data(Qt.ItemDataRole.DecorationRole)
        room = QRectF(option.rect).adjusted(_BAR_PX + 3, 0, -3, 0)
        if isinstance(picture, QPixmap):
            size = picture.deviceIndependentSize()
            place = QRectF(0, 0, size.width(), size.height())
            place.moveCenter(room.center())
            painter.drawPixmap(place.topLeft(), picture)
            return
        words = str(index.data(Qt.ItemDataRole.DisplayRole) or "")
        if not words:  # its picture is still being made
            place = QRectF(0, 0, POSTER_SIZE.width(), POSTER_SIZE.height())
            place.moveCenter(room.center())
            painter.fillRect(place, QColor(palette.sunken))
            return
        painter.setPen(QColor(palette.quiet))
        painter.drawText(room, int(Qt.AlignmentFlag.AlignCenter), words)

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(POSTER_SIZE.width() + 14, ROW_PX)


class StripDelegate(QStyledItemDelegate):
    """Draws the case strip in its cell, and says what is under the pointer."""

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        _fill_if_chosen(painter, option)
        content: StripContent = index.data(Qt.ItemDataRole.UserRole)
        room = _room(option)
        frame = StripFrame(room.width(), room.height(), margin=_MARGIN_PX)
        painter.save()
        painter.setClipRect(option.rect)
        shapes = strip_shapes(content, frame, current_palette())
        paint_shapes(painter, shapes, room.x(), room.y())
        painter.restore()

    def helpEvent(
        self,
        event: QHelpEvent,
        view: QAbstractItemView,
        option: QStyleOptionViewItem,
        index: Index,
    ) -> bool:
        if event.type() != QEvent.Type.ToolTip or not index.isValid():
            return super().helpEvent(event, view, option, index)
        content: StripContent = index.data(Qt.ItemDataRole.UserRole)
        room = _room(option)
        time_us = time_at(event.pos().x() - room.x(), room.width(), content.length_us)
        slack_us = round(4 * content.length_us / room.width())
        words = words_at(content.markup, content.labels, time_us, slack_us)
        QToolTip.showText(event.globalPos(), words, view)
        return True

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(240, ROW_PX)


def _room(option: QStyleOptionViewItem) -> QRectF:
    """Where in its cell the strip is drawn."""
    room = QRectF(option.rect).adjusted(6, 7, -12, -7)
    room.setWidth(max(room.width(), 10.0))
    return room


def time_at(x: float, width: float, length_us: int) -> int:
    """The case time that stands at an x of a strip of that width."""
    part = (x - _MARGIN_PX) / max(width - 2 * _MARGIN_PX, 1.0)
    return round(max(0.0, min(part, 1.0)) * length_us)
