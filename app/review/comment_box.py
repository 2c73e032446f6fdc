"""Where comments are typed while the clip plays on."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QTextCursor
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget

from annotate.tags import Comment, Leaning
from app.review.comment_controls import CommentControls
from app.review.comment_text import GrowingText
from app.review.commenting import Commenting, Draft
from app.review.phrase_list import KEEP, PhraseList
from app.review.phrases import Phrase, Phrases, filled, next_blank, without_blanks
from app.review.phrases_dialog import PhrasesDialog
from app.review.presenter import ReviewPresenter

_HINT = "New comment: press Return and type; the clip plays on"
_HINT_NO_CLIP = "New comment: press Return and type; it is kept where you are"
_BLANK_LEFT = "A blank is still empty: type over it, or press Return again to leave it out."


class CommentBox(QWidget):
    """A box to type in. The comment takes the time at which typing began.

    Signals
    -------
    left
        The keys are given back.
    told
        What was done with a phrase.
    shown
        Its controls may show something else now.
    """

    left = Signal()
    told = Signal(str)
    shown = Signal()

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self._commenting = Commenting(presenter)
        self.draft: Draft | None = None
        self._leaning = Leaning.NEUTRAL
        self._weight: int | None = None
        self._filter_from: int | None = None
        self._is_blank_said = False
        self.text = GrowingText()
        self.text.setPlaceholderText(_HINT)
        self.text.setToolTip("Phrases of your own: Ctrl+Space")
        self.text.setAccessibleName("Comment")
        self.controls = CommentControls()
        self.phrases = Phrases()
        self.list = PhraseList(self.phrases, self)
        self.text.key_taker = self.list.takes
        self._connect()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        for part in (self.text, self.controls):
            column.addWidget(part)
        self._show()

    def _connect(self) -> None:
        self.text.textChanged.connect(self._begin)
        self.text.kept.connect(self.keep)
        self.text.left.connect(self._leave)
        self.text.wished.connect(self._do)
        self.text.focus_lost.connect(self.list.hide)
        self.controls.leaning_wished.connect(self.set_leaning)
        self.controls.weight_wished.connect(self._weigh)
        self.controls.wished.connect(self._do)
        self.list.chosen.connect(self.put_in)
        self.list.asked.connect(self._ask_of_list)
        desk = QApplication.instance()
        if isinstance(desk, QApplication):
            desk.focusChanged.connect(self._show_lit)

    def show_no_clip(self) -> None:
        """Nothing plays on where there is no clip."""
        self.text.setPlaceholderText(_HINT_NO_CLIP)

    # Beginning, keeping, leaving

    def begin(self) -> None:
        """Take the keys; the comment belongs to this moment."""
        self._begin_now()
        self.text.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def edit(self, comment: Comment) -> None:
        """Load a kept comment, to change its words or anything else of it."""
        self.draft = self._commenting.of(comment)
        self._leaning, self._weight = self.draft.leaning, self.draft.weight
        self.text.setPlainText(comment.text)
        self.text.selectAll()
        self._show()
        self.text.setFocus(Qt.FocusReason.OtherFocusReason)

    def keep(self) -> None:
        """Keep what is typed and give the keys back; an empty box only gives them back."""
        text = self.text.toPlainText()
        if self.text.has_blanks and next_blank(text) is not None:
            if not self._is_blank_said:
                self._is_blank_said = self.text.go_to_blank()
                self._presenter.said.tell(_BLANK_LEFT)
                return
            text = without_blanks(text)
        if text.strip() and not self._commenting.keep(text, self._draft_now()):
            return
        self._leave()

    def _draft_now(self) -> Draft:
        draft = self.draft or self._commenting.begun(self._presenter.playhead_us)
        return replace(draft, leaning=self._leaning, weight=self._weight)

    def _leave(self) -> None:
        self.list.hide()
        self.text.clear()
        self.text.has_blanks = self._is_blank_said = False
        self.draft, self._leaning, self._weight = None, Leaning.NEUTRAL, None
        self._show()
        self.left.emit()

    def _begin(self) -> None:
        if self.text.toPlainText():
            self._begin_now()
        if self.list.is_open:
            self._narrow()

    def _begin_now(self) -> None:
        if self.draft is None:
            self.draft = self._commenting.begun(self._presenter.playhead_us)
        self._show()

    def _show(self) -> None:
        is_begun = self.draft is not None
        draft = self._draft_now() if is_begun else Draft(0, self._leaning, self._weight)
        self.controls.show_draft(draft, self._commenting, is_begun=is_begun)
        self._show_lit()
        self.shown.emit()

    def _show_lit(self) -> None:
        """Its controls are dim until it has the keys, words, or anything chosen for it."""
        focus = QApplication.focusWidget()
        has_keys = focus is not None and self.isAncestorOf(focus)
        is_preset = self._leaning is not Leaning.NEUTRAL or self._weight is not None
        self.controls.show_lit(has_keys or self.draft is not None or is_preset)

    # Leaning, weight, phase, mark, end

    def leaning(self) -> Leaning:
        """The leaning chosen."""
        return self._leaning

    def set_leaning(self, leaning: Leaning) -> None:
        """Choose a leaning."""
        self._leaning = leaning
        self._show()

    def _weigh(self, weight: int) -> None:
        self._weight = None if self._weight == weight else weight
        self._show()

    def _do(self, deed: str) -> None:
        if deed in ("commend", "correct"):
            wanted = Leaning(deed)
            self.set_leaning(Leaning.NEUTRAL if self._leaning is wanted else wanted)
        elif deed.startswith("weight-"):
            self._weigh(int(deed[-1]))
        else:
            self._begin_now()
            self._change_draft(deed)

    def _change_draft(self, deed: str) -> None:
        draft = self._draft_now()
        self.draft = {
            "phase-on": lambda: self._commenting.next_phase(draft, 1),
            "phase-back": lambda: self._commenting.next_phase(draft, -1),
            "mark": lambda: self._commenting.toggled_mark(draft),
            "end": lambda: self._commenting.toggled_end(draft),
        }[deed]()
        self._show()
        self.text.setFocus(Qt.FocusReason.OtherFocusReason)

    # Phrases

    def open_phrases(self) -> None:
        """List the phrases; what is typed from now on narrows them."""
        self.begin()
        if self.list.is_open:
            self.list.hide()
            return
        self._filter_from = self._word_start()
        self._narrow()
        if self.phrases.trouble:
            self._presenter.said.tell(self.phrases.trouble)

    def put_in(self, phrase: Phrase) -> None:
        """Put a phrase in, in the place of what was typed to find it; go to its first blank."""
        words = filled(phrase.words, self._commenting.places(self._draft_now()))
        cursor = self.text.textCursor()
        start = min(self._filter_from or 0, cursor.position())
        cursor.setPosition(start, QTextCursor.MoveMode.KeepAnchor)
        cursor.insertText(words)
        if phrase.leaning is not None:
            self.set_leaning(phrase.leaning)
        span = next_blank(words)
        self.text.has_blanks |= span is not None
        cursor.setPosition(start if span is not None else start + len(words))
        self.text.setTextCursor(cursor)
        if span is not None:
            self.text.go_to_blank()

    def keep_as_phrase(self) -> None:
        """Keep the words in the box as a phrase of one's own."""
        leaning = None if self._leaning is Leaning.NEUTRAL else self._leaning
        if self.phrases.keep(Phrase(self.text.toPlainText(), leaning)):
            self.told.emit("Kept as a phrase of yours; Ctrl+Space lists it.")
        else:
            self.told.emit(self.phrases.trouble or "This is one of your phrases already.")

    def _ask_of_list(self, what: str) -> None:
        if what == KEEP:
            self.keep_as_phrase()
        else:
            self.change_phrases()

    def change_phrases(self) -> PhrasesDialog:
        """Open the list of phrases, to be changed."""
        dialog = PhrasesDialog(self.phrases, self.window())
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()
        return dialog

    def _word_start(self) -> int:
        """From where a word just typed is taken to look for: 'rhe' before Ctrl+Space."""
        place = self.text.textCursor().position()
        before = self.text.toPlainText()[:place]
        word = before.rsplit(None, 1)[-1] if before and not before[-1].isspace() else ""
        return place - len(word) if word and self.phrases.matching(word) else place

    def _narrow(self) -> None:
        cursor, text = self.text.textCursor(), self.text.toPlainText()
        start = self._filter_from or 0
        if cursor.position() < start:
            self.list.hide()
            return
        places = self._commenting.places(self._draft_now())
        typed = text[start : cursor.position()]
        self.list.offer(typed, places, has_text=bool(text.strip()))
