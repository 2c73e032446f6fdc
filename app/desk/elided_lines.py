"""A sentence on one line, or on two, and never on more."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import (
    QAccessible,
    QAccessibleAnnouncementEvent,
    QPainter,
    QPaintEvent,
    QPalette,
    QResizeEvent,
    QTextLayout,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

_MOST_LINES = 2


class ElidedLines(QWidget):
    """Shows as much of a text as two lines hold; `elided` tells that this has changed."""

    elided = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._text = ""
        self._lines: list[str] = []
        self.is_elided = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(self.fontMetrics().lineSpacing())

    @property
    def lines(self) -> tuple[str, ...]:
        """What is painted."""
        return tuple(self._lines)

    def set_text(self, text: str) -> None:
        """Show a text, and let a screen reader say it."""
        self._text = " ".join(text.split())
        self.setAccessibleName(self._text or "Message")
        self._break()
        if self._text:
            QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, self._text))

    def sizeHint(self) -> QSize:
        return QSize(self.fontMetrics().horizontalAdvance(self._text) + 2, self.height())

    def minimumSizeHint(self) -> QSize:
        return QSize(60, self.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.oldSize().width() != event.size().width():
            self._break()

    def _break(self) -> None:
        """Break the text into lines for the width there is."""
        metrics, width = self.fontMetrics(), max(self.width(), 1)
        layout = QTextLayout(self._text, self.font(), self)
        starts: list[int] = []
        layout.beginLayout()
        while (line := layout.createLine()).isValid() and len(starts) <= _MOST_LINES:
            line.setLineWidth(width)
            starts.append(line.textStart())
        layout.endLayout()
        was_elided, self.is_elided = self.is_elided, len(starts) > _MOST_LINES
        ends = [*starts[1:], len(self._text)]
        self._lines = [self._text[a:b].strip() for a, b in zip(starts, ends, strict=True)][
            :_MOST_LINES
        ]
        if self.is_elided:
            rest = self._text[starts[_MOST_LINES - 1] :]
            self._lines[-1] = metrics.elidedText(rest, Qt.TextElideMode.ElideRight, width)
        self.setFixedHeight(metrics.lineSpacing() * max(len(self._lines), 1))
        self.updateGeometry()
        self.update()
        if was_elided != self.is_elided:
            self.elided.emit()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(self.palette().color(QPalette.ColorRole.WindowText))
        metrics = self.fontMetrics()
        for row, line in enumerate(self._lines):
            painter.drawText(QPointF(0, row * metrics.lineSpacing() + metrics.ascent()), line)
