"""Sound beside the pictures: started with them, joined to their beat, silent where it must be."""

from __future__ import annotations

import time
from collections.abc import Callable

from PySide6.QtCore import QLocale, QObject, Qt, QTimer, Signal

from annotate.clip.sound import SoundTrack
from annotate.clip.sound_tempo import has_sound_at
from app.playing.multimedia import load_multimedia
from app.playing.sound_device import SoundDevice
from app.playing.sound_messages import FromPump, SoundChunk, SoundEnded, SoundTracks
from app.playing.sound_queue import SoundQueue

LATENCY_S = 0.010
"""From a device's taking sound to its being heard: what a sound server's smallest buffer holds,
measured with PulseAudio. What a device itself adds beyond that cannot be asked for through Qt."""

_KEEP_MS = 500
NO_SOUND = "There is no sound in this part of the recording."


class SoundOut(QObject):
    """Plays a case's sound. Make it on the main thread; call `close` before dropping it.

    No device is looked for before the first start that has sound. Where there is none, everything
    works the same in silence, and `device_words` says so.

    Parameters
    ----------
    ask : callable
        Passes ``(generation, case_us, speed, track)`` on to the pump, or None for stop. Called on
        the thread of whoever calls `start` and `stop`.
    consumed : callable
        Passes ``(generation, n_bytes)`` on to the pump; called on the sound's own thread.
    volume : float
        0 to 1, in even steps to the ear.
    is_muted : bool

    Attributes
    ----------
    device_words : str
        The device's name, or a sentence why there is none; empty before it was looked for.
    tracks : tuple of SoundTrack
        Those where the last start began; `track_words` names them.
    why_silent : str
        Why nothing is heard whatever the volume is; empty where sound comes, or may come.
    words_changed, tracks_changed : Signal
    said_once : Signal
        A sentence for the user, once until a device is found again.
    volume_chosen : Signal
        Volume and whether muted, to be kept, some moments after the last change.
    """

    words_changed = Signal()
    tracks_changed = Signal()
    said_once = Signal(str)
    volume_chosen = Signal(float, bool)

    def __init__(
        self,
        ask: Callable[[tuple[int, int, float, int] | None], None],
        consumed: Callable[[int, int], None],
        volume: float = 0.8,
        is_muted: bool = False,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        load_multimedia()
        self._ask = ask
        self._queue = SoundQueue(consumed, LATENCY_S)
        self._device: SoundDevice | None = None
        self._generation = 0
        self._is_running = False
        self._said: set[str] = set()
        self._keeping = QTimer(self)
        self._keeping.setSingleShot(True)
        self._keeping.setInterval(_KEEP_MS)
        self._keeping.timeout.connect(self._keep)
        self.volume = min(max(volume, 0.0), 1.0)
        self.is_muted = is_muted
        self.track = 0
        self.tracks: tuple[SoundTrack, ...] = ()
        self.device_words = ""
        self._device_trouble = ""
        self._is_told_of_tracks = False
        self.report = ""

    # Running

    def start(self, case_us: int, speed: float, due_s: float | None = None) -> None:
        """Play from a case time on, which is due at a moment of `time.perf_counter`, or at once.

        At speeds below 0.5 and above 2 there is silence.
        """
        if not has_sound_at(speed):
            self.stop()
            return
        self._generation += 1
        self._queue.begin(self._generation, case_us, speed, due_s)
        self._is_running = True
        self._ask((self._generation, case_us, speed, self.track))
        self._running_device().play()

    def stop(self) -> None:
        """Be silent at once."""
        if not self._is_running:
            return
        self._is_running = False
        self._queue.end()
        self._ask(None)
        if self._device is not None:
            self._device.rest()

    def clock(self) -> tuple[float, float] | None:
        """A moment of `time.perf_counter` and the case time heard at it, microseconds.

        None while nothing is heard, or while that is not known for sure.
        """
        now_s = time.perf_counter()
        heard_us = self._queue.heard_us(now_s) if self._is_running else None
        return None if heard_us is None else (now_s, heard_us)

    def take_in(self, message: FromPump) -> None:
        """Take what the pump sends; any thread may call it."""
        match message:
            case SoundChunk():
                self._queue.put(message)
            case SoundTracks(generation, tracks):
                is_news = tracks != self.tracks or not self._is_told_of_tracks
                if generation == self._generation and is_news:
                    self.tracks, self._is_told_of_tracks = tracks, True
                    self.tracks_changed.emit()
            case SoundEnded(_, report):
                self.report = report or self.report

    def close(self) -> None:
        """Stop, and let go of the device."""
        self.stop()
        if self._device is not None:
            self._device.close()
            self._device = None
        if self._keeping.isActive():
            self._keeping.stop()
            self._keep()

    # What the user chooses

    def set_volume(self, volume: float) -> None:
        """Choose the volume, 0 to 1, in even steps to the ear; kept for the next time."""
        self.volume = min(max(volume, 0.0), 1.0)
        self._tell_volume()
        self._keeping.start()

    def set_muted(self, is_muted: bool) -> None:
        """Be silent, or no longer; kept for the next time."""
        self.is_muted = is_muted
        self._tell_volume()
        self._keeping.start()

    def choose_track(self, track: int) -> None:
        """Choose a sound track for the starts that follow."""
        self.track = track

    @property
    def track_words(self) -> tuple[str, ...]:
        """What the tracks are called, in order."""
        return tuple(words_of(track) for track in self.tracks)

    @property
    def why_silent(self) -> str:
        """Why nothing is heard whatever the volume is."""
        if self._is_told_of_tracks and not self.tracks:
            return NO_SOUND
        return self._device_trouble

    # The device

    def _running_device(self) -> SoundDevice:
        if self._device is None:
            self._device = SoundDevice(self._queue, self)
            self._device.opened.connect(self._device_opened, Qt.ConnectionType.QueuedConnection)
            self._device.silenced.connect(self._device_lost, Qt.ConnectionType.QueuedConnection)
            self._tell_volume()
        return self._device

    def _device_opened(self, words: str) -> None:
        self.device_words, self._device_trouble = words, ""
        self._said.clear()
        self.words_changed.emit()

    def _device_lost(self, sentence: str) -> None:
        if sentence == self.device_words:
            return
        self.device_words = self._device_trouble = sentence
        self.words_changed.emit()
        if sentence not in self._said:
            self._said.add(sentence)
            self.said_once.emit(sentence)

    def _tell_volume(self) -> None:
        if self._device is not None:
            self._device.set_volume(0.0 if self.is_muted else self.volume)

    def _keep(self) -> None:
        self.volume_chosen.emit(self.volume, self.is_muted)


def words_of(track: SoundTrack) -> str:
    """Name a sound track for a menu."""
    language = QLocale.codeToLanguage(track.language) if track.language else QLocale.Language.C
    known = language not in (QLocale.Language.C, QLocale.Language.AnyLanguage)
    channels = {1: "one channel", 2: "stereo"}.get(track.n_channels, f"{track.n_channels} channels")
    parts = [track.title, QLocale.languageToString(language) if known else "", channels]
    return f"Sound {track.number + 1}: {', '.join(part for part in parts if part)}"
