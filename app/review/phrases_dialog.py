"""Where the phrases of one's own are changed, added and removed; each change is kept at once."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from annotate.tags import Leaning
from app.look.screen_room import keep_on_screen
from app.review.phrases import LONGEST_PHRASE, MOST_PHRASES, Phrase, Phrases

_HOW = (
    "In a phrase {phase}, {time}, {operator} and {event} (the last one) are filled in by "
    "themselves. {...} or any other word in braces is a blank; Tab goes from one to the next."
)
_KEPT = "Each change is kept as you make it."
_FRESH = "New phrase"
_LEANINGS = (
    (None, "As in the box"),
    (Leaning.COMMEND, "▲ Commend"),
    (Leaning.NEUTRAL, "◆ Neutral"),
    (Leaning.CORRECT, "▼ Correct"),
)


class PhrasesDialog(QDialog):
    """All phrases above, the chosen one to be changed below."""

    def __init__(self, phrases: Phrases, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._phrases = phrases
        self._is_filling = False
        self.setWindowTitle("Phrases of your own")
        self.list = QListWidget()
        self.list.setAccessibleName("Phrases")
        self.list.setWordWrap(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.words = QPlainTextEdit()
        self.words.setAccessibleName("Words of the chosen phrase")
        self.words.setPlaceholderText("Add a phrase, then type here what you often say.")
        self.words.setTabChangesFocus(True)
        self.words.setFixedHeight(84)
        self.leaning = QComboBox()
        self.leaning.setAccessibleName("Leaning that goes with the phrase")
        self.leaning.addItems([words for _, words in _LEANINGS])
        self.add, self.remove = QPushButton("&Add one"), QPushButton("&Remove it")
        self.foot = QLabel("")
        self.foot.setWordWrap(True)
        self.foot.setProperty("quiet", True)
        self._lay_out()
        self.list.currentRowChanged.connect(self._show_chosen)
        self.words.textChanged.connect(self._change)
        self.leaning.currentIndexChanged.connect(self._change)
        self.add.clicked.connect(self.add_one)
        self.remove.clicked.connect(self.remove_chosen)
        self._fill(0)
        self.foot.setText(phrases.trouble or _KEPT)
        self.resize(self.sizeHint())
        keep_on_screen(self)

    def sizeHint(self) -> QSize:
        return QSize(640, 520)

    def _lay_out(self) -> None:
        how = QLabel(_HOW)
        how.setWordWrap(True)
        how.setProperty("quiet", True)
        row = QHBoxLayout()
        row.addWidget(QLabel("Leaning"))
        row.addWidget(self.leaning)
        row.addStretch(1)
        row.addWidget(self.add)
        row.addWidget(self.remove)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.accept)
        for button in (self.add, self.remove, *buttons.buttons()):
            if isinstance(button, QPushButton):
                button.setAutoDefault(False)
        column = QVBoxLayout(self)
        column.addWidget(how)
        column.addWidget(self.list, 1)
        column.addWidget(self.words)
        column.addLayout(row)
        column.addWidget(self.foot)
        column.addWidget(buttons)

    def add_one(self) -> None:
        """Begin a phrase; it is kept once it has words."""
        if len(self._phrases.all) >= MOST_PHRASES:
            self.foot.setText(f"There are {MOST_PHRASES} phrases, and no more are kept.")
            return
        self._keep([Phrase(_FRESH), *self._phrases.all], 0)
        self.words.setFocus(Qt.FocusReason.OtherFocusReason)
        self.words.selectAll()

    def remove_chosen(self) -> None:
        """Remove the chosen phrase."""
        place, phrases = self.list.currentRow(), list(self._phrases.all)
        if 0 <= place < len(phrases):
            del phrases[place]
            self._keep(phrases, min(place, len(phrases) - 1))

    def _change(self) -> None:
        place, phrases = self.list.currentRow(), list(self._phrases.all)
        words = self.words.toPlainText().strip()
        if self._is_filling or not 0 <= place < len(phrases):
            return
        if not words or len(words) > LONGEST_PHRASE:
            self.foot.setText(
                f"A phrase has 1 to {LONGEST_PHRASE:,} characters; it stays as it was."
            )
            return
        phrases[place] = Phrase(words, _LEANINGS[self.leaning.currentIndex()][0])
        self._phrases.change(phrases)
        self.list.item(place).setText(_line(phrases[place]))
        self.foot.setText(self._phrases.trouble or _KEPT)

    def _keep(self, phrases: list[Phrase], chosen: int) -> None:
        self._phrases.change(phrases)
        self._fill(chosen)
        self.foot.setText(self._phrases.trouble or _KEPT)

    def _fill(self, chosen: int) -> None:
        self._is_filling = True
        self.list.clear()
        self.list.addItems([_line(phrase) for phrase in self._phrases.all])
        self._is_filling = False
        self.list.setCurrentRow(chosen)
        self._show_chosen()

    def _show_chosen(self) -> None:
        if self._is_filling:
            return
        place, phrases = self.list.currentRow(), self._phrases.all
        chosen = phrases[place] if 0 <= place < len(phrases) else None
        self._is_filling = True
        self.words.setPlainText(chosen.words if chosen else "")
        self.leaning.setCurrentIndex(
            next(n for n, (lean, _) in enumerate(_LEANINGS) if lean is (chosen and chosen.leaning))
        )
        self._is_filling = False
        for widget in (self.words, self.leaning, self.remove):
            widget.setEnabled(chosen is not None)


def _line(phrase: Phrase) -> str:
    sign = next(words[0] for lean, words in _LEANINGS if lean is phrase.leaning)
    return f"{sign if phrase.leaning else ' '}  {' '.join(phrase.words.split())}"
