"""Limits passed, on offer: each is taken into the review or put aside, with a key or a click."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.review.keyed_list import KeyedList
from app.review.machine_values import MachineValues
from app.review.setting_offers import EVENT_CODE
from app.setting_words import breach_line
from metrics.setting_limits import Breach

_LIST_PX = 84


class OffersPane(QWidget):
    """Hidden while nothing is on offer, or the review takes no edit.

    Signals
    -------
    wished
        A case time to go to.
    left
        The keys go back to the picture.
    """

    wished = Signal(int)
    left = Signal()

    def __init__(self, values: MachineValues, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._values = values
        self.rows = KeyedList("Limits passed")
        self.rows.setFixedHeight(_LIST_PX)
        self._title = QLabel("")
        self._title.setWordWrap(True)
        self.take = hinted_button("Take", "Take it into the review (Return)")
        self.aside = hinted_button("Put aside", "Offer it no more (Delete)")
        head = QHBoxLayout()
        head.setSpacing(4)
        head.addWidget(self._title, 1)
        head.addWidget(self.take)
        head.addWidget(self.aside)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addLayout(head)
        column.addWidget(self.rows)
        self.rows.reached.connect(self._go)
        self.rows.taken.connect(self._take)
        self.rows.dropped.connect(self._put_aside)
        self.rows.left.connect(self.left)
        self.take.clicked.connect(self._take_at_hand)
        self.aside.clicked.connect(self._put_at_hand_aside)

    def refresh(self) -> None:
        """Show what is on offer now."""
        had_keys = self.rows.hasFocus()
        offered = self._values.offered()
        vocabulary = self._values.presenter.vocabulary
        self.rows.show_rows([(breach_line(each, vocabulary), each) for each in offered])
        self.setVisible(bool(offered) and self._values.presenter.can_edit)
        has_event = any(term.code == EVENT_CODE for term in vocabulary.events)
        what = "an event" if has_event else "a comment"
        self._title.setText(f"{len(offered)} beyond the usual; take as {what}?")
        if had_keys and not offered:
            self.left.emit()

    def _go(self, breach: Breach) -> None:
        self.wished.emit(breach.start_us)

    def _take(self, breach: Breach) -> None:
        self._values.offers.take(breach)

    def _put_aside(self, breach: Breach) -> None:
        self._values.offers.put_aside(breach)
        self._values.changed.tell()

    def _take_at_hand(self) -> None:
        if isinstance(breach := self.rows.at_hand, Breach):
            self._take(breach)

    def _put_at_hand_aside(self) -> None:
        if isinstance(breach := self.rows.at_hand, Breach):
            self._put_aside(breach)


def hinted_button(words: str, hint: str) -> QPushButton:
    """A button whose hint is read aloud, too."""
    button = QPushButton(words)
    button.setToolTip(hint)
    button.setAccessibleDescription(hint)
    return button
