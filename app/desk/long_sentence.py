"""Sentences that list rows: told in short, and shown whole one row a line."""

from __future__ import annotations

import re

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLabel,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from app.look.screen_room import keep_on_screen

_LIST_BEGINS = re.compile(r": (?=line \d+: )")
_NEXT_ROW = re.compile(r"; (?=line \d+: |also wrong are lines \d)")


def parts_of(sentence: str) -> tuple[str, list[str], str]:
    """Take a sentence apart into what stands before its rows, the rows, and what to do.

    A sentence that lists no rows is all head.
    """
    begins = _LIST_BEGINS.search(sentence)
    if begins is None:
        return sentence, [], ""
    listed, _, do = sentence[begins.end() :].rpartition(". ")
    if not listed:
        listed, do = do, ""
    return sentence[: begins.start()], _NEXT_ROW.split(listed.rstrip(".")), do


def in_short(sentence: str) -> str:
    """The sentence with its first row alone."""
    head, rows, do = parts_of(sentence)
    if len(rows) < 2:
        return sentence
    return f"{head}, first in {rows[0]}. {do}".strip()


def in_lines(sentence: str) -> str:
    """The whole sentence, one row a line."""
    head, rows, do = parts_of(sentence)
    if not rows:
        return sentence
    return "\n".join([f"{head}:", *rows, *([f"\n{do}"] if do else [])])


class WholeSentence(QDialog):
    """A sentence at its full length, to scroll and to copy."""

    def __init__(self, sentence: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("The whole message")
        head, rows, _ = parts_of(sentence)
        self.text = QPlainTextEdit(in_lines(sentence))
        self.text.setReadOnly(True)
        self.text.setAccessibleName("The whole message")
        self.text.setMinimumSize(420, 180)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        copy = buttons.addButton("Copy", QDialogButtonBox.ButtonRole.ActionRole)
        copy.clicked.connect(self.copy)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        if rows:
            title = QLabel(head)
            title.setWordWrap(True)
            column.addWidget(title)
        column.addWidget(self.text, 1)
        column.addWidget(buttons)
        self.resize(760, 440)
        keep_on_screen(self)

    def copy(self) -> None:
        """Put the whole text on the clipboard."""
        QGuiApplication.clipboard().setText(self.text.toPlainText())
