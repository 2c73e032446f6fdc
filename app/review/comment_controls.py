"""The small controls under the comment box: leaning and weight, then phase, mark and end."""

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
    QVBoxLayout,
    QWidget,
)

from annotate.tags import WEIGHTS, Leaning
from app.review.commenting import Commenting, Draft
from app.review.wording import tenths

_LEANINGS = (
    (Leaning.COMMEND, "▲ Keep", "Ctrl+Up"),
    (Leaning.NEUTRAL, "◆ Note", ""),
    (Leaning.CORRECT, "▼ Change", "Ctrl+Down"),
)
_WEIGHT_WORDS = {1: "Minor", 2: "Matters", 3: "Weighs heavily"}


class WordsButton(QToolButton):
    """A small button whose words are cut where there is no room for them."""

    def __init__(self, name: str, tip: str) -> None:
        super().__init__()
        self._name, self._words = name, ""
        self.setToolTip(tip)
        self.setProperty("small", True)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def say(self, words: str) -> None:
        """Show these words, as far as there is room."""
        self._words = words
        self.setAccessibleName(f"{self._name}: {words}")
        self._fit()

    def sizeHint(self) -> QSize:
        hint = super().sizeHint()
        return QSize(self.fontMetrics().horizontalAdvance(self._words) + 18, hint.height())

    def minimumSizeHint(self) -> QSize:
        return QSize(40, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        room = max(self.width() - 16, 24)
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
        first = QHBoxLayout()
        first.setSpacing(4)
        for leaning, words, key in _LEANINGS:
            self.leanings[leaning] = self._leaning_button(leaning, words, key)
            first.addWidget(self.leanings[leaning])
        first.addStretch(1)
        weight_words = QLabel("Weight")
        weight_words.setProperty("quiet", True)
        first.addWidget(weight_words)
        for weight in WEIGHTS:
            self.weights[weight] = self._weight_button(weight)
            first.addWidget(self.weights[weight])
        self.time = QLabel("")
        self.time.setProperty("quiet", True)
        self.end = WordsButton("Until", "The comment holds until here, or for a moment (Alt+End)")
        self.phase = WordsButton("About", "The phase that it is about (Alt+Down, Alt+Up)")
        self.mark = WordsButton("Mark", "The mark that belongs to it, or none (Alt+Home)")
        self.more = QWidget()
        second = QHBoxLayout(self.more)
        second.setContentsMargins(0, 0, 0, 0)
        second.setSpacing(4)
        second.addWidget(self.time)
        for button, deed, stretch in (
            (self.end, "end", 3),
            (self.phase, "phase-on", 5),
            (self.mark, "mark", 4),
        ):
            button.clicked.connect(self._asking(deed))
            second.addWidget(button, stretch)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addLayout(first)
        column.addWidget(self.more)
        self.more.hide()

    def show_draft(self, draft: Draft, commenting: Commenting, *, is_begun: bool) -> None:
        """Show a draft; the second line only while one is written."""
        for leaning, button in self.leanings.items():
            button.setChecked(leaning is draft.leaning)
        for weight, weight_button in self.weights.items():
            weight_button.setChecked(weight == draft.weight)
        self.more.setVisible(is_begun)
        if not is_begun:
            self.time.clear()
            return
        what = "changes" if draft.replaced else "at"
        self.time.setText(f"{what} {tenths(draft.begun_us)}")
        self.end.say(f"to {tenths(draft.end_us)}" if draft.end_us else "until here")
        self.phase.say(commenting.phase_words(draft))
        self.mark.say(commenting.mark_words(draft))

    def _leaning_button(self, leaning: Leaning, words: str, key: str) -> QPushButton:
        button = QPushButton(words)
        button.setCheckable(True)
        button.setProperty("small", True)
        button.setToolTip(f"{words[2:]} ({key})" if key else words[2:])
        button.setAccessibleName(f"Leaning: {leaning.value}")
        button.clicked.connect(lambda: self.leaning_wished.emit(leaning))
        return button

    def _weight_button(self, weight: int) -> QToolButton:
        button = QToolButton()
        button.setText(str(weight))
        button.setCheckable(True)
        button.setProperty("small", True)
        button.setToolTip(f"{_WEIGHT_WORDS[weight]} (Ctrl+{weight}); again: no weight")
        button.setAccessibleName(f"Weight {weight}: {_WEIGHT_WORDS[weight]}")
        button.clicked.connect(lambda: self.weight_wished.emit(weight))
        return button

    def _asking(self, deed: str) -> Callable[[], None]:
        return lambda: self.wished.emit(deed)
