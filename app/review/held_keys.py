"""Keys that act while they are held, although they are shortcuts of the window.

A shortcut says neither that its key is still down nor that it was let go. The screen sees both:
each press is offered to it first, and the letting go comes to it after.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget


class HeldKeys(QObject):
    """Watches the keys that come to a screen, be it by way of its parts."""

    def __init__(self, screen: QWidget) -> None:
        super().__init__(screen)
        self._down: int | None = None
        self._is_repeating = False
        self._on_release: list[Callable[[], object]] = []
        screen.installEventFilter(self)

    @property
    def is_down(self) -> bool:
        """Whether the action that is done now was called by a key, which is down."""
        return self._down is not None

    @property
    def is_repeating(self) -> bool:
        """Whether that key has been down for so long that it repeats."""
        return self._is_repeating

    def when_let_go(self, deed: Callable[[], object]) -> None:
        """Do this once, when the key that is down now is let go."""
        if deed not in self._on_release:
            self._on_release.append(deed)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Look at what comes; take nothing."""
        kind = event.type()
        if kind == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            if not event.isAutoRepeat() and not _is_modifier(event.key()):
                self.let_go()
                self._down = event.key()
            self._is_repeating = event.isAutoRepeat()
        elif kind == QEvent.Type.KeyRelease and isinstance(event, QKeyEvent):
            is_let_go = event.key() == self._down and not event.isAutoRepeat()
            if is_let_go:
                self.let_go()
        elif kind == QEvent.Type.WindowDeactivate:
            self.let_go()
        return super().eventFilter(watched, event)

    def let_go(self) -> None:
        """No key is down: it was let go, or the keys have gone to another window."""
        self._down, self._is_repeating = None, False
        deeds, self._on_release = self._on_release, []
        for deed in deeds:
            deed()


def _is_modifier(key: int) -> bool:
    return key in (Qt.Key.Key_Shift, Qt.Key.Key_Control, Qt.Key.Key_Alt, Qt.Key.Key_Meta)
