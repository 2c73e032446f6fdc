"""Fields of the editor: a line whose steps are the editor's, and what is wrong below it."""

from __future__ import annotations

from PySide6.QtCore import QEvent
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QLabel, QLineEdit, QVBoxLayout, QWidget


class WordLine(QLineEdit):
    """A line of text; undo and redo go to the editor, which knows every step."""

    def __init__(self, name: str, placeholder: str = "") -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setPlaceholderText(placeholder)

    def event(self, event: QEvent) -> bool:
        """Leave undo and redo to the dialog's shortcuts."""
        if isinstance(event, QKeyEvent) and (
            event.matches(QKeySequence.StandardKey.Undo)
            or event.matches(QKeySequence.StandardKey.Redo)
        ):
            event.ignore()
            return False
        return super().event(event)

    def put(self, text: str) -> None:
        """Show a text; one that is there already stays, and so does the cursor."""
        if text.strip() != self.text().strip():
            self.setText(text)
            self.setCursorPosition(0)


class Field(QWidget):
    """A field with what is wrong with it, or what there is to say of it, below."""

    def __init__(self, *parts: QWidget) -> None:
        super().__init__()
        self.trouble = QLabel("")
        self.trouble.setWordWrap(True)
        self.trouble.setProperty("trouble", True)
        self.trouble.hide()
        self._parts = parts
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        for part in parts:
            column.addWidget(part)
        column.addWidget(self.trouble)

    def say(self, sentence: str) -> None:
        """Say what is wrong; nothing where the sentence is empty."""
        if sentence != self.trouble.text():
            self.trouble.setText(sentence)
            self._parts[0].setAccessibleDescription(sentence)
        self.trouble.setVisible(bool(sentence))
