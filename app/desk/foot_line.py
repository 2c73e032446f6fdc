"""The line at the foot of the desk: always there, and quiet while nothing is said upon it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QWidget

if TYPE_CHECKING:
    from app.review.presenter import ReviewPresenter

HEIGHT_PX = 22
_KEYS = "F1: every key"


class FootLine(QWidget):
    """Keeps the room of one line, so that what is said there moves nothing."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.words = QLabel("")
        self.words.setAccessibleName("What is kept")
        self.keys = QLabel(_KEYS)
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 0, 12, 0)
        for label in (self.words, self.keys):
            label.setProperty("quiet", True)
            label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.keys.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        row.addWidget(self.words, 1)
        row.addWidget(self.keys)
        self.setFixedHeight(HEIGHT_PX)

    def rest(self, words: str) -> None:
        """Say this while nothing else is said."""
        self.words.setText(words)
        self.words.setAccessibleDescription(words)


def kept_words(presenter: ReviewPresenter) -> str:
    """What is kept of a session."""
    n_tags, n_comments = len(presenter.markup.tags), len(presenter.markup.comments)
    code = presenter.case.code
    if not n_tags + n_comments:
        return f"{code}: nothing is tagged yet; each tag is kept as you set it"
    tags, comments = counted(n_tags, "tag"), counted(n_comments, "comment")
    signed = ", signed" if presenter.is_signed else ""
    return f"{code}: {tags} and {comments} are kept{signed}"


def counted(number: int, noun: str) -> str:
    """'1 tag', '2 tags'."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
