"""Sound that follows the pictures' run."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from app.playing.feed import PictureFeed
from app.playing.messages import SoundStop, SoundUsed, SoundWish
from app.playing.sound_out import SoundOut


class SoundBeside(QObject):
    """Plays what belongs to the pictures of a feed. Close it before the feed.

    The pictures set the beat, and run the same where there is no sound; what is heard is joined to
    them, see `sound_queue`.
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

    def run_at(self, speed: float) -> None:
        """A run is about to begin at this speed; 0 for one without sound."""
        self._speed = speed
        self.out.stop()

    def stand(self) -> None:
        """Be silent."""
        self.run_at(0.0)

    def _begin(self) -> None:
        began = self._feed.beginning
        if began is not None and self._speed > 0:
            self.out.start(began.case_us, self._speed, began.at_s)

    def _ask(self, wish: tuple[int, int, float, int] | None) -> None:
        self._feed.say(SoundStop() if wish is None else SoundWish(*wish))

    def _used(self, generation: int, n_bytes: int) -> None:
        self._feed.say(SoundUsed(generation, n_bytes))

    def close(self) -> None:
        """Let go of the device."""
        self._feed.take_sound = None
        self.out.close()
