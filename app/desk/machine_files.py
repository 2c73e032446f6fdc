"""Machine values of a review as files: read from CSV and written to it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from annotate.errors import UserFacingError
from annotate.settingfile import read_settings, write_settings
from app.desk.ask import ask_file_to_read, ask_file_to_write
from app.review.adding_settings import add_settings, added_words

if TYPE_CHECKING:
    from app.desk.window import DeskWindow

KINDS = ["Table (*.csv)"]


class MachineFiles:
    """Reads and writes the machine values of the session on the screen."""

    def __init__(self, window: DeskWindow) -> None:
        self._window = window

    def ask_read(self) -> None:
        """Ask which file of machine values to read."""
        if self._window.review is not None:
            ask_file_to_read(self._window, "Read machine values", KINDS, self.read)

    def read(self, path: Path) -> None:
        """Add a file's machine values to the session, all of them or none."""
        window = self._window
        if window.review is None or window.review.presenter.is_refused():
            return
        presenter = window.review.presenter
        try:
            rows = read_settings(path, presenter.session.id, presenter.length_us)
            added = add_settings(window.store, presenter.session.id, rows, by=presenter.by)
        except UserFacingError as trouble:
            window.message_bar.say_trouble(str(trouble))
            return
        presenter.look_again()
        undo = " Ctrl+Z takes them back." if added.new else ""
        window.message_bar.say(f"{path.name}: {added_words(added)}{undo}")

    def ask_write(self) -> None:
        """Ask where the machine values go."""
        if self._window.review is not None:
            code = self._window.review.presenter.case.code
            ask_file_to_write(
                self._window, "Write machine values", KINDS, f"{code}-machine.csv", self.write
            )

    def write(self, path: Path) -> None:
        """Write the session's machine values."""
        window = self._window
        if window.review is None:
            return
        window.review.presenter.end_running()
        try:
            write_settings(window.review.presenter.markup.settings, path)
        except UserFacingError as trouble:
            window.message_bar.say_trouble(str(trouble))
            return
        window.message_bar.say(f"The machine values are in {path.name}.")
