"""The fields in which a tag is typed: what it is, who operates, start and end."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QLineEdit, QWidget

from annotate.clock import format_time
from annotate.errors import UserFacingError
from annotate.people import check_code
from annotate.tags import Comment, Tag, TagKind
from annotate.vocabulary import Vocabulary
from app.review.presenter import HAND_OVER_CODE
from app.review.reshaping import kind_of
from app.review.typed_tag import Places, TypedSpan, needs_end, typed_span

HOW = "A time as 0:01:14.800, or a frame as f 1234"
_ROLE = Qt.ItemDataRole.UserRole
Choice = tuple[TagKind, str]
"""Kind and code; the code of a hand-over is typed beside it."""


class TypedTagFields(QWidget):
    """Shows a row's code and times as text, and reads what is typed there.

    Signals
    -------
    typed
        Something was changed by hand.
    """

    typed = Signal()

    def __init__(self, vocabulary: Vocabulary, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._vocabulary = vocabulary
        self._row: Tag | Comment | None = None
        self._start_us = 0
        self.what, self.who = QComboBox(), QLineEdit()
        self.start, self.end = QLineEdit(), QLineEdit()
        self._what_label, self._who_label = QLabel("What"), QLabel("Who")
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(5)
        for row, column, label, widget in (
            (0, 0, self._what_label, self.what), (0, 2, self._who_label, self.who),
            (1, 0, QLabel("Start"), self.start), (1, 2, QLabel("End"), self.end),
        ):  # fmt: skip
            label.setBuddy(widget)
            grid.addWidget(label, row, column)
            grid.addWidget(widget, row, column + 1)
        grid.setColumnStretch(1, 1)
        grid.setColumnStretch(3, 1)
        self.what.setAccessibleName("What it is")
        self.what.setMinimumContentsLength(8)
        self.who.setAccessibleName("Who operates")
        self.who.setToolTip("A code, never a name; or attending")
        for line, edge in ((self.start, "Start"), (self.end, "End")):
            line.setAccessibleName(edge)
            line.setToolTip(HOW)
        for line in (self.start, self.end, self.who):
            line.textEdited.connect(self._type)
        self.what.activated.connect(self._type)

    @property
    def controls(self) -> tuple[QWidget, ...]:
        """All that takes the keys."""
        return self.what, self.who, self.start, self.end

    def show_row(self, row: Tag | Comment | None, playhead_us: int) -> None:
        """Show a row, or for a new one the place where it starts."""
        self._row = row
        self._start_us = playhead_us if row is None else row.start_us
        self._fill_choices()
        is_hand_over = isinstance(row, Tag) and row.kind is TagKind.HAND_OVER
        code = row.code if isinstance(row, Tag) else ""
        self.who.setText(code if is_hand_over else HAND_OVER_CODE)
        self.start.setText(format_time(self._start_us))
        end_us = None if row is None else row.end_us
        self.end.setText("" if end_us is None else format_time(end_us))
        self._show_who()

    def _fill_choices(self) -> None:
        """Words of the row's own kind; all words for a new one."""
        self.what.clear()
        row, vocabulary = self._row, self._vocabulary
        is_comment = isinstance(row, Comment)
        self.what.setVisible(not is_comment)
        self._what_label.setVisible(not is_comment)
        if isinstance(row, Comment):
            return
        kind = None if row is None else row.kind
        for term in vocabulary.terms_to_tag:
            if kind in (None, kind_of(term)):
                self.what.addItem(term.label, (kind_of(term), term.code))
        if kind in (None, TagKind.HAND_OVER):
            self.what.addItem("Hand-over", (TagKind.HAND_OVER, ""))
        if row is None or row.kind is TagKind.HAND_OVER:
            return
        place = next((i for i in range(self.what.count()) if self._at(i)[1] == row.code), None)
        if place is None:  # an old word that the vocabulary has no more
            self.what.insertItem(0, vocabulary.label(row.code), (row.kind, row.code))
        self.what.setCurrentIndex(place or 0)

    def _at(self, place: int) -> Choice:
        kind, code = self.what.itemData(place, _ROLE)
        return TagKind(kind), str(code)

    @property
    def kind(self) -> TagKind | None:
        """Kind of what is typed; None for a comment."""
        if isinstance(self._row, Comment):
            return None
        return self._at(max(self.what.currentIndex(), 0))[0]

    def _show_who(self) -> None:
        has_who = self.kind is TagKind.HAND_OVER
        self.who.setVisible(has_who)
        self._who_label.setVisible(has_who)

    def _type(self) -> None:
        self._show_who()
        self.typed.emit()

    def read(self, places: Places) -> tuple[str, TypedSpan]:
        """Code and times as they are typed; the code of a comment is empty.

        Raises
        ------
        UserFacingError
            If they cannot be kept.
        """
        kind, row = self.kind, self._row
        code = ""
        if kind is TagKind.HAND_OVER:
            code = check_code(self.who.text().strip(), "one who operates")
        elif kind is not None:
            if self.what.currentIndex() < 0:
                raise UserFacingError("What it is is not chosen yet.", "Choose a word.")
            code = self._at(self.what.currentIndex())[1]
        was = TypedSpan(self._start_us, None if row is None else row.end_us)
        span = typed_span(
            self.start.text(), self.end.text(), places, needs_end=needs_end(kind), as_was=was
        )
        return code, span
