"""Small questions, asked without stopping the desk."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QLabel,
    QLayout,
    QLineEdit,
    QMessageBox,
    QVBoxLayout,
    QWidget,
)

from annotate.errors import UserFacingError
from annotate.folders import is_folder
from app.places import documents_folder

_LINE_DIALOG_PX = 380


def ask_file_to_read(
    parent: QWidget,
    title: str,
    kinds: list[str],
    then: Callable[[Path], object],
    folder: Path | None = None,
) -> QFileDialog:
    """Ask for a file that is there, beginning in a folder if that is there too."""
    chooser = QFileDialog(parent, title)
    chooser.setFileMode(QFileDialog.FileMode.ExistingFile)
    _opened(chooser, kinds, then)
    if folder is not None and is_folder(folder):
        chooser.setDirectory(str(folder))
    return chooser


def ask_file_to_write(
    parent: QWidget,
    title: str,
    kinds: list[str],
    suggested: str,
    then: Callable[[Path], object],
    folder: Path | None = None,
) -> QFileDialog:
    """Ask where to write, beginning in a folder if that is there; a kind gives the ending."""
    chooser = QFileDialog(parent, title)
    chooser.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
    chooser.setDefaultSuffix(Path(suggested).suffix.lstrip("."))

    def take_ending(chosen_kind: str) -> None:
        chooser.setDefaultSuffix(chosen_kind.partition("*.")[2].partition(")")[0])

    chooser.filterSelected.connect(take_ending)
    _opened(chooser, kinds, then)
    if folder is not None and is_folder(folder):
        chooser.setDirectory(str(folder))
    chooser.selectFile(suggested)
    return chooser


def _opened(chooser: QFileDialog, kinds: list[str], then: Callable[[Path], object]) -> QFileDialog:
    chooser.setDirectory(str(documents_folder()))
    chooser.setNameFilters(kinds)

    def chosen(path: str) -> None:
        then(Path(path))

    chooser.fileSelected.connect(chosen)
    chooser.open()
    return chooser


def ask_which(
    parent: QWidget,
    question: str,
    deeds: Sequence[tuple[str, Callable[[], object]]],
    *,
    more: str = "",
    is_leaving_default: bool = False,
) -> QMessageBox:
    """Ask a question that is answered with one of some deeds, or with leaving it.

    Parameters
    ----------
    more : str
        Said below the question.
    is_leaving_default : bool
        Whether Return leaves it; else it does the first deed.
    """
    box = QMessageBox(parent)
    box.setText(question)
    box.setInformativeText(more)
    by_button = {
        box.addButton(words, QMessageBox.ButtonRole.AcceptRole): deed for words, deed in deeds
    }
    leave = box.addButton("Leave it", QMessageBox.ButtonRole.RejectRole)
    box.setDefaultButton(leave if is_leaving_default else next(iter(by_button)))
    box.setEscapeButton(leave)

    def answered() -> None:
        deed = by_button.get(box.clickedButton())  # type: ignore[call-overload]
        box.deleteLater()
        if deed is not None:
            deed()

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
        self,
        parent: QWidget,
        title: str,
        question: str,
        text: str,
        take: Callable[[str], object],
        *,
        yes: str,
        no: str = "Leave it",
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self._take = take
        self.line = QLineEdit(text)
        self.line.setAccessibleName(question)
        self.line.selectAll()
        self.line.textEdited.connect(self._say_nothing)
        asked = QLabel(question)
        asked.setWordWrap(True)
        asked.setMinimumWidth(_LINE_DIALOG_PX)
        self.trouble = QLabel("")
        self.trouble.setWordWrap(True)
        self.trouble.setProperty("trouble", True)
        self.trouble.hide()
        buttons = QDialogButtonBox()
        buttons.addButton(no, QDialogButtonBox.ButtonRole.RejectRole)
        self.yes = buttons.addButton(yes, QDialogButtonBox.ButtonRole.AcceptRole)
        buttons.accepted.connect(self.submit)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.setSizeConstraint(QLayout.SizeConstraint.SetFixedSize)
        for widget in (asked, self.line, self.trouble, buttons):
            column.addWidget(widget)
        self.yes.setDefault(True)
        self.line.setFocus()

    def submit(self) -> None:
        """Take what is typed, or say why not."""
        try:
            self._take(self.line.text().strip())
        except UserFacingError as trouble:
            self.trouble.setText(str(trouble))
            self.trouble.show()
            self.line.setFocus()
            self.line.selectAll()
            return
        self.accept()

    def _say_nothing(self) -> None:
        self.trouble.clear()
        self.trouble.hide()
