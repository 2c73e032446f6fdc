"""The text of a comment as it is typed: it grows with its lines, and has keys of its own."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QTextCursor
from PySide6.QtWidgets import QPlainTextEdit

from app.review.phrases import next_blank

_MOST_LINES = 4
_RETURNS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_CONTROL, _ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
_KEYPAD = Qt.KeyboardModifier.KeypadModifier
_DEEDS = {
    (_CONTROL, Qt.Key.Key_Up): "commend",
    (_CONTROL, Qt.Key.Key_Down): "correct",
    (_CONTROL, Qt.Key.Key_1): "weight-1",
    (_CONTROL, Qt.Key.Key_2): "weight-2",
    (_CONTROL, Qt.Key.Key_3): "weight-3",
    (_ALT, Qt.Key.Key_Up): "phase-back",
    (_ALT, Qt.Key.Key_Down): "phase-on",
    (_ALT, Qt.Key.Key_End): "end",
    (_ALT, Qt.Key.Key_Home): "mark",
}
"""What these keys do while one types, also where they do something else in Review."""


class GrowingText(QPlainTextEdit):
    """Plain text that grows with its lines, up to four; Return keeps, Shift+Return breaks one.

    Attributes
    ----------
    key_taker : callable or None
        Offered each key first; it answers whether it took it. A list that is open takes some.
    has_blanks : bool
        Whether Tab goes from blank to blank, as it does once a phrase was put in.

    Signals
    -------
    wished
        What a key asks for beside typing, see `_DEEDS`.
    """

    kept = Signal()
    left = Signal()
    wished = Signal(str)
    focus_lost = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.key_taker: Callable[[QKeyEvent], bool] | None = None
        self.has_blanks = False
        self.setTabChangesFocus(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.textChanged.connect(self._grow)
        self._grow()

    def _grow(self) -> None:
        needed = int(self.document().size().height())
        lines = max(1, min(needed, _MOST_LINES))
        policies = Qt.ScrollBarPolicy
        is_long = needed > _MOST_LINES
        self.setVerticalScrollBarPolicy(
            policies.ScrollBarAsNeeded if is_long else policies.ScrollBarAlwaysOff
        )
        self.setFixedHeight(self.fontMetrics().lineSpacing() * lines + 18)

    def go_to_blank(self) -> bool:
        """Choose the next blank, to be typed over; False where there is none."""
        span = next_blank(self.toPlainText(), self.textCursor().selectionEnd())
        if span is None:
            return False
        cursor = self.textCursor()
        cursor.setPosition(span[0])
        cursor.setPosition(span[1], QTextCursor.MoveMode.KeepAnchor)
        self.setTextCursor(cursor)
        return True

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent):
            if event.type() == QEvent.Type.ShortcutOverride and _is_ours(event):
                event.accept()  # these keys belong to the box while one types
                return True
            is_tab = event.type() == QEvent.Type.KeyPress and event.key() == Qt.Key.Key_Tab
            if is_tab and (self._is_taken(event) or (self.has_blanks and self.go_to_blank())):
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if self._is_taken(event):
            event.accept()
        elif event.key() in _RETURNS and not is_shift:
            self.kept.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif (deed := _deed_of(event)) is not None:
            self.wished.emit(deed)
        else:
            super().keyPressEvent(event)

    def _is_taken(self, event: QKeyEvent) -> bool:
        return self.key_taker is not None and self.key_taker(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.focus_lost.emit()


def _deed_of(event: QKeyEvent) -> str | None:
    return _DEEDS.get((event.modifiers() & ~_KEYPAD, Qt.Key(event.key())))


def _is_ours(event: QKeyEvent) -> bool:
    arrows = (Qt.Key.Key_Up, Qt.Key.Key_Down)
    is_bare = event.key() in (*_RETURNS, *arrows, Qt.Key.Key_Escape)
    return is_bare or _deed_of(event) is not None
