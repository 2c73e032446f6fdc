"""What is chosen, in one line: its place, its leaning and its weight, to be changed there."""

from __future__ import annotations

from typing import TypeGuard

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QToolButton, QWidget

from annotate.tags import WEIGHTS, Comment, Leaning, Tag, TagKind
from app.commands.table import action
from app.review.presenter import ReviewPresenter

_LEANINGS = ((Leaning.COMMEND, "▲", "lean-keep"), (Leaning.CORRECT, "▼", "lean-change"))

_WORDS_PX = (320, 200)
"""Room for the words: beside the button to remove alone, and beside all buttons."""


class ChosenLine(QWidget):
    """One line under the pad; empty while nothing is chosen, so that nothing jumps."""

    wished = Signal(str)

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self._prompt = ""
        self._words = QLabel("")
        self._words.setAccessibleName("What is chosen")
        self._words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(3)
        row.addWidget(self._words, 1)
        self._buttons: dict[str, QToolButton] = {}
        for _, face, action_id in _LEANINGS:
            row.addWidget(self._button(action_id, face))
        for weight in WEIGHTS:
            row.addWidget(self._button(f"weight-{weight}", str(weight)))
        row.addWidget(self._button("remove", "✕"))
        self.setFixedHeight(24)
        presenter.chosen_changed.listen(self.refresh)
        presenter.markup_changed.listen(self.refresh)
        self.refresh()

    def _button(self, action_id: str, face: str) -> QToolButton:
        entry = action(action_id)
        button = QToolButton(self)
        button.setText(face)
        button.setCheckable(action_id != "remove")
        button.setToolTip(f"{entry.label} ({entry.key})")
        button.setAccessibleName(entry.label)
        button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        button.setFixedSize(24, 22)
        button.setStyleSheet("padding: 0;")
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

    def refresh(self) -> None:
        """Show what is chosen now."""
        rows = self._presenter.chosen_rows
        text = self._prompt or self._presenter.place_words() or "Nothing is chosen"
        weighed = [row for row in rows if _can_weigh(row)]
        can_weigh = bool(weighed) and not self._prompt
        room_px = _WORDS_PX[1] if can_weigh else _WORDS_PX[0]
        metrics = self._words.fontMetrics()
        self._words.setText(metrics.elidedText(text, Qt.TextElideMode.ElideRight, room_px))
        self._words.setToolTip(text)
        self._words.setEnabled(bool(rows))
        for action_id, button in self._buttons.items():
            is_shown = bool(rows) and not self._prompt and (can_weigh or action_id == "remove")
            button.setVisible(is_shown)
            button.setEnabled(self._presenter.can_edit)
        for leaning, _, action_id in _LEANINGS:
            self._buttons[action_id].setChecked({row.leaning for row in weighed} == {leaning})
        for weight in WEIGHTS:
            alike = {row.weight for row in weighed} == {weight}
            self._buttons[f"weight-{weight}"].setChecked(alike)


def _can_weigh(row: object) -> TypeGuard[Tag | Comment]:
    return isinstance(row, Comment) or (isinstance(row, Tag) and row.kind is TagKind.EVENT)
