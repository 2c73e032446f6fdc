"""The small controls of the comment box.

Over it its heading, with time, end, phase and mark while one is written; under it leaning and
weight.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QToolButton,
    QWidget,
)

from annotate.tags import WEIGHTS, Leaning
from app.review.commenting import Commenting, Draft
from app.review.wording import tenths

_LEANINGS = (
    (Leaning.COMMEND, "▲ Commend", "Ctrl+Up"),
    (Leaning.NEUTRAL, "◆ Neutral", ""),
    (Leaning.CORRECT, "▼ Correct", "Ctrl+Down"),
)
_WEIGHT_WORDS = {1: "Minor", 2: "Matters", 3: "Weighs heavily"}
_HEAD_PX, _WEIGHT_PX, _EDGES_PX = 20, 25, 11
_HEADING = "New comment"
_DEEDS = (
    ("end", "Holds", 4, "The comment is for a moment, or holds until where the clip is (Alt+End)"),
    ("phase-on", "About", 5, "The phase that the comment is about (Alt+Down, Alt+Up)"),
    (
        "mark",
        "Mark",
        4,
        "The mark on the picture that belongs to the comment: press to link the one that is chosen "
        "or was just drawn, press again to let it go (Alt+Home)",
    ),
)
"""What is asked for, name, share of the room, what it is for."""


class WordsButton(QToolButton):
    """A small button whose words are cut where there is no room for them."""

    def __init__(self, name: str, tip: str) -> None:
        super().__init__()
        self._name, self._tip, self._words = name, tip, ""
        self.setToolTip(tip)
        self.setAccessibleDescription(tip)
        self.setStyleSheet("padding: 0 4px; font-size: 12px;")
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Expanding)

    def say(self, words: str, lead: str = "") -> None:
        """Show these words, after others that lead up to them, as far as there is room."""
        self._words = lead + words
        self.setAccessibleName(f"{self._name}: {words}")
        self.setToolTip(f"{self._name}: {words}\n{self._tip}")
        self._fit()

    def sizeHint(self) -> QSize:
        hint = super().sizeHint()
        return QSize(self.fontMetrics().horizontalAdvance(self._words) + _EDGES_PX, hint.height())

    def minimumSizeHint(self) -> QSize:
        return QSize(40, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        room = max(self.width() - _EDGES_PX, 24)
        self.setText(self.fontMetrics().elidedText(self._words, Qt.TextElideMode.ElideRight, room))


class CommentControls(QWidget):
    """Shows what a draft says beside its words; asks for what is pressed.

    Signals
    -------
    leaning_wished, weight_wished, wished
        A leaning; a weight; ``phase-on``, ``mark`` or ``end``.
    """

    leaning_wished = Signal(object)
    weight_wished = Signal(int)
    wished = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.leanings: dict[Leaning, QPushButton] = {}
        self.weights: dict[int, QToolButton] = {}
        self._is_lit: bool | None = None
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(3)
        for leaning, words, key in _LEANINGS:
            self.leanings[leaning] = self._leaning_button(leaning, words, key)
            row.addWidget(self.leanings[leaning])
        row.addStretch(1)
        weight_words = QLabel("Weight")
        weight_words.setProperty("quiet", True)
        row.addWidget(weight_words)
        for weight in WEIGHTS:
            self.weights[weight] = self._weight_button(weight)
            row.addWidget(self.weights[weight])
        self.heading = QLabel(_HEADING)
        self.heading.setProperty("heading", True)
        self.end, self.phase, self.mark = (WordsButton(name, tip) for _, name, _, tip in _DEEDS)
        self.head = self._head()

    def _head(self) -> QWidget:
        """The heading that stands over the box; it has one height whatever is in it."""
        self.more = QWidget()
        more = QHBoxLayout(self.more)
        more.setContentsMargins(0, 0, 0, 0)
        more.setSpacing(3)
        for button, (deed, _, share, _) in zip(
            (self.end, self.phase, self.mark), _DEEDS, strict=True
        ):
            button.clicked.connect(self._asking(deed))
            more.addWidget(button, share)
        head = QWidget()
        head.setFixedHeight(_HEAD_PX)
        row = QHBoxLayout(head)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(6)
        row.addWidget(self.heading)
        row.addWidget(self.more, 1)
        row.addStretch(0)
        self.more.hide()
        return head

    def show_draft(self, draft: Draft, commenting: Commenting, *, is_begun: bool) -> None:
        """Show a draft; its time, end, phase and mark only while one is written.

        Neutral is lit from then on: before, it would seem to be said of what is chosen.
        """
        for leaning, button in self.leanings.items():
            is_said = is_begun or leaning is not Leaning.NEUTRAL
            button.setChecked(is_said and leaning is draft.leaning)
        for weight, weight_button in self.weights.items():
            weight_button.setChecked(weight == draft.weight)
        self.more.setVisible(is_begun)
        if not is_begun:
            self.heading.setText(_HEADING)
            return
        what = "Changing that of" if draft.replaced else "Comment at"
        self.heading.setText(f"{what} {tenths(draft.begun_us)}")
        self.end.say(f"to {tenths(draft.end_us)}" if draft.end_us else "a moment")
        self.phase.say(commenting.phase_words(draft))
        self.mark.say(commenting.mark_words(draft), "Mark: ")

    def show_lit(self, is_lit: bool) -> None:
        """Stand back while there is no comment that they would be of."""
        if is_lit == self._is_lit:
            return
        self._is_lit = is_lit
        for button in (*self.leanings.values(), *self.weights.values()):
            button.setProperty("dim", not is_lit)
            button.style().unpolish(button)
            button.style().polish(button)

    def _leaning_button(self, leaning: Leaning, words: str, key: str) -> QPushButton:
        button = QPushButton(words)
        button.setCheckable(True)
        button.setStyleSheet("padding: 2px 4px;")
        button.setToolTip(f"{words[2:]} ({key})" if key else words[2:])
        button.setAccessibleName(f"Leaning: {leaning.value}")
        button.clicked.connect(lambda: self.leaning_wished.emit(leaning))
        return button

    def _weight_button(self, weight: int) -> QToolButton:
        button = QToolButton()
        button.setText(str(weight))
        button.setCheckable(True)
        button.setFixedWidth(_WEIGHT_PX)
        button.setStyleSheet("padding: 2px 0;")
        button.setToolTip(f"{_WEIGHT_WORDS[weight]} (Ctrl+{weight}); again: no weight")
        button.setAccessibleName(f"Weight {weight}: {_WEIGHT_WORDS[weight]}")
        button.clicked.connect(lambda: self.weight_wished.emit(weight))
        return button

    def _asking(self, deed: str) -> Callable[[], None]:
        return lambda: self.wished.emit(deed)
