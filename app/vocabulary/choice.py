"""Which vocabulary is to be edited, or copied under a name of its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

from annotate.errors import UserFacingError
from annotate.vocabulary import Vocabulary
from app.desk.ask import LineDialog
from app.look.screen_room import keep_on_screen
from app.vocabulary.draft import code_from
from app.vocabulary.own import own_names, vocabulary_today

_TEACHING = (
    "The words of a procedure are what can be tagged in its cases. A list that came with the "
    "program stays as it is; yours takes its place."
)


class VocabularyChoice(QDialog):
    """Lists the vocabularies by their titles.

    Signals
    -------
    wished
        Name of the one to edit.
    copy_wished
        A vocabulary under a new name, not kept anywhere yet.
    """

    wished = Signal(str)
    copy_wished = Signal(object)

    def __init__(self, titles: Mapping[str, str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Words of a procedure")
        self._titles = titles
        self._made: Vocabulary | None = None
        own = set(own_names())
        self.list = QListWidget()
        self.list.setAccessibleName("Procedures")
        for name, title in titles.items():
            item = QListWidgetItem(f"{title}   yours" if name in own else title)
            item.setData(Qt.ItemDataRole.UserRole, name)
            self.list.addItem(item)
        self.list.setCurrentRow(0)
        self.list.itemActivated.connect(lambda _item: self._edit())
        teaching = QLabel(_TEACHING)
        teaching.setWordWrap(True)
        box = QDialogButtonBox()
        role = QDialogButtonBox.ButtonRole
        self.leave = box.addButton("Leave it", role.RejectRole)
        self.copy = box.addButton("Copy under another title", role.ActionRole)
        self.edit = box.addButton("Edit", role.AcceptRole)
        self.copy.setAutoDefault(False)
        self.copy.clicked.connect(self._ask_title)
        box.accepted.connect(self._edit)
        box.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(teaching)
        column.addWidget(self.list, 1)
        column.addWidget(box)
        self.edit.setDefault(True)
        self.resize(520, 320)
        keep_on_screen(self)

    @property
    def name(self) -> str:
        """Name of the chosen one."""
        item = self.list.currentItem()
        return str(item.data(Qt.ItemDataRole.UserRole)) if item else ""

    def _edit(self) -> None:
        if self.name and self.isVisible():
            name = self.name
            self.accept()
            self.wished.emit(name)

    def _ask_title(self) -> None:
        if self.name:
            dialog = LineDialog(
                self,
                "A copy",
                f"Title of the copy of '{self._titles[self.name]}'",
                "",
                self._copy,
                yes="Edit it",
            )
            dialog.accepted.connect(self._give_copy)
            dialog.finished.connect(dialog.deleteLater)
            dialog.open()

    def _give_copy(self) -> None:
        self.accept()
        self.copy_wished.emit(self._made)

    def _copy(self, title: str) -> None:
        """Make the copy.

        Raises
        ------
        UserFacingError
            If the title is empty, too long or taken.
        """
        if not title or len(title) > 80 or title in self._titles.values():
            raise UserFacingError(
                "This cannot be its title.", "Give one of up to 80 letters that no other has."
            )
        name = code_from(title, self._titles.keys(), "procedure")
        found = vocabulary_today(self.name)
        self._made = replace(found, name=name, title=title, version="0")
