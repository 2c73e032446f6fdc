"""Paints a line of the list: its sign, its words as far as there is room, how long it lasts."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, Qt
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from app.look.palette import phase_styles
from app.look.theme import current_palette
from app.review.presenter import ReviewPresenter
from app.review.row_model import RowModel
from app.review.row_signs import SIGN_PX, sign_shapes
from app.strip.paint_qt import paint_shapes

Index = QModelIndex | QPersistentModelIndex
_EDGE_PX, _GAP_PX = 4, 6


class RowPainter(QStyledItemDelegate):
    """Words take the whole width; the end is kept free only where something stands there."""

    def __init__(
        self, model: RowModel, presenter: ReviewPresenter, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._model = model
        self._styles = phase_styles(presenter.vocabulary.phase_codes)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        ground = QStyleOptionViewItem(option)
        self.initStyleOption(ground, index)
        words, ground.text = ground.text, ""
        style = option.widget.style()
        style.drawControl(QStyle.ControlElement.CE_ItemViewItem, ground, painter, option.widget)
        palette = current_palette()
        room = QRectF(option.rect).adjusted(_EDGE_PX, 0, -_EDGE_PX, 0)
        painter.save()
        painter.setFont(ground.font)
        shapes = sign_shapes(self._model.rows[index.row()], self._styles, palette)
        paint_shapes(painter, shapes, room.left(), room.center().y() - SIGN_PX / 2)
        metrics = ground.fontMetrics
        end = self._model.end_words(index.row())
        painter.setPen(QColor(palette.quiet))
        painter.drawText(room, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, end)
        end_px = metrics.horizontalAdvance(end) + 2 * _GAP_PX if end else 0
        room.adjust(SIGN_PX + _GAP_PX, 0, -end_px, 0)
        painter.setPen(QColor(palette.text))
        shown = metrics.elidedText(words, Qt.TextElideMode.ElideRight, int(room.width()))
        painter.drawText(room, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, shown)
        painter.restore()
