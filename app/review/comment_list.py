"""The comments of a session, in order of time."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from annotate.clock import short_time
from annotate.markup import place_of
from annotate.tags import Comment, Leaning
from app.review.presenter import ReviewPresenter

_SIGNS = {Leaning.COMMEND: "▲", Leaning.CORRECT: "▼", Leaning.NEUTRAL: "◆"}
_MARK = "✎"
"""A mark on the picture belongs to the comment."""
_MARK_WORDS = "with a mark"
_USUAL_LINES, _LEAST_LINES, _EDGES_PX = 6, 4, 14


def comment_words(comment: Comment) -> str:
    """One comment in a list: time, leaning, weight, a sign for a mark, its words."""
    until = f"–{short_time(comment.end_us)}" if comment.end_us is not None else ""
    sign = _SIGNS[comment.leaning or Leaning.NEUTRAL] * (comment.weight or 1)
    mark = f" {_MARK}" if comment.mark_id else ""
    return f"{short_time(comment.start_us)}{until}  {sign}{mark}  {comment.text[:400]}"


def said_words(comment: Comment) -> str:
    """The same for a screen reader, its signs as words."""
    leaning = (comment.leaning or Leaning.NEUTRAL).value
    weight = f", weight {comment.weight}" if comment.weight else ""
    mark = f", {_MARK_WORDS}" if comment.mark_id else ""
    return f"{short_time(comment.start_us)}, {leaning}{weight}{mark}: {comment.text[:400]}"


class CommentList(QListWidget):
    """Comments in order of time; a click goes there, a double click changes one.

    Those of a review that is laid over stand among them with its reviewer's code, to read.
    """

    wished = Signal(object, object)
    change_wished = Signal(object)

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self._theirs: tuple[Comment, ...] = ()
        self._own: tuple[Comment, ...] = ()
        self._name = ""
        self.setAccessibleName("Comments")
        self.setWordWrap(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSpacing(1)
        self.itemClicked.connect(self._go)
        self.itemActivated.connect(self._change)
        presenter.markup_changed.listen(self.refresh)
        presenter.chosen_changed.listen(self._show_chosen)
        self.refresh()

    def lay_over(self, name: str, comments: tuple[Comment, ...]) -> None:
        """Show another review's comments too, each with its reviewer's code."""
        self._name, self._theirs = name, comments
        self.clear()
        self.refresh()

    def _show_chosen(self) -> None:
        """Bring the chosen comment into sight."""
        if not isinstance(self._presenter.row(self._presenter.chosen), Comment):
            self.clearSelection()
            return
        for place in range(self.count()):
            item = self.item(place)
            if item.data(Qt.ItemDataRole.UserRole).id == self._presenter.chosen:
                self.setCurrentItem(item)
                self.scrollToItem(item)
                return
        self.clearSelection()

    def refresh(self) -> None:
        """Show the session's comments."""
        own = self._presenter.markup.comments
        if own is self._own and self.count():
            return  # a tag was edited: the comments are the very same
        self._own = own
        comments = sorted((*own, *self._theirs), key=place_of) if self._theirs else list(own)
        shown = [self.item(i).data(Qt.ItemDataRole.UserRole) for i in range(self.count())]
        if shown == comments:
            return
        self.clear()
        for comment in comments:
            is_theirs = comment.session_id != self._presenter.session.id
            lead = f"{self._name} says: " if is_theirs else ""
            item = QListWidgetItem(lead + comment_words(comment))
            item.setData(Qt.ItemDataRole.UserRole, comment)
            words = lead + comment.text[:1000]
            item.setToolTip(f"{words}\n{_MARK} {_MARK_WORDS}" if comment.mark_id else words)
            item.setData(Qt.ItemDataRole.AccessibleTextRole, lead + said_words(comment))
            if is_theirs:
                font = item.font()
                font.setItalic(True)
                item.setFont(font)
            self.addItem(item)

    def sizeHint(self) -> QSize:
        return QSize(200, self._height(_USUAL_LINES))

    def minimumSizeHint(self) -> QSize:
        return QSize(120, self._height(_LEAST_LINES))

    def _height(self, n_lines: int) -> int:
        return self.fontMetrics().lineSpacing() * n_lines + _EDGES_PX

    def _go(self, item: QListWidgetItem) -> None:
        comment = item.data(Qt.ItemDataRole.UserRole)
        is_own = comment.session_id == self._presenter.session.id
        self.wished.emit(comment.start_us, comment.id if is_own else None)

    def _change(self, item: QListWidgetItem) -> None:
        comment = item.data(Qt.ItemDataRole.UserRole)
        if comment.session_id == self._presenter.session.id:
            self.change_wished.emit(comment)
