"""The editor of a procedure's words: three lists, a form for the chosen word, title and source."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from annotate.errors import UserFacingError
from annotate.vocabulary import Vocabulary
from app.desk.ask import ask_which
from app.look.screen_room import ScrolledBody, keep_on_screen
from app.vocabulary.draft import NOUNS
from app.vocabulary.fields import Field, WordLine
from app.vocabulary.presenter import VocabularyPresenter
from app.vocabulary.term_form import TermForm
from app.vocabulary.term_lists import TermLists

_LISTS_PX = (176, 268)
"""Narrowest and widest."""
_TEACHING = (
    "Choose a word at the left to change it. What you keep holds for reviews from now on; reviews "
    "that were made before keep the words they have."
)
Keep = Callable[[Vocabulary], Mapping[str, int]]


class VocabularyDialog(QDialog):
    """Edits a vocabulary; nothing is written before 'Keep'.

    Parameters
    ----------
    keep : callable
        Given the vocabulary to keep; writes it and returns the uses of its codes, or raises
        UserFacingError.
    """

    def __init__(
        self, presenter: VocabularyPresenter, keep: Keep, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.presenter = presenter
        self._keep = keep
        self.title = WordLine("Title", "as it stands where a case is taken in")
        self.source = WordLine("Source", "where these words come from")
        self._heads = {"title": Field(self.title), "source": Field(self.source)}
        self.lists = TermLists(presenter)
        self.form = TermForm(presenter)
        self.remove = self._button("Remove", self._remove)
        self.earlier = self._button("Earlier", lambda: self._move(-1))
        self.later = self._button("Later", lambda: self._move(1))
        self.undo = self._button("Undo", presenter.undo)
        self.redo = self._button("Redo", presenter.redo)
        self.state = QLabel(_TEACHING)
        self.state.setWordWrap(True)
        self.trouble = QLabel("")
        self.trouble.setWordWrap(True)
        self.trouble.setProperty("trouble", True)
        self.trouble.hide()
        self._lay_out()
        self._listen()
        self.refresh()
        self.resize(980, 640)
        keep_on_screen(self)
        self.lists.lists["phase"].setFocus(Qt.FocusReason.OtherFocusReason)

    def _button(self, words: str, deed: Callable[[], object]) -> QPushButton:
        button = QPushButton(words)
        button.setAutoDefault(False)
        button.clicked.connect(lambda _=False: deed())
        return button

    def _lay_out(self) -> None:
        heads = QFormLayout()
        heads.setVerticalSpacing(4)
        for words, name in (("Title", "title"), ("Source", "source")):
            heads.addRow(words, self._heads[name])
        self.chosen_words = QLabel("")
        self.chosen_words.setProperty("heading", True)
        moving = QHBoxLayout()
        moving.addWidget(self.chosen_words, 1)
        for button in (self.earlier, self.later, self.remove):
            moving.addWidget(button)
        right = QVBoxLayout()
        right.addLayout(moving)
        right.addWidget(ScrolledBody(self.form), 1)
        body = QHBoxLayout()
        lists = ScrolledBody(self.lists)
        lists.setMinimumWidth(_LISTS_PX[0])
        lists.setMaximumWidth(_LISTS_PX[1])
        body.addWidget(lists, 1)
        body.addLayout(right, 3)
        box = QDialogButtonBox()
        self.leave = box.addButton("Leave it", QDialogButtonBox.ButtonRole.RejectRole)
        self.keep = box.addButton("Keep", QDialogButtonBox.ButtonRole.AcceptRole)
        for button in (self.leave, self.keep):
            button.setAutoDefault(False)
        box.accepted.connect(self._keep_now)
        box.rejected.connect(self.reject)
        foot = QHBoxLayout()
        foot.addWidget(self.undo)
        foot.addWidget(self.redo)
        foot.addWidget(self.state, 1)
        foot.addWidget(box)
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 10, 12, 10)
        column.setSpacing(8)
        column.addLayout(heads)
        column.addLayout(body, 1)
        column.addWidget(self.trouble)
        column.addLayout(foot)

    def _listen(self) -> None:
        for name, line in (("title", self.title), ("source", self.source)):
            line.textEdited.connect(lambda text, name=name: self.presenter.set_head(name, text))
        self.presenter.changed.listen(self.refresh)
        self.lists.chosen.connect(lambda _kind, _ordinal: self.refresh())
        self.lists.add_wished.connect(self._add)
        for keys, deed in (
            ("Alt+Up", lambda: self._move(-1)),
            ("Alt+Down", lambda: self._move(1)),
            ("Ctrl+Z", self.presenter.undo),
            ("Ctrl+Shift+Z", self.presenter.redo),
            ("Ctrl+Return", self._keep_now),
        ):
            QShortcut(QKeySequence(keys), self, deed)
        for button, keys in (
            (self.earlier, "Alt + Up"),
            (self.later, "Alt + Down"),
            (self.undo, "Ctrl + Z"),
            (self.redo, "Ctrl + Shift + Z"),
            (self.keep, "Ctrl + Return"),
            (self.remove, "Delete, in a list"),
        ):
            button.setToolTip(keys)

    # What it shows

    def refresh(self) -> None:
        """Look at the draft again."""
        presenter, draft = self.presenter, self.presenter.draft
        self.setWindowTitle(f"Words of {draft.title.strip() or draft.name}")
        self.title.put(draft.title)
        self.source.put(draft.source)
        for name, field in self._heads.items():
            field.say(presenter.fault(name))
        self.lists.refresh()
        kind, ordinal = self.lists.kind, self.lists.ordinal
        self.form.setVisible(ordinal >= 0)
        if ordinal >= 0:
            self.form.show_term(kind, ordinal)
        n_terms = len(draft.terms(kind))
        place = f"{NOUNS[kind]} {ordinal + 1} of {n_terms}" if n_terms else ""
        self.chosen_words.setText(place[:1].upper() + place[1:])
        self.earlier.setEnabled(ordinal > 0)
        self.later.setEnabled(0 <= ordinal < n_terms - 1)
        self.remove.setEnabled(ordinal >= 0)
        self.undo.setEnabled(presenter.can_undo)
        self.redo.setEnabled(presenter.can_redo)
        self.keep.setEnabled(presenter.may_keep)
        self.state.setText(self._state_words())

    def _state_words(self) -> str:
        presenter = self.presenter
        if presenter.faults:
            n = len(presenter.faults)
            whole = presenter.fault()
            return whole or f"{n} {'thing is' if n == 1 else 'things are'} not right yet."
        if presenter.is_changed:
            return f"Changed. 'Keep' makes version {presenter.next_version}."
        return f"Version {presenter.original.version}. {_TEACHING}"

    # What it does

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Delete removes the word whose list has the keys; Return alone keeps nothing."""
        if event.key() == Qt.Key.Key_Delete and self.lists.isAncestorOf(self.focusWidget()):
            self._remove()
        elif event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            super().keyPressEvent(event)

    def _add(self, kind: str) -> None:
        self.lists.choose(kind, self.presenter.add(kind))
        self.form.label.setFocus(Qt.FocusReason.OtherFocusReason)

    def _move(self, by: int) -> None:
        if self.lists.ordinal >= 0:
            kind, ordinal = self.lists.kind, self.lists.ordinal
            self.lists.choose(kind, self.presenter.move(kind, ordinal, by))

    def _remove(self) -> None:
        kind, ordinal = self.lists.kind, self.lists.ordinal
        if ordinal < 0:
            return
        words = self.presenter.parting_words(kind, ordinal)
        label = self.presenter.draft.terms(kind)[ordinal].label
        if words:
            deed = ("Remove it", lambda: self.presenter.remove(kind, ordinal))
            ask_which(self, f"Remove '{label}' from the list?", [deed], more=words)
        else:
            self.presenter.remove(kind, ordinal)

    def _keep_now(self) -> bool:
        if not self.presenter.may_keep:
            return False
        made = self.presenter.made()
        try:
            uses = self._keep(made)
        except UserFacingError as trouble:
            self.trouble.setText(str(trouble))
            self.trouble.show()
            return False
        self.trouble.hide()
        self.presenter.kept(made, uses)
        self.accept()
        return True

    def reject(self) -> None:
        """Leave; what was changed is asked about first."""
        if not self.presenter.is_changed:
            super().reject()
            return
        deeds: list[tuple[str, Callable[[], object]]] = []
        if self.presenter.may_keep:
            deeds.append(("Keep", self._keep_now))
        deeds.append(("Drop the changes", super().reject))
        more = "" if self.presenter.may_keep else "They are not right yet, so cannot be kept."
        ask_which(self, "Your changes are not kept yet.", deeds, more=more, is_leaving_default=True)
