"""What goes in and out of a review as files: tags, and the note that is handed back."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices

from annotate.errors import UserFacingError
from annotate.tagfile import read_rows, rows_of, write_rows
from app.desk.ask import ask_file_to_read, ask_file_to_write
from app.desk.long_sentence import WholeSentence
from app.handback.prepare import note_for
from app.handback.write_note import check_target, write_note
from app.jobs.work import Work
from app.review.adding_tags import add_rows

if TYPE_CHECKING:
    from app.desk.window import DeskWindow

NOTE_KINDS = [
    "PDF, to read and print (*.pdf)",
    "Web page in one file (*.html)",
    "Subtitles over the clip, WebVTT (*.vtt)",
    "Subtitles over the clip, SRT (*.srt)",
    "Markdown (*.md)",
    "Table (*.csv)",
    "JSON (*.json)",
]
TAG_KINDS = ["Table (*.csv)", "JSON (*.json)", "WebVTT (*.vtt)"]


class Paperwork:
    """Reads and writes files for the session on the screen."""

    def __init__(self, window: DeskWindow) -> None:
        self._window = window

    def ask_hand_back(self) -> None:
        """Ask where the note goes."""
        if self._window.review is not None:
            code = self._window.review.presenter.case.code
            ask_file_to_write(
                self._window, "Hand back the note", NOTE_KINDS, f"{code}-note.pdf", self.hand_back
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
                with_stills=kind in {"pdf", "html"},
                work=work,
            )
            write_note(note, path)
            return path

        window.background.run("Writing the note", deed, self._written, self._trouble)

    def _written(self, path: Path) -> None:
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
