"""A list whose rows are taken with Return and put away with Delete."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

_TAKING = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_OWN = (*_TAKING, Qt.Key.Key_Delete, Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Escape)


class KeyedList(QListWidget):
    """Rows of words, each with something behind it.

    Signals
    -------
    reached
        What stands behind a row that was clicked or gone to with the arrows.
    taken, dropped
        The same for Return or a double click, and for Delete.
    left
        Escape was pressed.
    """

    reached = Signal(object)
    taken = Signal(object)
    dropped = Signal(object)
    left = Signal()

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setWordWrap(True)
        self.setSpacing(1)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.itemClicked.connect(self._reach)
        self.itemDoubleClicked.connect(self._take)
        self._shown: list[tuple[str, object]] = []

    def show_rows(self, rows: Sequence[tuple[str, object]]) -> None:
        """Show words and what stands behind them; the row at hand stays at hand."""
        if list(rows) == self._shown:
            return
        place = self.currentRow()
        self._shown = list(rows)
        self.clear()
        for words, behind in rows:
            item = QListWidgetItem(words)
            item.setData(Qt.ItemDataRole.UserRole, behind)
            item.setToolTip(words)
            self.addItem(item)
        if place >= 0 and self.hasFocus() and rows:
            self.setCurrentRow(min(place, len(rows) - 1))

    @property
    def at_hand(self) -> object | None:
        """What stands behind the row at hand, the first where none is."""
        item = self.currentItem() or self.item(0)
        return None if item is None else item.data(Qt.ItemDataRole.UserRole)

    def event(self, event: QEvent) -> bool:
        is_override = event.type() == QEvent.Type.ShortcutOverride
        if is_override and isinstance(event, QKeyEvent) and event.key() in _OWN:
            is_plain = not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
            event.setAccepted(is_plain)
            return is_plain or bool(super().event(event))
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        item = self.currentItem()
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif item is not None and event.key() in _TAKING:
            self._take(item)
        elif item is not None and event.key() == Qt.Key.Key_Delete:
            self.dropped.emit(item.data(Qt.ItemDataRole.UserRole))
        elif event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            super().keyPressEvent(event)
            if self.currentItem() is not None:
                self._reach(self.currentItem())
        else:
            event.ignore()  # the pad's keys are the screen's

    def _reach(self, item: QListWidgetItem) -> None:
        self.reached.emit(item.data(Qt.ItemDataRole.UserRole))

    def _take(self, item: QListWidgetItem) -> None:
        self.taken.emit(item.data(Qt.ItemDataRole.UserRole))
