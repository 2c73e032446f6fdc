"""The panel in which a tag's code and times are typed; it lies on the side column's foot."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPoint, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QComboBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from annotate.errors import UserFacingError
from annotate.ids import RowId, new_id
from annotate.tags import Comment, Tag
from app.review.presenter import ReviewPresenter
from app.review.reshaping import Reshaping
from app.review.typed_tag import Places
from app.review.typed_tag_fields import HOW, TypedTagFields
from app.review.wording import row_words

_EDGE_PX, _FOOT_PX = 6, 2
_MOVES = {QEvent.Type.Resize, QEvent.Type.Move, QEvent.Type.Show}
_ENDS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class TypedTagPanel(QFrame):
    """Code, start and end of the chosen row, or of a new one; nothing behind it is stopped.

    Parameters
    ----------
    side : QWidget
        The column on whose foot it lies, so that the picture stays free.
    parent : QWidget
        The screen.

    Signals
    -------
    left
        It was closed; the keys go back to the picture.
    """

    left = Signal()

    def __init__(
        self, presenter: ReviewPresenter, reshaping: Reshaping, side: QWidget, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self._presenter, self._reshaping = presenter, reshaping
        self._side, self._screen = side, parent
        self.places = Places(presenter.length_us)
        self._row: Tag | Comment | None = None
        self._is_typed = False
        self.setProperty("panel", True)
        self.setAccessibleName("Type a tag's times")
        self.setAutoFillBackground(True)
        self.title, self.verdict = QLabel(""), QLabel("")
        self.fields = TypedTagFields(presenter.vocabulary)
        self.keep_button, self.new_button = QPushButton("Keep"), QPushButton("New tag")
        self.leave_button = QPushButton("Leave it")
        self._lay_out()
        self.fields.typed.connect(self._type)
        self.keep_button.clicked.connect(self.keep)
        self.new_button.clicked.connect(self.begin_new)
        self.leave_button.clicked.connect(self.leave)
        presenter.chosen_changed.listen(self._follow_chosen)
        presenter.markup_changed.listen(self._follow_chosen)
        side.installEventFilter(self)
        self.hide()

    def _lay_out(self) -> None:
        self.title.setProperty("heading", True)
        self.verdict.setWordWrap(True)
        self.verdict.setMinimumHeight(2 * self.verdict.fontMetrics().lineSpacing() + 2)
        self.verdict.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.verdict.setAccessibleName("What is wrong, or what will make room")
        buttons = QHBoxLayout()
        for button, words in (
            (self.keep_button, "Keep it so (Return)"),
            (self.new_button, "Type a new tag instead"),
            (self.leave_button, "Leave it as it was (Esc)"),
        ):
            button.setAutoDefault(False)
            button.setToolTip(words)
            buttons.addWidget(button)
        for control in (
            *self.fields.controls, self.keep_button, self.new_button, self.leave_button,
        ):  # fmt: skip
            control.installEventFilter(self)
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 5, 12, 5)
        column.setSpacing(5)
        column.addWidget(self.title)
        column.addWidget(self.fields)
        column.addWidget(self.verdict)
        column.addLayout(buttons)

    # Coming and going

    def open(self) -> None:
        """Stand there with the chosen row, or for a new one."""
        self._begin(self._presenter.row(self._presenter.chosen))
        self._place()
        self.show()
        self.raise_()
        self.fields.start.setFocus(Qt.FocusReason.PopupFocusReason)
        self.fields.start.selectAll()

    def leave(self) -> None:
        """Close without keeping."""
        self._is_typed = False
        self.hide()
        self.left.emit()

    def begin_new(self) -> None:
        """Type a new tag that starts where the playhead is."""
        self._begin(None)
        self.fields.what.setFocus(Qt.FocusReason.OtherFocusReason)

    def _follow_chosen(self) -> None:
        """Show what is chosen now, unless something is being typed."""
        if not self.isVisible() or self._is_typed:
            return
        row = self._presenter.row(self._presenter.chosen)
        if row is not None and row != self._row:
            self._begin(row)

    def _begin(self, row: Tag | Comment | None) -> None:
        presenter = self._presenter
        self._row = presenter.as_far(row) if isinstance(row, Tag) else row
        self._is_typed = False
        words = "" if row is None else row_words(row, presenter.vocabulary)
        self.title.setText(f"Times of {words}" if words else "A new tag")
        self.fields.show_row(self._row, presenter.playhead_us)
        self.new_button.setEnabled(row is not None)
        self._judge()

    # What is typed

    def _type(self) -> None:
        self._is_typed = True
        self._judge()

    def _judge(self) -> None:
        """Say, as one types, what is wrong or which neighbours will make room."""
        presenter, can_edit = self._presenter, self._presenter.can_edit
        try:
            code, span = self.fields.read(self.places)
        except UserFacingError as trouble:
            self.keep_button.setEnabled(False)
            self.verdict.setText(str(trouble))
            return
        words, kind = f"{HOW}.", self.fields.kind
        if kind is not None and span.end_us is not None:
            row_id = RowId(new_id()) if self._row is None else self._row.id
            tag = Tag(row_id, presenter.session.id, kind, code, span.start_us, span.end_us)
            words = self._reshaping.room_words(tag) or words
        self.keep_button.setEnabled(can_edit)
        self.verdict.setText(words if can_edit else presenter.why_not)
        if self.isVisible():
            self._place()

    def keep(self) -> None:
        """Keep what is typed, as one edit, and close."""
        try:
            code, span = self.fields.read(self.places)
        except UserFacingError as trouble:
            self.verdict.setText(str(trouble))
            return
        kind = self.fields.kind
        if self._row is not None:
            done = self._reshaping.retime(self._row.id, code, span.start_us, span.end_us)
        else:
            assert kind is not None
            done = self._reshaping.add(kind, code, span.start_us, span.end_us)
        if done:
            self.leave()

    # Keys and place

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow the side column; let Return keep, from wherever it is pressed."""
        if watched is self._side:
            if event.type() in _MOVES and self.isVisible():
                self._place()
        elif isinstance(event, QKeyEvent):
            if event.type() == QEvent.Type.ShortcutOverride:
                if event.key() in (*_ENDS, *_own_keys(watched)):
                    event.accept()
                    return True
            elif event.type() == QEvent.Type.KeyPress and event.key() in _ENDS:
                if isinstance(watched, QPushButton):
                    watched.click()
                else:
                    self.keep()
                return True
        return super().eventFilter(watched, event)

    def _place(self) -> None:
        side = self._side
        height = self.sizeHint().expandedTo(self.minimumSizeHint()).height()
        corner = side.mapTo(self._screen, QPoint(0, 0))
        top = corner.y() + side.height() - _FOOT_PX - height
        self.setGeometry(corner.x() + _EDGE_PX, top, side.width() - 2 * _EDGE_PX, height)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.leave()
            return
        event.accept()  # a letter that slips through tags nothing


def _own_keys(widget: QObject) -> tuple[Qt.Key, ...]:
    """Keys that a control needs itself, though the screen travels with them."""
    if isinstance(widget, QComboBox):
        return (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Space)
    return (Qt.Key.Key_Space,) if isinstance(widget, QPushButton) else ()
