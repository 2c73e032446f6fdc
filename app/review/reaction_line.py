"""How far events are set back for the reaction time, with two small buttons to change it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QToolButton, QWidget

from app.commands.table import action
from app.review.reaction import ReactionOffset

_BUTTON_PX = 18
_ACTIONS = (("events-less-back", "−", -1), ("events-farther-back", "+", 1))


class ReactionLine(QWidget):
    """Stands at the end of the heading of the events."""

    def __init__(self, reaction: ReactionOffset, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._reaction = reaction
        self.words = QLabel("")
        self.words.setProperty("quiet", True)
        self.words.setAccessibleName("How far events are set back while the clip plays")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(2)
        row.addWidget(self.words)
        self.buttons: list[QToolButton] = []
        for action_id, face, steps in _ACTIONS:
            entry = action(action_id)
            button = QToolButton()
            button.setText(face)
            button.setStyleSheet("padding: 0;")
            button.setFixedSize(_BUTTON_PX, _BUTTON_PX)
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            button.setToolTip(f"{entry.help} ({entry.key})")
            button.setAccessibleName(entry.label)
            button.setProperty("steps", steps)
            button.clicked.connect(self._press)
            row.addWidget(button)
            self.buttons.append(button)
        reaction.changed.listen(self.refresh)
        self.refresh()

    def _press(self) -> None:
        self._reaction.change(self.sender().property("steps"))

    def refresh(self) -> None:
        """Show how it is now."""
        self.words.setText(f"set back {self._reaction.seconds:.1f}\N{NO-BREAK SPACE}s")
        said = f"While the clip plays, {self._reaction.words}; Backspace puts one to its key press."
        self.words.setToolTip(said)
        self.words.setAccessibleDescription(said)
