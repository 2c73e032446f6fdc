"""Opens the editor of words: for the case on the screen, or for one that is chosen."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from annotate.errors import UserFacingError
from annotate.vocabulary import Vocabulary
from app.vocabulary.choice import VocabularyChoice
from app.vocabulary.own import file_to_write, titles, vocabulary_today, write_vocabulary
from app.vocabulary.presenter import VocabularyPresenter
from app.vocabulary.view import VocabularyDialog
from app.vocabulary.words import keep_words

if TYPE_CHECKING:
    from app.desk.window import DeskWindow


class Vocabularies:
    """The desk's way to the editor."""

    def __init__(self, window: DeskWindow) -> None:
        self._window = window

    def ask(self) -> None:
        """Edit the words of the case on the screen; in the caseload, ask whose."""
        review = self._window.review
        if review is not None:
            self.edit(review.presenter.case.vocabulary)
            return
        choice = VocabularyChoice(titles(), self._window)
        choice.wished.connect(self.edit)
        choice.copy_wished.connect(self.edit_copy)
        choice.finished.connect(choice.deleteLater)
        choice.open()

    def edit(self, name: str) -> None:
        """Edit a vocabulary by its name, or by the path that a case has of it."""
        try:
            self._open(name, vocabulary_today(name))
        except UserFacingError as trouble:
            self._window.message_bar.say_trouble(str(trouble))

    def edit_copy(self, vocabulary: Vocabulary) -> None:
        """Edit a vocabulary that has no file yet."""
        self._open(vocabulary.name, vocabulary, is_kept=False)

    def _open(self, name: str, vocabulary: Vocabulary, *, is_kept: bool = True) -> None:
        window, store = self._window, self._window.store

        def keep(made: Vocabulary) -> Mapping[str, int]:
            if is_kept:  # as it was, for reviews from before editions were kept
                keep_words(store, vocabulary)
            write_vocabulary(made, file_to_write(name))
            keep_words(store, made)
            return store.code_uses(name)

        presenter = VocabularyPresenter(vocabulary, store.code_uses(name), is_kept=is_kept)
        dialog = VocabularyDialog(presenter, keep, window)
        dialog.accepted.connect(lambda: self._kept(dialog))
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()

    def _kept(self, dialog: VocabularyDialog) -> None:
        """Show the review, or the list, with the new words."""
        window = self._window
        if window.review is not None:
            presenter = window.review.presenter
            at_us = presenter.playhead_us
            window.opener.open(presenter.case.code, presenter.session.id)
            if window.review is not None:
                window.review.go_to_time(at_us)
        else:
            window.caseload.look_again()
        draft = dialog.presenter.draft
        window.message_bar.say(f"{draft.title}, version {draft.version}, is kept.")
