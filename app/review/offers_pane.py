"""Limits passed, on offer: each is taken into the review or put aside, with a key or a click."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QLabel, QWidget

from app.review.desk_action import desk_action
from app.review.keyed_list import KeyedList
from app.review.list_pane import ListPane, hinted_button
from app.review.machine_values import MachineValues
from app.review.setting_offers import EVENT_CODE
from app.setting_words import breach_line, whose_limits
from metrics.setting_limits import Breach

_MOST_ROWS, _LINES, _EDGES_PX = 2, 2, 14
_CHANGE_LIMITS = "vocabulary"


class OffersPane(ListPane):
    """Hidden while nothing is on offer, or the review takes no edit."""

    def __init__(self, values: MachineValues, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._values = values
        self.rows = KeyedList("Limits passed")
        self._title = QLabel("")
        self._title.setWordWrap(True)
        self.whose = QLabel("")
        self.whose.setWordWrap(True)
        self.whose.setProperty("quiet", True)
        self.take = hinted_button("Take", "Take it into the review (Return)")
        self.aside = hinted_button("Put aside", "Offer it no more (Delete)")
        self.change = hinted_button(
            "Change limits\N{HORIZONTAL ELLIPSIS}",
            "Limits stand with each phase, in Words of the procedure (Ctrl+Shift+V)",
        )
        self.column.setSpacing(3)
        self.column.addLayout(_row(self._title, self.take, self.aside))
        self.column.addWidget(self.rows)
        self.column.addLayout(_row(self.whose, self.change))
        self.follow(self.rows, self._go, self._take, self._put_aside)
        self.take.clicked.connect(self._take_at_hand)
        self.aside.clicked.connect(self._put_at_hand_aside)
        self.change.clicked.connect(self._change_limits)

    def refresh(self) -> None:
        """Show what is on offer now."""
        had_keys = self.rows.hasFocus()
        offered = self._values.offered()
        vocabulary = self._values.presenter.vocabulary
        self.rows.show_rows([(_unbroken(breach_line(each, vocabulary)), each) for each in offered])
        n_lines = min(len(offered), _MOST_ROWS) * _LINES
        self.rows.setFixedHeight(n_lines * self.rows.fontMetrics().lineSpacing() + _EDGES_PX)
        self.setVisible(bool(offered) and self._values.presenter.can_edit)
        has_event = any(term.code == EVENT_CODE for term in vocabulary.events)
        what = "an event" if has_event else "a comment"
        self._title.setText(f"{len(offered)} beyond the usual; take as {what}?")
        self.whose.setText(whose_limits(offered))
        if had_keys and not offered:
            self.left.emit()

    def _change_limits(self) -> None:
        action = desk_action(self, _CHANGE_LIMITS)
        if action is not None:
            action.trigger()

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


def _row(words: QLabel, *buttons: QWidget) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(4)
    row.addWidget(words, 1)
    for button in buttons:
        row.addWidget(button)
    return row


def _unbroken(words: str) -> str:
    """Words in which no line ends within a unit such as cc/min."""
    return words.replace("/min", "/\N{WORD JOINER}min")
