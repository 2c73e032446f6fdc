"""A list in Review that keeps the keys with which one goes through it, and no others."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QListView

_KEY = Qt.Key
_OWN = (_KEY.Key_Up, _KEY.Key_Down, _KEY.Key_Return, _KEY.Key_Enter, _KEY.Key_Escape)
_KEYPAD = Qt.KeyboardModifier.KeypadModifier


class OwnKeysList(QListView):
    """Up, Down and Return are its own while it has the keys; letters still tag.

    Signals
    -------
    left
        Escape gives the keys back.
    """

    left = Signal()

    def event(self, event: QEvent) -> bool:
        is_override = event.type() == QEvent.Type.ShortcutOverride
        if is_override and isinstance(event, QKeyEvent) and _is_own(event):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == _KEY.Key_Escape:
            self.left.emit()
        elif _is_own(event):
            super().keyPressEvent(event)
        else:
            event.ignore()


def _is_own(event: QKeyEvent) -> bool:
    return event.key() in _OWN and not event.modifiers() & ~_KEYPAD
