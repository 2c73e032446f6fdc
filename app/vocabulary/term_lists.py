"""The three lists of the editor: phases in order, events, idle reasons."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from annotate.vocabulary_text import KINDS
from app.look.theme import current_palette
from app.review.pad_button import key_cap, key_words
from app.vocabulary.presenter import VocabularyPresenter

_HEADINGS = {"phase": "Phases, in their usual order", "event": "Events", "idle": "Idle reasons"}
_CAP_PX = 30
_SHARES = {"phase": 5, "event": 5, "idle": 2}


class TermLists(QWidget):
    """Shows the words of each kind; one of them all is chosen.

    Signals
    -------
    chosen
        Kind and place of the word that is shown in the form.
    add_wished
        Kind of which a word is to be added.
    """

    chosen = Signal(str, int)
    add_wished = Signal(str)

    def __init__(self, presenter: VocabularyPresenter) -> None:
        super().__init__()
        self._presenter = presenter
        self.kind, self.ordinal = "phase", 0
        self.lists: dict[str, QListWidget] = {}
        self.adding: dict[str, QPushButton] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        for kind in KINDS:
            heading = QLabel(_HEADINGS[kind])
            heading.setProperty("heading", True)
            heading.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
            add = QPushButton("Add")
            add.setAccessibleName(f"Add to {_HEADINGS[kind].lower()}")
            add.setAutoDefault(False)
            add.clicked.connect(lambda _=False, kind=kind: self.add_wished.emit(kind))
            terms = QListWidget()
            terms.setAccessibleName(_HEADINGS[kind])
            terms.setMinimumHeight(72)
            terms.setIconSize(QSize(_CAP_PX, 16))
            terms.setUniformItemSizes(True)
            terms.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
            terms.currentRowChanged.connect(lambda row, kind=kind: self._choose(kind, row))
            terms.installEventFilter(self)
            row = QHBoxLayout()
            row.addWidget(heading, 1)
            row.addWidget(add)
            column.addLayout(row)
            column.addWidget(terms, _SHARES[kind])
            self.lists[kind], self.adding[kind] = terms, add
        self.refresh()

    def refresh(self) -> None:
        """Look at the draft again; the chosen place stays."""
        warning = QColor(current_palette().warning)
        text = QColor(current_palette().text)
        self.ordinal = min(self.ordinal, len(self._presenter.draft.terms(self.kind)) - 1)
        for kind, shown in self.lists.items():
            terms = self._presenter.draft.terms(kind)
            shown.blockSignals(True)
            while shown.count() > len(terms):
                shown.takeItem(shown.count() - 1)
            while shown.count() < len(terms):
                shown.addItem(QListWidgetItem())
            for place, term in enumerate(terms):
                is_faulty = self._presenter.is_faulty(kind, place)
                item = shown.item(place)
                sign = "   not right yet" if is_faulty else ""
                item.setText(f"{term.label or 'no label yet'}{sign}")
                item.setIcon(_cap(term.key))
                item.setData(
                    Qt.ItemDataRole.AccessibleTextRole,
                    f"{term.label}, {key_words(term.key) if term.key else 'no key'}{sign}",
                )
                item.setForeground(warning if is_faulty else text)
            shown.setCurrentRow(self.ordinal if kind == self.kind else -1)
            shown.blockSignals(False)

    def choose(self, kind: str, ordinal: int) -> None:
        """Choose a word."""
        n_terms = len(self._presenter.draft.terms(kind))
        self.kind, self.ordinal = kind, min(ordinal, n_terms - 1)
        self.refresh()
        self.chosen.emit(self.kind, self.ordinal)

    def _choose(self, kind: str, row: int) -> None:
        if row >= 0:
            self.choose(kind, row)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """A list that gets the keys has a word chosen."""
        if event.type() == QEvent.Type.FocusIn:
            kind = next((k for k, shown in self.lists.items() if shown is watched), None)
            if kind is not None and kind != self.kind and self._presenter.draft.terms(kind):
                self.choose(kind, max(self.lists[kind].currentRow(), 0))
        return super().eventFilter(watched, event)


def _cap(key: str) -> QIcon:
    """A key as it looks on the keyboard, so that labels stand under one another."""
    ratio = 2.0
    image = QPixmap(round(_CAP_PX * ratio), round(16 * ratio))
    image.setDevicePixelRatio(ratio)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    font = QFont(painter.font())
    font.setPixelSize(12)
    painter.setFont(font)
    painter.setPen(QColor(current_palette().text))
    painter.drawText(0, 0, _CAP_PX, 16, int(Qt.AlignmentFlag.AlignCenter), key_cap(key) or "–")
    painter.end()
    icon = QIcon()
    for mode in (QIcon.Mode.Normal, QIcon.Mode.Selected):
        icon.addPixmap(image, mode)
    return icon
