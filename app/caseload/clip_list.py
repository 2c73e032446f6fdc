"""The clips of an intake in their order: added, moved, left out, and marked where one is bad."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFileDialog,
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from annotate.clock import shown
from app.look.theme import current_palette

VIDEO_FILES = (
    "Recordings (*.mp4 *.mov *.m4v *.mkv *.avi *.ts *.m2ts *.mts *.mpg *.mpeg *.wmv *.webm *.dcm)"
)
ANY_FILES = "All files, as DICOM files often have no ending (*)"
_PATH = Qt.ItemDataRole.UserRole
_BAD_MARK = "✕ "


def in_natural_order(paths: Iterable[str]) -> list[str]:
    """Sort by file name, with numbers in it as numbers: part 2 comes before part 10."""

    def rank(path: str) -> tuple[list[tuple[int, int, str]], str]:
        pieces = re.split(r"([0-9]+)", Path(path).name.casefold())
        return [(0, int(p), "") if p.isdecimal() else (1, 0, p) for p in pieces if p], path

    return sorted(paths, key=rank)


class ClipList(QWidget):
    """A list of files with buttons below; `changed` tells that it holds others now."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.files = QListWidget()
        self.files.setAccessibleName("Clips in order")
        self.files.setDragDropMode(QAbstractItemView.DragDropMode.InternalMove)
        self.files.setMinimumHeight(84)
        self.files.currentRowChanged.connect(self._show_what_can_be_done)
        self.add_button = self._button("Add clips ...", self._ask_for_files)
        self.earlier = self._button("Earlier", lambda: self._move(-1))
        self.later = self._button("Later", lambda: self._move(1))
        self.away = self._button("Leave out", self._leave_out)
        row = QHBoxLayout()
        for button in (self.add_button, self.earlier, self.later, self.away):
            row.addWidget(button)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.files)
        column.addLayout(row)
        self._show_what_can_be_done()

    def _button(self, words: str, deed: Callable[[], object]) -> QPushButton:
        button = QPushButton(words)
        button.setAutoDefault(False)
        button.clicked.connect(deed)
        return button

    @property
    def paths(self) -> list[Path]:
        """The files in order."""
        return [Path(item.data(_PATH)) for item in self._items()]

    @property
    def marked(self) -> list[str]:
        """Names of the files that are marked as bad."""
        return [Path(item.data(_PATH)).name for item in self._items() if _is_marked(item)]

    def _items(self) -> list[QListWidgetItem]:
        return [self.files.item(i) for i in range(self.files.count())]

    def add(self, paths: Iterable[str]) -> None:
        """Add clips after those already named, in the order of their names."""
        for path in in_natural_order(paths):
            item = QListWidgetItem(Path(path).name)
            item.setData(_PATH, path)
            item.setToolTip(path)
            self.files.addItem(item)
        if self.files.currentRow() < 0:
            self.files.setCurrentRow(0)
        self._tell()

    def mark_named_in(self, sentence: str) -> bool:
        """Mark the clips that a sentence names; tell whether there is one."""
        self.unmark()
        is_any = False
        for row, item in enumerate(self._items()):
            if shown(Path(item.data(_PATH)).name, 80) in sentence:
                item.setText(_BAD_MARK + item.text())
                item.setForeground(QColor(current_palette().warning))
                self.files.setCurrentRow(row)
                is_any = True
        return is_any

    def unmark(self) -> None:
        """Take every mark away."""
        for item in self._items():
            if _is_marked(item):
                item.setText(item.text().removeprefix(_BAD_MARK))
                item.setForeground(QColor(current_palette().text))

    def _ask_for_files(self) -> None:
        chooser = QFileDialog(self, "Clips of the case")
        chooser.setFileMode(QFileDialog.FileMode.ExistingFiles)
        chooser.setNameFilters([VIDEO_FILES, ANY_FILES])
        if self.paths:
            chooser.setDirectory(str(self.paths[-1].parent))
        chooser.filesSelected.connect(self.add)
        chooser.open()

    def _move(self, by: int) -> None:
        row = self.files.currentRow()
        if row >= 0 and 0 <= row + by < self.files.count():
            self.files.insertItem(row + by, self.files.takeItem(row))
            self.files.setCurrentRow(row + by)
            self._tell()

    def _leave_out(self) -> None:
        if self.files.takeItem(self.files.currentRow()) is not None:
            self._tell()

    def _tell(self) -> None:
        self._show_what_can_be_done()
        self.changed.emit()

    def _show_what_can_be_done(self, _row: int = 0) -> None:
        row, n = self.files.currentRow(), self.files.count()
        self.earlier.setEnabled(row > 0)
        self.later.setEnabled(0 <= row < n - 1)
        self.away.setEnabled(row >= 0)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Delete:
            self._leave_out()
        else:
            super().keyPressEvent(event)


def _is_marked(item: QListWidgetItem) -> bool:
    return item.text().startswith(_BAD_MARK)
