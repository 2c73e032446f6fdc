"""What panes with a list of spans share: where they send the viewer, and their buttons."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from app.review.keyed_list import KeyedList


class ListPane(QWidget):
    """A column without margins, for a list and what belongs to it.

    Signals
    -------
    wished
        A case time to go to.
    left
        The keys go back to the picture.
    """

    wished = Signal(int)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)

    def follow(
        self,
        rows: KeyedList,
        reached: Callable[..., object],
        taken: Callable[..., object],
        dropped: Callable[..., object],
    ) -> None:
        """Say what a list's keys and clicks do; Escape in it gives the keys back."""
        rows.reached.connect(reached)
        rows.taken.connect(taken)
        rows.dropped.connect(dropped)
        rows.left.connect(self.left)


def hinted_button(words: str, hint: str) -> QPushButton:
    """A button whose hint is read aloud, too."""
    button = QPushButton(words)
    button.setToolTip(hint)
    button.setAccessibleDescription(hint)
    return button
