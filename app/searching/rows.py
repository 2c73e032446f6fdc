"""The rows of a search's answer as Qt shows them: a heading for each case, then its places."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRectF,
    QSize,
    Qt,
)
from PySide6.QtGui import QColor, QFont, QPainter, QTextDocument, QTextOption
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from annotate.clock import short_time
from app.look.pointed import pointed_words
from app.look.theme import chosen_colour, current_palette
from app.searching.answers import Answer, Line

Row = Line | str
"""A place that was found, or the heading of a case."""
Index = QModelIndex | QPersistentModelIndex
_TIME_PX, _KIND_PX, _GAP_PX, _EDGE_PX = 64, 78, 10, 10
_ROW_PX = 26
_CUT = "…"


class FoundModel(QAbstractListModel):
    """Rows of an answer.

    Parameters
    ----------
    viewer : str
        Whose reviews are named without saying whose.
    """

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.viewer = ""
        self.rows: list[Row] = []

    def take(self, answer: Answer) -> None:
        """Show an answer."""
        self.beginResetModel()
        self.rows = []
        for code, lines in answer.cases:
            self.rows += [code, *lines]
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own signature
        return 0 if parent.isValid() else len(self.rows)

    def flags(self, index: Index) -> Qt.ItemFlag:
        if isinstance(self.rows[index.row()], str):
            return Qt.ItemFlag.NoItemFlags
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        row = self.rows[index.row()]
        if role == Qt.ItemDataRole.UserRole:
            return row
        if role == Qt.ItemDataRole.DisplayRole:
            return row if isinstance(row, str) else row.words
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return row if isinstance(row, str) else spoken(row, self.viewer)
        if role == Qt.ItemDataRole.ToolTipRole and isinstance(row, Line):
            return pointed_words(f"{row.said} ({row.found.case_code}, by {row.found.reviewer})")
        return None


def spoken(line: Line, viewer: str) -> str:
    """A place in one sentence, for who does not see the row."""
    found = line.found
    whose = "" if found.reviewer == viewer else f", review by {found.reviewer}"
    about = f", about {line.about}" if line.about else ""
    return (
        f"{found.case_code}, {short_time(found.start_us)}, {line.kind}: {line.words}{about}{whose}"
    )


class FoundPainter(QStyledItemDelegate):
    """Paints a row: time, what it is, its words with what was found set apart."""

    def __init__(self, model: FoundModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = model

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(200, max(_ROW_PX, option.fontMetrics.height() + 9))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        row: Row = index.data(Qt.ItemDataRole.UserRole)
        rect = QRectF(option.rect)
        state = option.state
        painter.save()
        if state & QStyle.StateFlag.State_Selected:
            painter.fillRect(rect, QColor(chosen_colour(current_palette())))
        if isinstance(row, str):
            self._paint_heading(painter, rect, row)
        else:
            self._paint_line(painter, rect, row, option.font)
        painter.restore()

    def _paint_heading(self, painter: QPainter, rect: QRectF, code: str) -> None:
        palette = current_palette()
        font = QFont(painter.font())
        font.setBold(True)
        painter.setFont(font)
        painter.setPen(QColor(palette.text))
        painter.drawText(rect.adjusted(_EDGE_PX, 0, 0, 0), _MIDDLE, code)
        painter.setPen(QColor(palette.line))
        painter.drawLine(rect.bottomLeft(), rect.bottomRight())

    def _paint_line(self, painter: QPainter, rect: QRectF, line: Line, font: QFont) -> None:
        palette = current_palette()
        painter.setFont(font)
        painter.setPen(QColor(palette.quiet))
        time = QRectF(rect.x() + _EDGE_PX, rect.y(), _TIME_PX, rect.height())
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(time, right, short_time(line.found.start_us))
        kind = QRectF(time.right() + _GAP_PX, rect.y(), _KIND_PX, rect.height())
        painter.drawText(kind, _MIDDLE, line.kind)
        aside = ", ".join(filter(None, [line.about, self._whose(line)]))
        metrics = painter.fontMetrics()
        width = min(metrics.horizontalAdvance(aside), round(rect.width() * 0.3))
        end = QRectF(rect.right() - width - _EDGE_PX, rect.y(), width, rect.height())
        painter.drawText(end, right, metrics.elidedText(aside, Qt.TextElideMode.ElideRight, width))
        left = kind.right() + _GAP_PX
        self._paint_words(
            painter, QRectF(left, rect.y(), end.left() - _GAP_PX - left, rect.height()), line, font
        )

    def _whose(self, line: Line) -> str:
        reviewer = line.found.reviewer
        return "" if reviewer == self._model.viewer else f"by {reviewer}"

    def _paint_words(self, painter: QPainter, room: QRectF, line: Line, font: QFont) -> None:
        palette = current_palette()
        html = "".join(
            f'<b style="color:{palette.accent}">{escape(piece)}</b>' if is_found else escape(piece)
            for piece, is_found in line.pieces
        )
        words = QTextDocument()
        words.setDefaultFont(font)
        words.setDocumentMargin(0)
        option = QTextOption()
        option.setWrapMode(QTextOption.WrapMode.NoWrap)
        words.setDefaultTextOption(option)
        words.setHtml(f'<span style="color:{palette.text}">{html}</span>')
        is_cut = words.idealWidth() > room.width()
        if is_cut:
            dots = painter.fontMetrics().horizontalAdvance(_CUT) + 2
            painter.drawText(
                room, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, _CUT
            )
            room.setWidth(room.width() - dots)
        painter.setClipRect(room)
        painter.translate(room.x(), room.y() + (room.height() - words.size().height()) / 2)
        words.drawContents(painter, QRectF(0, 0, room.width(), room.height()))


_MIDDLE = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
