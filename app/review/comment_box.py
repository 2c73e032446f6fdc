"""Where comments are typed while the clip plays on."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QLabel,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from annotate.ids import RowId
from annotate.tags import Comment, Leaning
from app.review.presenter import ReviewPresenter
from app.review.wording import tenths

_LEANINGS = (
    (Leaning.COMMEND, "▲ Keep", "Ctrl+Up"),
    (Leaning.NEUTRAL, "◆ Note", ""),
    (Leaning.CORRECT, "▼ Change", "Ctrl+Down"),
)
_RETURNS = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_ARROWS = (Qt.Key.Key_Up, Qt.Key.Key_Down)
_MOST_LINES = 4


class GrowingText(QPlainTextEdit):
    """Plain text that grows with its lines, up to four; Return keeps, Shift+Return breaks one."""

    kept = Signal()
    left = Signal()
    leaning_wished = Signal(bool)

    def __init__(self) -> None:
        super().__init__()
        self.setTabChangesFocus(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.textChanged.connect(self._grow)
        self._grow()

    def _grow(self) -> None:
        needed = int(self.document().size().height())
        lines = max(1, min(needed, _MOST_LINES))
        policies = Qt.ScrollBarPolicy
        is_long = needed > _MOST_LINES
        self.setVerticalScrollBarPolicy(
            policies.ScrollBarAsNeeded if is_long else policies.ScrollBarAlwaysOff
        )
        self.setFixedHeight(self.fontMetrics().lineSpacing() * lines + 18)

    def event(self, event: QEvent) -> bool:
        is_override = event.type() == QEvent.Type.ShortcutOverride
        if is_override and isinstance(event, QKeyEvent) and event.key() in (*_RETURNS, *_ARROWS):
            event.accept()  # these keys belong to the box while one types
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_control = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        is_shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if event.key() in _RETURNS and not is_shift:
            self.kept.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif is_control and event.key() in _ARROWS:
            self.leaning_wished.emit(event.key() == Qt.Key.Key_Up)
        else:
            super().keyPressEvent(event)


class CommentBox(QWidget):
    """A box to type in. The comment takes the time at which typing began."""

    left = Signal()

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self._begun_us: int | None = None
        self._replaced: RowId | None = None
        self.text = GrowingText()
        self.text.setPlaceholderText("Comment: press Return and type; the clip plays on")
        self.text.setAccessibleName("Comment")
        self.text.textChanged.connect(self._begin)
        self.text.kept.connect(self.keep)
        self.text.left.connect(self._leave)
        self.text.leaning_wished.connect(self._lean)
        self._time = QLabel("")
        self._time.setProperty("quiet", True)
        self._group = QButtonGroup(self)
        row = QHBoxLayout()
        row.setSpacing(4)
        for leaning, words, key in _LEANINGS:
            button = QPushButton(words)
            button.setCheckable(True)
            button.setProperty("leaning", leaning.value)
            button.setToolTip(f"{words[2:]} ({key})" if key else words[2:])
            button.setAccessibleName(f"Leaning: {leaning.value}")
            self._group.addButton(button)
            row.addWidget(button)
        row.addStretch(1)
        row.addWidget(self._time)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.text)
        column.addLayout(row)
        self.set_leaning(Leaning.NEUTRAL)

    def begin(self) -> None:
        """Take the keys; the comment belongs to this moment."""
        self._begin_now()
        self.text.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def edit(self, comment: Comment) -> None:
        """Load a kept comment, to change its words or its leaning."""
        self._replaced, self._begun_us = comment.id, comment.start_us
        self.text.setPlainText(comment.text)
        self.text.selectAll()
        self.set_leaning(comment.leaning or Leaning.NEUTRAL)
        self._show_time()
        self.text.setFocus(Qt.FocusReason.OtherFocusReason)

    def keep(self) -> None:
        """Keep what is typed and give the keys back; an empty box only gives them back."""
        begun_us = self._begun_us if self._begun_us is not None else self._presenter.playhead_us
        text = self.text.toPlainText()
        if text.strip() and not self._presenter.keep_comment(
            text, begun_us, self.leaning(), self._replaced
        ):
            return
        self._leave()

    def _leave(self) -> None:
        self.text.clear()
        self._begun_us, self._replaced = None, None
        self._time.clear()
        self.set_leaning(Leaning.NEUTRAL)
        self.left.emit()

    def leaning(self) -> Leaning:
        """The leaning chosen."""
        button = self._group.checkedButton()
        return Leaning(button.property("leaning")) if button else Leaning.NEUTRAL

    def set_leaning(self, leaning: Leaning) -> None:
        """Choose a leaning."""
        for button in self._group.buttons():
            button.setChecked(button.property("leaning") == leaning.value)

    def _lean(self, is_up: bool) -> None:
        wanted = Leaning.COMMEND if is_up else Leaning.CORRECT
        self.set_leaning(Leaning.NEUTRAL if self.leaning() is wanted else wanted)

    def _begin(self) -> None:
        if self.text.toPlainText():
            self._begin_now()

    def _begin_now(self) -> None:
        if self._begun_us is None:
            self._begun_us = self._presenter.playhead_us
        self._show_time()

    def _show_time(self) -> None:
        if self._begun_us is not None:
            what = "changes the one at" if self._replaced else "at"
            self._time.setText(f"{what} {tenths(self._begun_us)}")
