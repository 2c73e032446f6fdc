"""Where comments are typed while the clip plays on, and the list of those written."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from annotate.clock import short_time
from annotate.ids import RowId
from annotate.tags import Comment, Leaning
from app.review.presenter import ReviewPresenter

_LEANINGS = (
    (Leaning.COMMEND, "▲ Keep", "Ctrl+Up"),
    (Leaning.NEUTRAL, "◆ Note", ""),
    (Leaning.CORRECT, "▼ Change", "Ctrl+Down"),
)
_OWN_KEYS = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Up, Qt.Key.Key_Down)
_SIGNS = {Leaning.COMMEND: "▲", Leaning.CORRECT: "▼", Leaning.NEUTRAL: "◆"}


class CommentBox(QWidget):
    """One line to type in. The comment takes the time at which typing began."""

    left = Signal()

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self._begun_us: int | None = None
        self._replaced: RowId | None = None
        self._line = QLineEdit()
        self._line.setPlaceholderText("Comment: press Return and type; the clip plays on")
        self._line.setAccessibleName("Comment")
        self._line.textEdited.connect(self._begin)
        self._line.returnPressed.connect(self.keep)
        self._line.installEventFilter(self)
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
        column.addWidget(self._line)
        column.addLayout(row)
        self.set_leaning(Leaning.NEUTRAL)

    def begin(self) -> None:
        """Take the keys; the comment belongs to this moment."""
        if self._begun_us is None:
            self._begun_us = self._presenter.playhead_us
            self._show_time()
        self._line.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def edit(self, comment: Comment) -> None:
        """Load a kept comment, to change its words or its leaning."""
        self._replaced, self._begun_us = comment.id, comment.start_us
        self._line.setText(comment.text)
        self.set_leaning(comment.leaning or Leaning.NEUTRAL)
        self._show_time()
        self._line.setFocus(Qt.FocusReason.OtherFocusReason)

    def keep(self) -> None:
        """Keep what is typed and give the keys back; an empty box only gives them back."""
        begun_us = self._begun_us if self._begun_us is not None else self._presenter.playhead_us
        text = self._line.text()
        if text.strip() and not self._presenter.keep_comment(
            text, begun_us, self.leaning(), self._replaced
        ):
            return
        self.clear()
        self.left.emit()

    def clear(self) -> None:
        """Empty the box."""
        self._line.clear()
        self._begun_us, self._replaced = None, None
        self._time.clear()
        self.set_leaning(Leaning.NEUTRAL)

    def leaning(self) -> Leaning:
        """The leaning chosen."""
        button = self._group.checkedButton()
        return Leaning(button.property("leaning")) if button else Leaning.NEUTRAL

    def set_leaning(self, leaning: Leaning) -> None:
        """Choose a leaning."""
        for button in self._group.buttons():
            button.setChecked(button.property("leaning") == leaning.value)

    def _begin(self) -> None:
        if self._begun_us is None:
            self._begun_us = self._presenter.playhead_us
        self._show_time()

    def _show_time(self) -> None:
        if self._begun_us is not None:
            what = "changes" if self._replaced else "at"
            self._time.setText(f"{what} {short_time(self._begun_us)}")

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if not isinstance(event, QKeyEvent):
            return super().eventFilter(watched, event)
        if event.type() == QEvent.Type.ShortcutOverride and event.key() in _OWN_KEYS:
            event.accept()  # these keys belong to the box while one types
            return True
        if event.type() == QEvent.Type.KeyPress:
            is_control = event.modifiers() & Qt.KeyboardModifier.ControlModifier
            if event.key() == Qt.Key.Key_Escape:
                self.clear()
                self.left.emit()
                return True
            if is_control and event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
                is_up = event.key() == Qt.Key.Key_Up
                wanted = Leaning.COMMEND if is_up else Leaning.CORRECT
                self.set_leaning(Leaning.NEUTRAL if self.leaning() is wanted else wanted)
                return True
        return super().eventFilter(watched, event)


class CommentList(QListWidget):
    """Comments in order of time; a click goes there, a double click changes one."""

    wished = Signal(object, object)
    change_wished = Signal(object)

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self.setAccessibleName("Comments")
        self.setWordWrap(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSpacing(1)
        self.itemClicked.connect(self._go)
        self.itemActivated.connect(self._change)
        presenter.markup_changed.listen(self.refresh)
        presenter.chosen_changed.listen(self._show_chosen)
        self.refresh()

    def _show_chosen(self) -> None:
        """Bring the chosen comment into sight."""
        for place in range(self.count()):
            item = self.item(place)
            if item.data(Qt.ItemDataRole.UserRole).id == self._presenter.chosen:
                self.setCurrentItem(item)
                self.scrollToItem(item)
                return
        self.clearSelection()

    def refresh(self) -> None:
        """Show the session's comments."""
        comments = self._presenter.markup.comments
        self.setVisible(bool(comments))
        shown = [self.item(i).data(Qt.ItemDataRole.UserRole) for i in range(self.count())]
        if shown == list(comments):
            return
        self.clear()
        for comment in comments:
            sign = _SIGNS[comment.leaning or Leaning.NEUTRAL]
            text = f"{short_time(comment.start_us)}  {sign}  {comment.text[:400]}"
            item = QListWidgetItem(text)
            item.setData(Qt.ItemDataRole.UserRole, comment)
            item.setToolTip(comment.text[:1000])
            self.addItem(item)

    def sizeHint(self) -> QSize:
        return QSize(200, 90)

    def minimumSizeHint(self) -> QSize:
        return QSize(120, 48)

    def _go(self, item: QListWidgetItem) -> None:
        comment = item.data(Qt.ItemDataRole.UserRole)
        self.wished.emit(comment.start_us, comment.id)

    def _change(self, item: QListWidgetItem) -> None:
        self.change_wished.emit(item.data(Qt.ItemDataRole.UserRole))
