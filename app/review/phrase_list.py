"""The list of phrases over the comment box: it narrows as one types, and the box keeps the keys."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from annotate.tags import Leaning
from app.review.phrases import Phrase, Phrases, filled

_TALLEST_PX = 320
_MOST_SHOWN = 40
KEEP, CHANGE = "keep", "change"
_KEEP_WORDS = "+  Keep what is in the box as a phrase"
_CHANGE_WORDS = "Change the phrases of your own"
_SIGNS = {Leaning.COMMEND: "▲", Leaning.NEUTRAL: "◆", Leaning.CORRECT: "▼", None: " "}
_ASKED = {"phase": "the phase", "event": "the event"}
"""What stands in the list for a place that has nothing to fill it; a blank goes into the box."""
_EMPTY = "No phrase yet. Type what you often say, and keep it as a phrase here."
_NONE = "No phrase has these words."


class PhraseList(QListWidget):
    """It lies by its box while phrases are chosen.

    Attributes
    ----------
    room : QWidget
        The screen over which it may lie; the box is somewhere in it.

    Signals
    -------
    chosen
        `app.review.phrases.Phrase` to put in.
    asked
        ``keep`` or ``change``.
    """

    chosen = Signal(object)
    asked = Signal(str)

    def __init__(self, phrases: Phrases, box: QWidget) -> None:
        super().__init__(box)
        self._phrases, self._box = phrases, box
        self.room: QWidget = box
        self.setAccessibleName("Phrases")
        self.setAccessibleDescription("Ctrl+Space opens; Up and Down choose, Return puts in")
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setWordWrap(True)
        self.setSpacing(1)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setProperty("panel", True)
        self.itemClicked.connect(self._take)
        self.hide()

    @property
    def is_open(self) -> bool:
        """Whether phrases are being chosen."""
        return not self.isHidden()

    def offer(self, typed: str, places: Mapping[str, str], *, has_text: bool) -> None:
        """Show the phrases that have these words, as they would be put in."""
        self.clear()
        found = self._phrases.matching(typed)[:_MOST_SHOWN]
        for phrase in found:
            self._add(phrase_line(phrase, places), phrase)
        if not found:
            self._add(_NONE if self._phrases.all else _EMPTY, None)
        if has_text:
            self._add(_KEEP_WORDS, KEEP)
        self._add(_CHANGE_WORDS, CHANGE)
        self.setCurrentRow(0 if found else 1)
        self._lie_by_box()

    def takes(self, event: QKeyEvent) -> bool:
        """Whether a key belongs to the open list; it is done then."""
        if not self.is_open or event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            return False
        step = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()))
        if step is not None:
            self._step(step)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Tab):
            self._take(self.currentItem())
        elif event.key() == Qt.Key.Key_Escape:
            self.hide()
        else:
            return False
        return True

    def _step(self, step: int) -> None:
        places = [n for n in range(self.count()) if self._data(n) is not None]
        here = places.index(self.currentRow()) if self.currentRow() in places else 0
        self.setCurrentRow(places[(here + step) % len(places)])

    def _data(self, place: int) -> Phrase | str | None:
        data: Phrase | str | None = self.item(place).data(Qt.ItemDataRole.UserRole)
        return data

    def _add(self, words: str, data: Phrase | str | None) -> None:
        item = QListWidgetItem(words)
        item.setData(Qt.ItemDataRole.UserRole, data)
        if data is None:
            item.setFlags(Qt.ItemFlag.NoItemFlags)
        self.addItem(item)

    def _take(self, item: QListWidgetItem | None) -> None:
        data = item.data(Qt.ItemDataRole.UserRole) if item is not None else None
        if data is None:
            return
        self.hide()
        if isinstance(data, Phrase):
            self.chosen.emit(data)
        else:
            self.asked.emit(data)

    def _lie_by_box(self) -> None:
        """Under the box where there is room, else above it."""
        if self.parentWidget() is not self.room:
            self.setParent(self.room)
        self.setFixedWidth(self._box.width())
        self.show()
        self.doItemsLayout()
        last = self.visualItemRect(self.item(self.count() - 1)).bottom()
        height = min(last - self.visualItemRect(self.item(0)).top() + 16, _TALLEST_PX)
        top = self._box.mapTo(self.room, QPoint(0, 0))
        below = top.y() + self._box.height() + 2
        has_room = below + height <= self.room.height()
        y = below if has_room else max(0, top.y() - height - 2)
        self.setGeometry(top.x(), y, self._box.width(), height)
        self.raise_()


def phrase_line(phrase: Phrase, places: Mapping[str, str]) -> str:
    """A phrase as the list shows it: the sign of its leaning, its words with places filled."""
    shown = {name: places.get(name) or words for name, words in _ASKED.items()}
    return f"{_SIGNS[phrase.leaning]}  {filled(phrase.words, {**places, **shown})}"
