"""Why a review takes no edits, and the way on from one's own signed one."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QWidget

from app.commands.table import action
from app.review.presenter import ReviewPresenter


class ReadOnlyLine(QWidget):
    """A sentence under the title, on every leaf; beside it a button where there is a way on.

    Signals
    -------
    wished
        Id of an action.
    """

    wished = Signal(str)

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self.label = QLabel("")
        self.label.setWordWrap(True)
        entry = action("go-on")
        self.go_on = QPushButton(entry.label)
        self.go_on.setToolTip(entry.help)
        self.go_on.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.go_on.clicked.connect(self._press)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.label, 1)
        row.addWidget(self.go_on, 0, Qt.AlignmentFlag.AlignVCenter)

    def say(self, words: str) -> None:
        """Say why; the way on shows where the review is one's own and signed."""
        self.label.setText(words)
        self.go_on.setVisible(may_go_on(self._presenter))

    def text(self) -> str:
        """What it says."""
        return self.label.text()

    def _press(self) -> None:
        self.wished.emit("go-on")


def may_go_on(presenter: ReviewPresenter) -> bool:
    """Whether whoever sits at the desk can go on with this review in a new edition."""
    return presenter.is_mine and presenter.is_signed
