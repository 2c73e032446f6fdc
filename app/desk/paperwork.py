"""What goes in and out of a review as files: tags, and the note that is handed back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices

from annotate.errors import UserFacingError
from annotate.tagfile import read_rows, rows_of, write_rows
from app.desk.ask import ask_file_to_read, ask_file_to_write
from app.desk.hand_back_dialog import HandBackDialog
from app.desk.long_sentence import WholeSentence
from app.desk.signing import may_sign
from app.handback.last_look import KINDS, WITH_STILLS, last_look
from app.handback.prepare import note_for
from app.handback.write_note import check_target, write_note
from app.jobs.work import Work
from app.review.adding_tags import add_rows
from app.watched_words import watched_for

if TYPE_CHECKING:
    from app.desk.window import DeskWindow

TAG_KINDS = ["Table (*.csv)", "JSON (*.json)", "WebVTT (*.vtt)"]


class Paperwork:
    """Reads and writes files for the session on the screen."""

    def __init__(self, window: DeskWindow) -> None:
        self._window = window
        self._kind = next(iter(KINDS))

    def ask_hand_back(self) -> None:
        """Show what goes out before it is asked where it goes."""
        review = self._window.review
        if review is None:
            return
        review.keeping_watched.flush()
        presenter = review.presenter
        can_sign = may_sign(presenter)
        look = last_look(
            presenter.case,
            presenter.session,
            presenter.markup,
            presenter.vocabulary,
            watched_for(presenter.store, presenter.case, presenter.session),
            may_sign=can_sign,
        )
        dialog = HandBackDialog(look, self._kind, may_sign=can_sign, parent=self._window)
        dialog.kind_chosen.connect(self.ask_where)
        dialog.sign_wished.connect(self._sign_first)
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()

    def _sign_first(self) -> None:
        self._window.questions.ask_sign(then=self.ask_hand_back)

    def ask_where(self, kind: str) -> None:
        """Ask where the note goes, beginning where the last one went."""
        if self._window.review is None:
            return
        self._kind = kind
        last = self._window.settings.handed_back_to
        ask_file_to_write(
            self._window,
            "Hand back the note",
            [f"{KINDS[kind]} (*.{kind})"],
            f"{self._window.review.presenter.case.code}-note.{kind}",
            self.hand_back,
            Path(last) if last else None,
        )

    def hand_back(self, path: Path) -> None:
        """Write the note in the background."""
        window = self._window
        if window.review is None:
            return
        presenter = window.review.presenter
        presenter.end_running()
        case, session = presenter.case, presenter.session

        def deed(work: Work) -> Path:
            kind = check_target(path)
            note = note_for(
                window.store,
                case,
                session,
                with_stills=kind in WITH_STILLS,
                work=work,
            )
            write_note(note, path)
            return path

        window.background.run("Writing the note", deed, self._written, self._trouble)

    def _written(self, path: Path) -> None:
        folder = str(path.resolve().parent)
        if folder != self._window.settings.handed_back_to:
            self._window.keep_settings(replace(self._window.settings, handed_back_to=folder))
        self._window.message_bar.say(
            f"The note is in {path.name}. Before you pass it on, look whether a picture or a "
            "word in it could tell who the patient is.",
            deeds=[
                ("Open the note", lambda: self._open(path)),
                ("Show the folder", lambda: self._open(path.parent)),
            ],
        )

    def _open(self, path: Path) -> None:
        """Show a file or folder in the program that the system has for it."""
        if not QDesktopServices.openUrl(QUrl.fromLocalFile(str(path.resolve()))):
            self._trouble(f"This system has nothing to open {path.name} with.")

    def _trouble(self, sentence: str) -> None:
        self._window.message_bar.say_trouble(sentence)

    def ask_read_tags(self) -> None:
        """Ask which tag file to read."""
        if self._window.review is not None:
            kinds = ["Tag files (*.csv *.json *.vtt)"]
            ask_file_to_read(self._window, "Read tags", kinds, self.read_tags)

    def read_tags(self, path: Path) -> None:
        """Add a file's tags to the session, all of them or none."""
        window = self._window
        if window.review is None:
            return
        presenter = window.review.presenter
        if presenter.is_refused():
            return
        try:
            rows = read_rows(path, presenter.vocabulary, presenter.length_us)
            presenter.end_running()
            added = add_rows(window.store, presenter.session, rows, by=presenter.by)
        except UserFacingError as trouble:
            self._trouble(str(trouble))
            return
        presenter.look_again()
        undo = " One undo (Ctrl+Z) takes them back." if added.n_added else ""
        told = "\n".join(added.rows_told(presenter.vocabulary))
        deeds = [("Show these rows", lambda: WholeSentence(told, window).open())] if told else []
        window.message_bar.say(f"{path.name}: {added.words}{undo}", deeds=deeds)

    def ask_write_tags(self) -> None:
        """Ask where the tags go."""
        if self._window.review is not None:
            code = self._window.review.presenter.case.code
            ask_file_to_write(
                self._window, "Write tags", TAG_KINDS, f"{code}-tags.csv", self.write_tags
            )

    def write_tags(self, path: Path) -> None:
        """Write the session's tags."""
        if self._window.review is None:
            return
        presenter = self._window.review.presenter
        try:
            write_rows(rows_of(presenter.markup), path, presenter.vocabulary)
        except UserFacingError as trouble:
            self._trouble(str(trouble))
            return
        self._window.message_bar.say(f"The tags are in {path.name}.")
