"""Small questions, asked without stopping the desk."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QStandardPaths
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QLabel,
    QLineEdit,
    QMessageBox,
    QVBoxLayout,
    QWidget,
)

from annotate.errors import UserFacingError


def ask_file_to_read(
    parent: QWidget, title: str, kinds: list[str], then: Callable[[Path], object]
) -> QFileDialog:
    """Ask for a file that is there."""
    chooser = QFileDialog(parent, title)
    chooser.setFileMode(QFileDialog.FileMode.ExistingFile)
    return _opened(chooser, kinds, then)


def ask_file_to_write(
    parent: QWidget, title: str, kinds: list[str], suggested: str, then: Callable[[Path], object]
) -> QFileDialog:
    """Ask where to write; the chosen kind gives the ending where none is typed."""
    chooser = QFileDialog(parent, title)
    chooser.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
    chooser.setDefaultSuffix(Path(suggested).suffix.lstrip("."))

    def take_ending(chosen_kind: str) -> None:
        chooser.setDefaultSuffix(chosen_kind.partition("*.")[2].partition(")")[0])

    chooser.filterSelected.connect(take_ending)
    _opened(chooser, kinds, then)
    chooser.selectFile(suggested)
    return chooser


def _opened(chooser: QFileDialog, kinds: list[str], then: Callable[[Path], object]) -> QFileDialog:
    documents = QStandardPaths.StandardLocation.DocumentsLocation
    chooser.setDirectory(QStandardPaths.writableLocation(documents))
    chooser.setNameFilters(kinds)

    def chosen(path: str) -> None:
        then(Path(path))

    chooser.fileSelected.connect(chosen)
    chooser.open()
    return chooser


def ask_yes(parent: QWidget, question: str, yes: str, then: Callable[[], object]) -> QMessageBox:
    """Ask a question that is answered with one deed or with leaving it."""
    box = QMessageBox(parent)
    box.setText(question)
    button = box.addButton(yes, QMessageBox.ButtonRole.AcceptRole)
    box.addButton("Leave it", QMessageBox.ButtonRole.RejectRole)

    def answered() -> None:
        if box.clickedButton() is button:
            then()

    box.finished.connect(answered)
    box.open()
    return box


class LineDialog(QDialog):
    """Asks for one line; what it refuses is said below the line.

    Parameters
    ----------
    take : callable
        Given the text; raises UserFacingError to refuse it.
    """

    def __init__(
        self, parent: QWidget, title: str, question: str, text: str, take: Callable[[str], object]
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self._take = take
        self.line = QLineEdit(text)
        self.line.setAccessibleName(question)
        self.line.selectAll()
        self.trouble = QLabel("")
        self.trouble.setWordWrap(True)
        self.trouble.setMinimumWidth(360)
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        buttons.accepted.connect(self._try)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(QLabel(question))
        column.addWidget(self.line)
        column.addWidget(self.trouble)
        column.addWidget(buttons)

    def _try(self) -> None:
        try:
            self._take(self.line.text().strip())
        except UserFacingError as trouble:
            self.trouble.setText(str(trouble))
            return
        self.accept()
