"""A ring round a widget that was reached by Tab: seen by who goes by keys, in nobody else's way."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QColor, QFocusEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from app.look.theme import current_palette

_BY_TAB = (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason)
_WIDTH_PX = 2


class FocusRing(QWidget):
    """Lies over its target, lets the pointer through, and shows while Tab's focus rests there."""

    def __init__(self, target: QWidget) -> None:
        super().__init__(target)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.hide()
        target.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow the target's focus and size."""
        if event.type() == QEvent.Type.FocusIn and isinstance(event, QFocusEvent):
            self._fit()
            self.setVisible(event.reason() in _BY_TAB)
        elif event.type() == QEvent.Type.FocusOut:
            self.hide()
        elif event.type() == QEvent.Type.Resize:
            self._fit()
        return False

    def _fit(self) -> None:
        target = self.parentWidget()
        if target is not None:
            self.setGeometry(target.rect())
            self.raise_()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(QPen(QColor(current_palette().accent), _WIDTH_PX))
        painter.drawRect(self.rect().adjusted(1, 1, -1, -1))
