"""Save the frame on the screen as a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from app.desk.ask import ask_file_to_write
from app.jobs.work import Work
from app.picture_file import check_png, write_png
from app.playing.shown import Still
from app.review.copying import still_name

if TYPE_CHECKING:
    from app.desk.window import DeskWindow

STILL_KINDS = ["Picture (*.png)"]


class StillSaver:
    """Takes the frame first, then asks where it goes, so that it is the one that was meant."""

    def __init__(self, window: DeskWindow) -> None:
        self._window = window

    def ask(self) -> None:
        """Take the frame on the screen and ask where to write it."""
        if self._window.review is not None:
            self._window.review.player.take_still(self._taken)

    def _taken(self, still: Still) -> None:
        review = self._window.review
        if review is None:
            return
        if still.rgb is None:
            self._window.message_bar.say_trouble(still.words)
            return
        name = still_name(review.presenter.case.code, still.number, still.time_us)
        ask_file_to_write(
            self._window, "Save a still", STILL_KINDS, name, lambda path: self.save(still, path)
        )

    def save(self, still: Still, path: Path) -> None:
        """Write a still in the background."""
        window = self._window

        def deed(work: Work) -> Path:
            check_png(path)
            assert still.rgb is not None
            write_png(still.rgb, path)
            return path

        window.background.run("Writing the still", deed, self._written, self._trouble)

    def _written(self, path: Path) -> None:
        self._window.message_bar.say(
            f"The still is in {path.name}. Before you pass it on, look whether anything in it "
            "could tell who the patient is."
        )

    def _trouble(self, sentence: str) -> None:
        self._window.message_bar.say_trouble(sentence)
