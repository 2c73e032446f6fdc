"""The keys that a vocabulary may use, drawn as a keyboard to choose from."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QFont,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from annotate.vocabulary_check import KEYS
from app.look.theme import current_palette
from app.review.pad_button import key_cap, key_words

ROWS = ("1234567890", "qwertQWERT", "asdfgASDFG", "zxcvbZXCVB")
_CAP_HEIGHT_PX = 34
_WIDEST_CAP_PX = 66
_SMALLEST_CAP_PX = 34
_GAP_PX = 4
_BETWEEN_PX = 12
"""Between the plain letters and those with Shift."""


class KeyChoice(QWidget):
    """A keyboard's left hand: free keys stand out, a taken one says whose it is.

    Arrows go from key to key, Space takes one; typing a key takes it too.

    Parameters
    ----------
    owner : callable
        Label of the word that has a key; empty where it is free.

    Signals
    -------
    chosen
        A free key, or the word's own.
    """

    chosen = Signal(str)

    def __init__(self, owner: Callable[[str], str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._owner = owner
        self._key = ""
        self._at = (0, 0)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Key")
        self.show_key("")

    def show_key(self, key: str) -> None:
        """Show which key the word has."""
        self._key = key
        if key in KEYS:
            self._at = next((r, row.index(key)) for r, row in enumerate(ROWS) if key in row)
        free = [other for row in ROWS for other in row if not self._owner(other)]
        said = f"Now {key_words(key)}" if key else "No key yet"
        self.setAccessibleDescription(f"{said}. Free: {' '.join(free) or 'none'}")
        self.setToolTip("Type a free key, or go with the arrows and press Space.")
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(10 * (56 + _GAP_PX) + _BETWEEN_PX, len(ROWS) * (_CAP_HEIGHT_PX + _GAP_PX))

    def minimumSizeHint(self) -> QSize:
        return QSize(10 * (_SMALLEST_CAP_PX + _GAP_PX) + _BETWEEN_PX, self.sizeHint().height())

    def cap(self, key: str) -> QRectF:
        """Where a key is drawn."""
        row, column = next((r, row.index(key)) for r, row in enumerate(ROWS) if key in row)
        width = min((self.width() - _BETWEEN_PX) / 10 - _GAP_PX, _WIDEST_CAP_PX)
        x = column * (width + _GAP_PX) + (_BETWEEN_PX if row and column >= 5 else 0)
        return QRectF(x + 1, row * (_CAP_HEIGHT_PX + _GAP_PX) + 1, width - 2, _CAP_HEIGHT_PX - 2)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for row in ROWS:
            for key in row:
                self._paint(painter, key)

    def _paint(self, painter: QPainter, key: str) -> None:
        palette = current_palette()
        cap, owner, is_own = self.cap(key), self._owner(key), key == self._key
        is_here = self.hasFocus() and ROWS[self._at[0]][self._at[1]] == key
        ground = palette.accent if is_own else palette.ground if owner else palette.raised
        edge = palette.text if is_here else palette.line if owner else palette.quiet
        painter.setPen(QPen(QColor(edge), 2 if is_here else 1))
        painter.setBrush(QColor(ground))
        painter.drawRoundedRect(cap, 4, 4)
        words = palette.on_accent if is_own else palette.quiet if owner else palette.text
        painter.setPen(QColor(words))
        for text, size_px, is_bold, area in (
            (key_cap(key), 12, not owner or is_own, cap.adjusted(5, 2, -2, -cap.height() / 2 + 2)),
            (owner, 10, False, cap.adjusted(4, cap.height() / 2 - 1, -2, -2)),
        ):
            font = QFont(self.font())
            font.setPixelSize(size_px)
            font.setBold(is_bold)
            painter.setFont(font)
            fitted = painter.fontMetrics().elidedText(
                text, Qt.TextElideMode.ElideRight, int(area.width())
            )
            painter.drawText(area, int(Qt.AlignmentFlag.AlignVCenter), fitted)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        for row in ROWS:
            for key in row:
                if self.cap(key).contains(QPointF(event.position())):
                    self._take(key)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        row, column = self._at
        steps = {
            Qt.Key.Key_Left: (row, max(column - 1, 0)),
            Qt.Key.Key_Right: (row, min(column + 1, 9)),
            Qt.Key.Key_Up: (max(row - 1, 0), column),
            Qt.Key.Key_Down: (min(row + 1, len(ROWS) - 1), column),
        }
        step = steps.get(Qt.Key(event.key()))
        if step is not None:
            self._at = step
            self.update()
        elif event.key() == Qt.Key.Key_Space:
            self._take(ROWS[row][column])
        elif event.text() in KEYS:
            self._take(event.text())
        else:
            super().keyPressEvent(event)

    def _take(self, key: str) -> None:
        self._at = next((r, row.index(key)) for r, row in enumerate(ROWS) if key in row)
        self.update()
        self.chosen.emit(key)
