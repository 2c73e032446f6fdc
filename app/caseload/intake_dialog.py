"""The dialog that takes a case in: files in order, who operated, which case of theirs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QIntValidator
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from annotate.case import Eye
from annotate.errors import UserFacingError
from annotate.people import TrainingLevel
from annotate.vocabulary_file import shipped_names, shipped_vocabulary
from app.intake.take_in import MOST_CASES, Intake, check_wanted

_VIDEO = "Recordings (*.mp4 *.mov *.m4v *.mkv *.avi *.ts *.m2ts *.mts *.mpg *.mpeg *.wmv *.webm)"


class NumberLine(QLineEdit):
    """A line that takes a case number; what is no number counts as 0, which is refused."""

    def __init__(self) -> None:
        super().__init__("1")
        self.setValidator(QIntValidator(1, MOST_CASES, self))
        self.setAccessibleName("Case number")

    def value(self) -> int:
        """The number typed."""
        text = self.text().strip()
        return int(text) if text.isascii() and text.isdigit() else 0

    def set_value(self, number: int) -> None:
        """Show a number."""
        self.setText(str(number))


class IntakeDialog(QDialog):
    """Asks for what an intake needs; checks as far as it can before the work begins.

    Parameters
    ----------
    next_number : callable
        Given an operator's code, the number of their next case.
    """

    wished = Signal(object)

    def __init__(self, next_number: Callable[[str], int], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Take in a case")
        self.setMinimumWidth(560)
        self._next_number = next_number
        self.files = QListWidget()
        self.files.setAccessibleName("Clips in order")
        self.files.setDragDropMode(QAbstractItemView.DragDropMode.InternalMove)
        self.files.setMinimumHeight(96)
        self.operator = QLineEdit()
        self.operator.setPlaceholderText("a code such as R-07, never a name")
        self.operator.editingFinished.connect(self._suggest_number)
        self.level = QComboBox()
        for level in TrainingLevel:
            self.level.addItem(level.value, level)
        self.number = NumberLine()
        self.vocabulary = QComboBox()
        for name in shipped_names():
            self.vocabulary.addItem(shipped_vocabulary(name).title, name)
        self.vocabulary.setCurrentIndex(max(self.vocabulary.findData("phaco-divide-conquer"), 0))
        self.eye = QComboBox()
        for words, eye in (("not noted", None), ("right (OD)", Eye.OD), ("left (OS)", Eye.OS)):
            self.eye.addItem(words, eye)
        self.code = QLineEdit()
        self.code.setPlaceholderText("made from operator and case number if left empty")
        self.trouble = QLabel("")
        self.trouble.setWordWrap(True)
        self.trouble.setAccessibleName("What is wrong")
        self._lay_out()

    def _lay_out(self) -> None:
        add = QPushButton("Add clips ...")
        add.clicked.connect(self._ask_for_files)
        up = QPushButton("Earlier")
        up.clicked.connect(self._move_up)
        away = QPushButton("Leave out")
        away.clicked.connect(self._leave_out)
        buttons = QHBoxLayout()
        for button in (add, up, away):
            button.setAutoDefault(False)
            buttons.addWidget(button)
        buttons.addStretch(1)
        form = QFormLayout()
        form.setLabelAlignment(Qt.AlignmentFlag.AlignRight)
        form.addRow("Operator", self.operator)
        form.addRow("Training level", self.level)
        form.addRow("Case number", self.number)
        form.addRow("Operation", self.vocabulary)
        form.addRow("Eye", self.eye)
        form.addRow("Code of the case", self.code)
        box = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.take_in = box.addButton("Take in", QDialogButtonBox.ButtonRole.AcceptRole)
        self.take_in.setDefault(True)
        box.accepted.connect(self._try)
        box.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.setSpacing(10)
        column.addWidget(QLabel("Clips of the case, in the order in which they were recorded"))
        column.addWidget(self.files)
        column.addLayout(buttons)
        column.addLayout(form)
        column.addWidget(self.trouble)
        column.addWidget(box)

    def add_files(self, paths: list[str]) -> None:
        """Add clips after those already named."""
        for path in paths:
            item = QListWidgetItem(Path(path).name)
            item.setData(Qt.ItemDataRole.UserRole, path)
            item.setToolTip(path)
            self.files.addItem(item)
        self.trouble.clear()

    def wanted(self) -> Intake:
        """What the dialog says now."""
        paths = [
            Path(self.files.item(i).data(Qt.ItemDataRole.UserRole))
            for i in range(self.files.count())
        ]
        return Intake(
            paths=paths,
            operator=self.operator.text().strip(),
            case_number=self.number.value(),
            vocabulary=self.vocabulary.currentData(),
            code=self.code.text().strip(),
            level=TrainingLevel(self.level.currentData()),
            eye=self.eye.currentData(),
        )

    def _try(self) -> None:
        wanted = self.wanted()
        try:
            check_wanted(wanted)
        except UserFacingError as trouble:
            self.trouble.setText(str(trouble))
            return
        self.wished.emit(wanted)
        self.accept()

    def _suggest_number(self) -> None:
        operator = self.operator.text().strip()
        if operator:
            self.number.set_value(self._next_number(operator))

    def _ask_for_files(self) -> None:
        chooser = QFileDialog(self, "Clips of the case")
        chooser.setFileMode(QFileDialog.FileMode.ExistingFiles)
        chooser.setNameFilters([_VIDEO, "All files (*)"])
        chooser.filesSelected.connect(self.add_files)
        chooser.open()

    def _move_up(self) -> None:
        row = self.files.currentRow()
        if row > 0:
            self.files.insertItem(row - 1, self.files.takeItem(row))
            self.files.setCurrentRow(row - 1)

    def _leave_out(self) -> None:
        self.files.takeItem(self.files.currentRow())
