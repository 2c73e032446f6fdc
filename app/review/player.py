"""The player: the feed's pictures on the screen, and travelling through them."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer, Signal

from app.playing.feed import PictureFeed
from app.playing.shown import CaseToPlay, Shown, Still
from app.playing.sound_beside import SoundBeside
from app.review.field_steps import FieldSteps
from app.review.passing_picture import Nearest, nearer
from app.review.picture import PictureView
from app.review.presenter import ReviewPresenter

_FIGURES_MS = 250


class Player(QObject):
    """Runs, steps and seeks.

    Parameters
    ----------
    opening : callable or None
        Finds the clips, on the feed's thread; None where there is no clip to show.

    Signals
    -------
    pace_changed
        How a run goes on has changed: look at the feed's `pace`.
    facts_changed
        More is known of the clip: look at `n_frames` and `is_interlaced`.
    sound_changed
        The device or the tracks have changed: look at `sound`.
    """

    pace_changed = Signal()
    facts_changed = Signal()
    sound_changed = Signal()

    def __init__(
        self,
        presenter: ReviewPresenter,
        picture: PictureView,
        opening: Callable[[], CaseToPlay] | None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self._picture = picture
        self.feed: PictureFeed | None = None
        self.sound: SoundBeside | None = None
        self.n_frames = 0
        self.is_interlaced = False
        self.fields = FieldSteps()
        self.small_near: Nearest | None = None
        self._held = 0
        self._asked = 0
        self._runs_after = False
        self._figures_beat = QTimer(self)
        self._figures_beat.setInterval(_FIGURES_MS)
        self._figures_beat.timeout.connect(self._tell_running)
        picture.framing_changed.connect(self._fit)
        if opening is None:
            return
        picture.say("Opening the clip ...")
        self.feed = PictureFeed(opening, self)
        self.feed.opened.connect(self._show_first)
        self.feed.facts_changed.connect(self._take_facts)
        self.feed.failed.connect(self._give_up)
        self.feed.told.connect(self._say_progress)
        self.feed.picture_came.connect(self._show_picture)
        self.feed.clip_ended.connect(self._halt)
        self.feed.pace_changed.connect(self.pace_changed)
        self.sound = SoundBeside(self.feed, parent=self)
        self.sound.changed.connect(self.sound_changed)
        self.feed.begin()
        self._figures_beat.start()

    @property
    def number(self) -> int:
        """Number of the frame on the screen, or of the one that was asked for since."""
        return self._asked

    def _show_first(self) -> None:
        if self.feed is None:
            return
        self._take_facts()
        self._fit()
        self.go_to_time(self._presenter.playhead_us)

    def _take_facts(self) -> None:
        if self.feed is None or self.feed.facts is None:
            return
        self.n_frames = self.feed.facts.n_frames
        self.is_interlaced = self.feed.facts.is_interlaced
        if min(self.feed.facts.picture_size) > 0 and self._picture.shown_number is None:
            self._picture.set_picture_size(self.feed.facts.picture_size)
        self.facts_changed.emit()

    def _show_picture(self) -> None:
        shown = self.feed.take() if self.feed else None
        if shown is None or self.feed is None:
            return
        asked_us = self.feed.time_of(self._asked)
        shown = nearer(shown, asked_us, self.small_near, self.feed.number_at)
        self._picture.set_picture_size(shown.picture_size)
        self._picture.show_picture(shown)
        self._follow(shown)

    def _follow(self, shown: Shown) -> None:
        """Take the playhead along; while a near picture stands in, it is where one points."""
        if shown.is_near and self.feed:
            self._presenter.move_playhead(self.feed.time_of(self._asked))
            return
        if self._presenter.is_playing or self._held:
            self._asked = shown.number
        self._presenter.move_playhead(shown.time_us, shown.until_us)

    def _say_progress(self, words: str) -> None:
        if self._picture.shown_number is None:
            self._picture.say(words)

    def _halt(self) -> None:
        """Run no longer, in neither direction."""
        self._held = 0
        self._hush()
        self._presenter.set_playing(False)

    def _give_up(self, sentence: str) -> None:
        self._halt()
        self._picture.say(sentence)

    def _tell_running(self) -> None:
        """While a span runs on, its time and the figures follow it."""
        if self._presenter.running and self._presenter.is_playing:
            self._presenter.markup_changed.tell()

    def _fit(self) -> None:
        """Have pictures come as they are looked at now."""
        if self.feed is None:
            return
        picture = self._picture
        self.feed.show_as(
            picture.framing, picture.tone, picture.room(), picture.look_room().picture
        )
        if not self._presenter.is_playing and not self._held and picture.shown_number is not None:
            self.feed.show_number(self._asked, self.fields.field)

    def toggle_play(self) -> None:
        """Run or stand; at the end, run from the start."""
        if self.feed is None or not self.n_frames:
            return
        if self._presenter.is_playing:
            self.stand()
            return
        number = 0 if self.number >= self.n_frames - 1 else self.number
        self._presenter.set_playing(True)
        self._run(number)

    def stand(self) -> None:
        """Stand still on the frame on the screen."""
        self._halt()
        if self.feed is not None and self.n_frames:
            self.feed.show_number(self.number)

    def _run(self, number: int) -> None:
        assert self.feed is not None
        if self.sound is not None:
            self.sound.run_at(self._presenter.speed)
        self.feed.play(number, self._presenter.speed, self._loop_at(number))

    def _loop_at(self, number: int) -> tuple[int, int] | None:
        """First and last frame of the span that is looped, if the run is in it."""
        loop: tuple[int, int] | None = self._presenter.loop
        if loop is None or self.feed is None:
            return None
        first, last = self.feed.number_at(loop[0]), self.feed.number_at(max(loop[1] - 1, loop[0]))
        return (first, last) if first <= number <= last else None

    def _hush(self) -> None:
        if self.sound is not None:
            self.sound.stand()

    def step(self, by: int) -> None:
        """Show a neighbouring frame and stand still."""
        self._halt()
        if self.feed is not None and self.n_frames:
            self._asked = self.fields.step(self.number, by, self.n_frames)
            self.feed.show_number(self._asked, self.fields.field)

    def turn_fields(self) -> str:
        """Step by fields, or by frames again; says which in a sentence."""
        words = self.fields.turn(is_interlaced=self.is_interlaced)
        if self.feed is not None and self.n_frames and not self._presenter.is_playing:
            self.feed.show_number(self._asked, self.fields.field)
        self.facts_changed.emit()
        return words

    def hold(self, direction: int) -> None:
        """Run on (1) or backward (-1) at the clip's own rate, as long as a key is held."""
        if self.feed is None or not self.n_frames or self._held == direction:
            return
        self._presenter.set_playing(False)
        self._hush()
        self._held = direction
        self.feed.play(self.number, float(direction))

    def let_go(self) -> None:
        """The held key is let go: stand still where it led."""
        if self._held:
            self.stand()

    def go_to_number(self, number: int) -> None:
        """Show a frame by its number and stand still."""
        self._halt()
        if self.feed is not None and self.n_frames:
            self.fields.go()
            self._asked = max(0, min(number, self.n_frames - 1))
            self.feed.show_number(self._asked, self.fields.field)

    def go_to_time(self, time_us: int) -> None:
        """Go to a case time; a running clip runs on from there."""
        if not self._aim(time_us) or self.feed is None:
            return
        if self._presenter.is_playing or self._runs_after:
            self._runs_after = False
            self._presenter.set_playing(True)
            self._run(self._asked)
        else:
            self.feed.show_number(self._asked, self.fields.field)

    def pass_by(self, time_us: int) -> None:
        """The pointer is dragged over a case time: a near picture will do until it rests.

        A clip that ran does so again from where the pointer is let go.
        """
        if self._aim(time_us) and self.feed is not None:
            self._runs_after |= self._presenter.is_playing
            self._presenter.set_playing(False)
            self._hush()
            self.feed.show_number(self._asked, is_passing=True)

    def _aim(self, time_us: int) -> bool:
        """Note which frame lies at a time; False, and the playhead moves, where there is none."""
        time_us = max(0, min(time_us, self._presenter.length_us))
        if self.feed is None or not self.n_frames:
            self._presenter.move_playhead(time_us)
            return False
        self._held = 0
        self.fields.go()
        self._asked = self.feed.number_at(time_us)
        return True

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
            self._run(self.number)

    def take_still(self, done: Callable[[Still], object]) -> None:
        """Have the frame on the screen whole and as filmed; `done` gets it on this thread."""
        if self.feed is not None and self.n_frames:
            self.feed.take_still(self.number, done)

    def close(self) -> None:
        """Let go of the clips."""
        self._held = 0
        self._presenter.set_playing(False)
        self._figures_beat.stop()
        if self.sound is not None:
            self.sound.close()
            self.sound = None
        if self.feed is not None:
            self.feed.close()
            self.feed = None
