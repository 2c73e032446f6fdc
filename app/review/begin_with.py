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
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

from annotate.ids import SessionId
from annotate.tags import TagKind
from app.review.adding_tags import Copied, copied
from app.review.presenter import ReviewPresenter
from app.review.row_lines import KINDS
from store import Put

if TYPE_CHECKING:
    from app.review.view import ReviewView

_ROLE = Qt.ItemDataRole.UserRole
_FIRST = (TagKind.PHASE, TagKind.EVENT, TagKind.IDLE, TagKind.HAND_OVER)
"""Kinds that are ticked at first: a starting point takes the tags, not what another said."""
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
        self.boxes: dict[str, QCheckBox] = {}
        self.verdict = QLabel(_NONE)
        self.verdict.setWordWrap(True)
        self.buttons = QDialogButtonBox()
        self.take_button = self.buttons.addButton(
            "Take these over", QDialogButtonBox.ButtonRole.AcceptRole
        )
        self.buttons.addButton("Leave", QDialogButtonBox.ButtonRole.RejectRole)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        self._lay_out()
        self.list.currentRowChanged.connect(self._judge)
        if self._offers:
            self.list.setCurrentRow(0)
        self._judge()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.addWidget(QLabel("Their tags become yours to correct; one undo takes them back."))
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
            self.verdict.setText(f"{_rows(len(found.rows))} will come. {found.words}".strip())


def take_over(presenter: ReviewPresenter, found: Copied, who: str) -> bool:
    """Keep what was copied as one edit, and say what came."""
    words = f"{_rows(len(found.rows))} taken over from {who}"
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


def _rows(n: int) -> str:
    return f"{n} row" + ("" if n == 1 else "s")
