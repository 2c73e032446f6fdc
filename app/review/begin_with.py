"""Begin a review with the tags of another one: which one, and which kinds of rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

from annotate.ids import SessionId
from annotate.tags import Comment, TagKind
from app.review.adding_tags import Copied, copied
from app.review.presenter import ReviewPresenter
from app.review.row_lines import KINDS
from store import Put

if TYPE_CHECKING:
    from app.review.view import ReviewView

_ROLE = Qt.ItemDataRole.UserRole
_FIRST = (TagKind.PHASE, TagKind.EVENT, TagKind.IDLE, TagKind.HAND_OVER)
"""Kinds that are ticked at first: a starting point takes the tags, not what another said."""
_SHORT = 8
"""A longer list has a line to find in it."""
_NONE = "There is no other review yet, of this case or of one with the same vocabulary."


@dataclass(frozen=True, slots=True)
class Offer:
    """A review whose tags can be taken over."""

    session_id: SessionId
    words: str
    who: str


def offers(presenter: ReviewPresenter) -> list[Offer]:
    """Reviews of this case that one may see, then those of cases with the same vocabulary."""
    store, here, me = presenter.store, presenter.case, presenter.by
    others = [row.case for row in store.cases(me) if row.case.vocabulary == here.vocabulary]
    made: list[Offer] = []
    for case in (here, *(case for case in others if case.id != here.id)):
        place = "This case" if case.id == here.id else case.code
        for session in store.sessions_seen_by(case.id, me):
            if session.id != presenter.session.id:
                code, edition = session.reviewer.code, ""
                if session.edition > 1:
                    edition = f", edition {session.edition}"
                you = " (you)" if code == me else ""
                words = f"{place}, review by {code}{you}{edition}"
                made.append(Offer(session.id, words, f"{code}'s review of {case.code}"))
    return made


class BeginWithDialog(QDialog):
    """Asks which review's tags to begin with; says what will come before it does."""

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self._offers = offers(presenter)
        self.setWindowTitle("Begin with the tags of another review")
        self.list = QListWidget()
        self.list.setAccessibleName("Reviews")
        for offer in self._offers:
            item = QListWidgetItem(offer.words)
            item.setData(_ROLE, offer.session_id)
            self.list.addItem(item)
        self.find_line = QLineEdit()
        self.find_line.setPlaceholderText("Find: a case, a reviewer")
        self.find_line.setAccessibleName("Find a review")
        self.find_line.setVisible(len(self._offers) > _SHORT)
        self.find_line.textChanged.connect(self._narrow)
        self.boxes: dict[str, QCheckBox] = {}
        self.verdict = QLabel(_NONE)
        self.verdict.setWordWrap(True)
        self.buttons = QDialogButtonBox()
        self.take_button = self.buttons.addButton(
            "Take these over", QDialogButtonBox.ButtonRole.AcceptRole
        )
        self.buttons.addButton("Leave it", QDialogButtonBox.ButtonRole.RejectRole)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        self._lay_out()
        self.list.currentRowChanged.connect(self._judge)
        if self._offers:
            self.list.setCurrentRow(0)
        self._judge()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.addWidget(QLabel("What is taken over is yours to correct; one undo takes it back."))
        column.addWidget(self.find_line)
        column.addWidget(self.list, 1)
        grid = QGridLayout()
        for place, (kind, label) in enumerate(k for k in KINDS if k[0]):
            box = QCheckBox(label)
            box.setChecked(kind in _FIRST)
            box.toggled.connect(self._judge)
            self.boxes[kind] = box
            grid.addWidget(box, place // 3, place % 3)
        column.addLayout(grid)
        self.verdict.setMinimumHeight(2 * self.verdict.fontMetrics().lineSpacing() + 2)
        column.addWidget(self.verdict)
        column.addWidget(self.buttons)
        self.resize(460, 400)

    @property
    def chosen(self) -> Offer | None:
        """The review that is chosen."""
        place = self.list.currentRow()
        return self._offers[place] if 0 <= place < len(self._offers) else None

    def _narrow(self, asked: str) -> None:
        """List the reviews in whose words each word that is asked for stands."""
        words, first = asked.casefold().split(), -1
        for place, offer in enumerate(self._offers):
            is_met = all(word in offer.words.casefold() for word in words)
            self.list.item(place).setHidden(not is_met)
            first = place if is_met and first < 0 else first
        row = self.list.currentRow()
        if row < 0 or self.list.item(row).isHidden():
            self.list.setCurrentRow(first)
        self._judge()

    def what_comes(self) -> Copied | None:
        """Rows that would be taken over; None where no review is chosen."""
        offer, presenter = self.chosen, self._presenter
        if offer is None:
            return None
        return copied(
            presenter.store.markup(offer.session_id),
            presenter.markup,
            presenter.session.id,
            presenter.vocabulary,
            presenter.length_us,
            {kind for kind, box in self.boxes.items() if box.isChecked()},
        )

    def _judge(self) -> None:
        found = self.what_comes()
        self.take_button.setEnabled(bool(found and found.rows))
        if found is not None:
            self.verdict.setText(f"{_counted(found)} will come. {found.words}".strip())
        elif self._offers:
            self.verdict.setText("No review is found by these words.")


def take_over(presenter: ReviewPresenter, found: Copied, who: str) -> bool:
    """Keep what was copied as one edit, and say what came."""
    words = f"{_counted(found)} taken over from {who}"
    if not found.rows or not presenter.edit(words, *(Put(row) for row in found.rows)):
        return False
    presenter.told.tell(f"{words}. {found.words}".strip())
    return True


def ask_begin_with(view: ReviewView) -> BeginWithDialog | None:
    """Ask whose tags to begin with."""
    presenter = view.presenter
    if presenter.is_refused():
        return None
    presenter.end_running()
    dialog = BeginWithDialog(presenter, view)

    def take() -> None:
        found, offer = dialog.what_comes(), dialog.chosen
        if found is not None and offer is not None:
            take_over(presenter, found, offer.who)

    dialog.accepted.connect(take)
    dialog.finished.connect(dialog.deleteLater)
    dialog.open()
    return dialog


def _counted(found: Copied) -> str:
    """Say how many tags and comments there are."""
    n_comments = sum(isinstance(row, Comment) for row in found.rows)
    n_tags = len(found.rows) - n_comments
    said = [_plural(n_tags, "tag")] if n_tags or not n_comments else []
    said += [_plural(n_comments, "comment")] if n_comments else []
    return " and ".join(said)


def _plural(n: int, noun: str) -> str:
    return f"{n} {noun}" + ("" if n == 1 else "s")
