"""The player: the feed's pictures on the screen, and travelling through them."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer

from annotate.clip import CaseReader
from app.review.picture import PictureView
from app.review.picture_feed import PictureFeed, fitted_size
from app.review.presenter import ReviewPresenter

_FIGURES_MS = 250
NO_CLIP = (
    "This case is known by its tags alone; there is no clip to show.\n"
    "The timeline and the figures are complete."
)


class Player(QObject):
    """Runs, steps and seeks.

    Parameters
    ----------
    open_reader : callable or None
        Opens the clips, on the feed's thread; None where there is no clip to show.
    no_clip_sentence : str
        Stands in place of the picture then.
    """

    def __init__(
        self,
        presenter: ReviewPresenter,
        picture: PictureView,
        open_reader: Callable[[], CaseReader] | None,
        no_clip_sentence: str = NO_CLIP,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self._picture = picture
        self.feed: PictureFeed | None = None
        self.n_frames = 0
        self._figures_beat = QTimer(self)
        self._figures_beat.setInterval(_FIGURES_MS)
        self._figures_beat.timeout.connect(self._tell_running)
        picture.room_changed.connect(self._fit)
        if open_reader is None:
            picture.say(no_clip_sentence)
            return
        picture.say("Opening the clip ...")
        self.feed = PictureFeed(open_reader, self)
        self.feed.opened.connect(self._show_first)
        self.feed.failed.connect(picture.say)
        self.feed.picture_came.connect(self._show_picture)
        self.feed.clip_ended.connect(self._stop_at_end)
        self._figures_beat.start()

    @property
    def number(self) -> int:
        """Number of the frame on the screen."""
        shown = self._picture.shown_number
        if shown is not None:
            return shown
        return self.feed.number_at(self._presenter.playhead_us) if self.feed else 0

    # From the feed

    def _show_first(self) -> None:
        if self.feed is None or self.feed.reader_facts is None:
            return
        self.n_frames = self.feed.reader_facts[0]
        self._fit()
        self.feed.show_number(self.feed.number_at(self._presenter.playhead_us))

    def _show_picture(self) -> None:
        shown = self.feed.take() if self.feed else None
        if shown is None:
            return
        marks = tuple(
            mark
            for mark in self._presenter.markup.marks
            if mark.start_us < shown.until_us and shown.time_us < mark.end_us
        )
        self._picture.show_picture(shown, marks)
        self._presenter.move_playhead(shown.time_us, shown.until_us)

    def _stop_at_end(self) -> None:
        self._presenter.set_playing(False)

    def _tell_running(self) -> None:
        """While a span runs on, its time and the figures follow it."""
        if self._presenter.running and self._presenter.is_playing:
            self._presenter.markup_changed.tell()

    def _fit(self) -> None:
        if self.feed is None or self.feed.reader_facts is None:
            return
        self.feed.fit(*fitted_size(self.feed.reader_facts[2], self._picture.room()))
        if not self._presenter.is_playing and self._picture.shown_number is not None:
            self.feed.show_number(self._picture.shown_number)

    # Travelling

    def toggle_play(self) -> None:
        """Run or stand; at the end, run from the start."""
        if self.feed is None or not self.n_frames:
            return
        if self._presenter.is_playing:
            self._presenter.set_playing(False)
            self.feed.show_number(self.number)
            return
        number = 0 if self.number >= self.n_frames - 1 else self.number
        self._presenter.set_playing(True)
        self.feed.play(number, self._presenter.speed)

    def step(self, by: int) -> None:
        """Show a neighbouring frame and stand still."""
        self.go_to_number(self.number + by)

    def go_to_number(self, number: int) -> None:
        """Show a frame by its number and stand still."""
        self._presenter.set_playing(False)
        if self.feed is not None and self.n_frames:
            self.feed.show_number(max(0, min(number, self.n_frames - 1)))

    def go_to_time(self, time_us: int) -> None:
        """Go to a case time; a running clip runs on from there."""
        time_us = max(0, min(time_us, self._presenter.length_us))
        if self.feed is None or not self.n_frames:
            self._presenter.move_playhead(time_us)
            return
        number = self.feed.number_at(time_us)
        if self._presenter.is_playing:
            self.feed.play(number, self._presenter.speed)
        else:
            self.feed.show_number(number)

    def go_to_neighbour(self, direction: int) -> None:
        """Go to the next or the last tag or comment, and choose it."""
        row = self._presenter.neighbour(direction)
        if row is not None:
            self._presenter.choose(row.id)
            self.go_to_time(row.start_us)

    def set_speed(self, speed: float) -> None:
        """Choose a speed; a running clip takes it at once."""
        self._presenter.set_speed(speed)
        if self._presenter.is_playing and self.feed is not None:
            self.feed.play(self.number, speed)

    def close(self) -> None:
        """Stop, and let go of the clips."""
        self._presenter.set_playing(False)
        self._figures_beat.stop()
        if self.feed is not None:
            self.feed.close()
            self.feed = None
