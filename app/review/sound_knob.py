"""How loud the recording is wished to be, and what is known of its sound."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from app.playing.sound_beside import SoundBeside
from app.review.sound_control import LOUDEST, STEP, SoundControl


class SoundKnob(QObject):
    """Holds volume, silence and the chosen track; shows them on the transport's control.

    Signals
    -------
    changed
        Somebody turned it: look at `volume`, `is_muted` and `track`.
    told
        How it stands now, after a key that may show nothing on the screen.
    """

    changed = Signal()
    told = Signal(str)

    def __init__(self, control: SoundControl, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._control = control
        self.volume = LOUDEST
        self.is_muted = False
        self.track = 0
        self.tracks: tuple[str, ...] = ()
        self.why_silent = ""
        control.volume_wished.connect(self.set_volume)
        control.track_wished.connect(self.set_track)

    def attach(self, sound: SoundBeside, run_again: Callable[[], object]) -> None:
        """Turn that sound from now on.

        Parameters
        ----------
        run_again : callable
            Starts the run anew where one goes on; another track is heard from there.
        """
        out = sound.out

        def turn() -> None:
            out.set_volume(self.volume / LOUDEST)
            out.set_muted(self.is_muted)
            if out.track != self.track:
                out.choose_track(self.track)
                run_again()

        def look() -> None:
            self.tell(tracks=out.track_words, why_silent=out.why_silent)

        self.put(round(out.volume * LOUDEST), is_muted=out.is_muted)
        self.changed.connect(turn)
        sound.changed.connect(look)
        look()

    def put(self, volume: int, *, is_muted: bool) -> None:
        """Set both at once."""
        self.volume = max(0, min(volume, LOUDEST))
        self.is_muted = is_muted
        self._tell()

    def set_volume(self, volume: int) -> None:
        """Set the volume, per cent; turning it up lets the sound be heard again."""
        is_up = volume > self.volume
        self.put(volume, is_muted=self.is_muted and not is_up)

    def turn(self, steps: int) -> None:
        """Louder or quieter by steps; where nothing is to be heard, say why."""
        if self.why_silent:
            self.told.emit(self.why_silent)
            return
        self.set_volume(max(0, min(self.volume + steps * STEP, LOUDEST)))

    def toggle_mute(self) -> None:
        """Silence, or sound again; a volume of nothing is turned up a little by it.

        Where nothing is to be heard, say why and leave it as it is.
        """
        if self.why_silent:
            self.told.emit(self.why_silent)
            return
        if self.volume == 0:
            self.put(STEP, is_muted=False)
        else:
            self.put(self.volume, is_muted=not self.is_muted)
        self.told.emit(self.words())

    def set_track(self, track: int) -> None:
        """Choose one of several tracks."""
        if 0 <= track < max(len(self.tracks), 1) and track != self.track:
            self.track = track
            self._tell()

    def next_track(self) -> str:
        """Choose the next track; return its name, or why there is none to choose."""
        if self.why_silent:
            return self.why_silent
        if len(self.tracks) < 2:
            return "This recording has one sound track."
        self.set_track((self.track + 1) % len(self.tracks))
        return f"Sound track: {self.tracks[self.track]}."

    def tell(self, *, tracks: tuple[str, ...] = (), why_silent: str = "") -> None:
        """Say which tracks there are, or in a sentence why nothing is to be heard."""
        self.tracks, self.why_silent = tracks, why_silent
        self.track = min(self.track, max(len(tracks) - 1, 0))
        self._show()

    def words(self) -> str:
        """How it stands, in a sentence."""
        if self.why_silent:
            return self.why_silent
        return "The sound is off." if self.is_muted else f"The sound is on, at {self.volume} %."

    def _tell(self) -> None:
        self._show()
        self.changed.emit()

    def _show(self) -> None:
        self._control.show_sound(
            self.volume,
            is_muted=self.is_muted,
            why_silent=self.why_silent,
            tracks=self.tracks,
            track=self.track,
        )
