"""The ways on from a review, in the corner of the menu bar: the list, the signature, the note."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QMenuBar, QToolButton, QWidget

from app.commands.table import action

if TYPE_CHECKING:
    from app.desk.actions import DeskActions

_WAYS = (("open-caseload", "Caseload"), ("sign", "Sign"), ("hand-back", "Hand back"))


class WayOn(QWidget):
    """Takes no height of its own, and follows the actions that it stands for."""

    def __init__(self, table: DeskActions, bar: QMenuBar) -> None:
        super().__init__(bar)
        self._table = table
        self._bar = bar
        self.buttons: dict[str, QToolButton] = {}
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 1, 10, 1)
        row.setSpacing(4)
        for action_id, words in _WAYS:
            row.addWidget(self._button(action_id, words))
            table[action_id].changed.connect(self._follow)
        bar.setCornerWidget(self)
        self.show_over_review(False)

    def _button(self, action_id: str, words: str) -> QToolButton:
        entry = action(action_id)
        button = QToolButton()
        button.setText(words)
        button.setToolTip(f"{entry.label} ({entry.key})\n{entry.help}")
        button.setAccessibleName(entry.label)
        button.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # each has its key
        button.setStyleSheet("padding: 0 8px;")
        button.clicked.connect(self._table[action_id].trigger)
        self.buttons[action_id] = button
        return button

    def show_over_review(self, is_review: bool) -> None:
        """Stand there over a review alone."""
        for button in self.buttons.values():
            button.setVisible(is_review)
        self.adjustSize()
        self._bar.adjustSize()
        self._follow()

    def _follow(self) -> None:
        for action_id, button in self.buttons.items():
            button.setEnabled(self._table[action_id].isEnabled())
