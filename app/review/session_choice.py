"""Whose review is on the screen, and whose else there is."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QWidget

from app.review.presenter import ReviewPresenter


class SessionChoice(QComboBox):
    """The reviewers who have a session on this case, and oneself."""

    wished = Signal(str)

    def __init__(
        self, presenter: ReviewPresenter, reviewers: Sequence[str], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        current = presenter.session.reviewer.code
        for code in dict.fromkeys((current, *reviewers, presenter.by)):
            words = f"Review by {code}"
            if code == presenter.by:
                words += " (you)"
            self.addItem(words, code)
        self.setCurrentIndex(0)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setAccessibleName("Whose review is shown")
        self.setToolTip("Whose review is shown; only your own takes your tags")
        self.activated.connect(self._choose)

    def _choose(self, place: int) -> None:
        self.wished.emit(self.itemData(place))
