"""What is chosen, in one line: its place, its leaning and its weight, to be changed there."""

from __future__ import annotations

from typing import TypeGuard

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QToolButton, QVBoxLayout, QWidget

from annotate.tags import WEIGHTS, Comment, Leaning, Tag, TagKind
from app.commands.table import action
from app.review.presenter import ReviewPresenter
from app.review.state_label import StateLabel
from app.review.wording import row_words

_LEANINGS = ((Leaning.COMMEND, "▲", "lean-keep"), (Leaning.CORRECT, "▼", "lean-change"))
ROW_PX = 24
_APART_PX = 8
"""Between what changes a tag and what takes it away."""


class ChosenLine(QWidget):
    """One line under the pad, on the ground of a chosen row of the lists.

    While nothing is chosen there is none, and its room stays, so that nothing jumps.

    Signals
    -------
    wished
        Id of an action.
    refreshed
        It may say something else now.
    """

    wished = Signal(str)
    refreshed = Signal()

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self._prompt = ""
        self.face = QFrame()
        self.face.setProperty("chosen", True)
        self._words = StateLabel("What is chosen")
        self._words.setProperty("quiet", False)
        row = QHBoxLayout(self.face)
        row.setContentsMargins(6, 0, 1, 0)
        row.setSpacing(3)
        row.addWidget(self._words, 1)
        self._buttons: dict[str, QToolButton] = {}
        for _, face, action_id in _LEANINGS:
            row.addWidget(self._button(action_id, face))
        for weight in WEIGHTS:
            row.addWidget(self._button(f"weight-{weight}", str(weight)))
        row.addSpacing(_APART_PX)
        row.addWidget(self._button("remove", "Remove"))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.face)
        self.setFixedHeight(ROW_PX)
        presenter.chosen_changed.listen(self.refresh)
        presenter.markup_changed.listen(self.refresh)
        self.refresh()

    def _button(self, action_id: str, face: str) -> QToolButton:
        entry = action(action_id)
        button = QToolButton()
        button.setText(face)
        button.setCheckable(action_id != "remove")
        button.setToolTip(f"{entry.label} ({entry.key})")
        button.setAccessibleName(entry.label)
        button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        button.setFixedHeight(22)
        button.setStyleSheet("padding: 0 4px;" if len(face) > 1 else "padding: 0;")
        if len(face) == 1:
            button.setFixedWidth(24)
        button.setProperty("action", action_id)
        button.clicked.connect(self._press)
        self._buttons[action_id] = button
        return button

    def _press(self) -> None:
        self.wished.emit(self.sender().property("action"))
        self.refresh()

    def show_prompt(self, prompt: str) -> None:
        """Show what the next key is for; empty: what is chosen."""
        self._prompt = prompt
        self.refresh()

    @property
    def has_prompt(self) -> bool:
        """Whether it says what the next key is for."""
        return bool(self._prompt)

    @property
    def is_empty(self) -> bool:
        """Whether it says nothing."""
        return self.face.isHidden()

    def refresh(self) -> None:
        """Show what is chosen now."""
        rows = self._presenter.chosen_rows
        text = self._prompt or self._presenter.place_words()
        name = row_words(rows[0], self._presenter.vocabulary) if len(rows) == 1 else text
        weighed = [row for row in rows if _can_weigh(row)]
        can_weigh = bool(weighed) and not self._prompt
        self._words.say(text, self._prompt or f"{name[:1].upper()}{name[1:]}")
        self.face.setVisible(bool(text))
        for action_id, button in self._buttons.items():
            is_shown = bool(rows) and not self._prompt and (can_weigh or action_id == "remove")
            button.setVisible(is_shown)
            button.setEnabled(self._presenter.can_edit)
        for leaning, _, action_id in _LEANINGS:
            self._buttons[action_id].setChecked({row.leaning for row in weighed} == {leaning})
        for weight in WEIGHTS:
            alike = {row.weight for row in weighed} == {weight}
            self._buttons[f"weight-{weight}"].setChecked(alike)
        self.refreshed.emit()


def _can_weigh(row: object) -> TypeGuard[Tag | Comment]:
    return isinstance(row, Comment) or (isinstance(row, Tag) and row.kind is TagKind.EVENT)
