"""Sound that follows the pictures' run, and pictures that follow what is heard."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer, Signal

from app.playing.feed import PictureFeed
from app.playing.messages import SoundStop, SoundUsed, SoundWish
from app.playing.sound_out import SoundOut

_LOOK_MS = 200
_APART_S = 0.012
"""Picture and sound nearer to each other than this are left alone."""

_MOST_AT_ONCE_S = 0.25


class SoundBeside(QObject):
    """Plays what belongs to the pictures of a feed. Close it before the feed.

    What is heard sets the beat: pictures are shifted to it, never the sound to them.
    """

    changed = Signal()

    def __init__(
        self,
        feed: PictureFeed,
        volume: float = 0.8,
        is_muted: bool = False,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._feed = feed
        self._speed = 0.0
        self.out = SoundOut(self._ask, self._used, volume, is_muted, self)
        feed.take_sound = self.out.take_in
        feed.began.connect(self._begin)
        self.out.words_changed.connect(self.changed)
        self.out.tracks_changed.connect(self.changed)
        self._beat = QTimer(self)
        self._beat.setInterval(_LOOK_MS)
        self._beat.timeout.connect(self._join)

    def run_at(self, speed: float) -> None:
        """A run is about to begin at this speed; 0 for one without sound."""
        self._speed = speed
        self.out.stop()
        self._beat.stop()

    def stand(self) -> None:
        """Be silent."""
        self.run_at(0.0)

    def _begin(self) -> None:
        began = self._feed.beginning
        if began is not None and self._speed > 0:
            self.out.start(began.case_us, self._speed, self._feed.begins_s(began))
            self._beat.start()

    def _join(self) -> None:
        """Shift the pictures to what is heard, where the two have come apart."""
        heard = self.out.clock()
        if heard is None:
            return
        at_s, heard_us = heard
        shown_us = self._feed.due_us(at_s, self._speed)
        if shown_us is None:
            return
        behind_s = (shown_us - heard_us) / 1e6 / self._speed
        if abs(behind_s) > _APART_S:
            self._feed.shift(max(-_MOST_AT_ONCE_S, min(behind_s, _MOST_AT_ONCE_S)))

    def _ask(self, wish: tuple[int, int, float, int] | None) -> None:
        self._feed.say(SoundStop() if wish is None else SoundWish(*wish))

    def _used(self, generation: int, n_bytes: int) -> None:
        self._feed.say(SoundUsed(generation, n_bytes))

    def close(self) -> None:
        """Let go of the device."""
        self._beat.stop()
        self._feed.take_sound = None
        self.out.close()
