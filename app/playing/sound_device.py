"""The sound device, on a thread of its own: a busy screen never makes sound stutter."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QIODevice, QObject, QThread, QTimer, Signal

from annotate.clip.sound_tempo import BYTES_PER_SAMPLE
from annotate.clip.sound_times import RATE_HZ
from app.playing.multimedia import load_multimedia, need_multimedia, quiet_search
from app.playing.sound_queue import SoundQueue

if TYPE_CHECKING:
    from PySide6.QtMultimedia import QAudioSink, QMediaDevices

_BUFFER_BYTES = RATE_HZ * BYTES_PER_SAMPLE // 5
_LOOK_MS = 15
_AGAIN_MS = 3000
_SETTLE_MS = 300
_GONE_S = 4.0
_GRACE_MS = 5000

NO_DEVICE = "No sound device was found: the recording plays without sound."
NO_SYSTEM = "Sound cannot be played here, for a part of the system is missing: {}"
LOST = "The sound device went away: the recording plays on without sound."
REFUSED = "The sound device {} takes no stereo sound at 48 kHz: the recording plays without sound."


class SoundDevice(QObject):
    """Runs the system's chosen sound device and looks for another when it goes away.

    Made on the main thread, where it loads Qt's multimedia.
    """

    opened = Signal(str)
    silenced = Signal(str)

    _play_asked = Signal()
    _rest_asked = Signal()
    _volume_asked = Signal(float)
    _close_asked = Signal()

    def __init__(self, queue: SoundQueue, parent: QObject | None = None) -> None:
        super().__init__(parent)
        load_multimedia()
        self._thread = QThread(self)
        self._thread.setObjectName("sound")
        self._desk = _DeviceDesk(queue, self.opened.emit, self.silenced.emit)
        self._desk.moveToThread(self._thread)
        self._play_asked.connect(self._desk.play)
        self._rest_asked.connect(self._desk.rest)
        self._volume_asked.connect(self._desk.set_volume)
        self._close_asked.connect(self._desk.close)
        self._thread.start(QThread.Priority.TimeCriticalPriority)

    def play(self) -> None:
        """Take sound from the queue from now on."""
        self._play_asked.emit()

    def rest(self) -> None:
        """Be silent at once; what the device still holds is dropped."""
        self._rest_asked.emit()

    def set_volume(self, volume: float) -> None:
        """Set the volume, 0 to 1, in even steps to the ear."""
        self._volume_asked.emit(volume)

    def close(self) -> bool:
        """Let go of the device and end the thread; False if it does not end in time."""
        self._close_asked.emit()
        return self._thread.wait(_GRACE_MS)


class _Source(QIODevice):
    """What the device reads from: never at its end, for a device that starves is closed."""

    def __init__(self, queue: SoundQueue, parent: QObject) -> None:
        super().__init__(parent)
        self._queue = queue
        self.open(QIODevice.OpenModeFlag.ReadOnly | QIODevice.OpenModeFlag.Unbuffered)

    def readData(self, most_bytes: int) -> bytes:  # noqa: N802
        return self._queue.take(most_bytes, time.perf_counter())

    def writeData(self, _data: Any, _n_bytes: int = 0) -> int:  # noqa: N802
        return -1

    def bytesAvailable(self) -> int:  # noqa: N802
        return _BUFFER_BYTES * 4

    def isSequential(self) -> bool:  # noqa: N802
        return True


class _DeviceDesk(QObject):
    """Lives on the device's thread."""

    def __init__(
        self, queue: SoundQueue, opened: Callable[[str], None], silenced: Callable[[str], None]
    ) -> None:
        super().__init__()
        self._queue, self._opened, self._silenced = queue, opened, silenced
        self._devices: QMediaDevices | None = None
        self._sink: QAudioSink | None = None
        self._is_wanted = False
        self._is_broken = False
        self._volume = 1.0
        self._words = ""
        self._taken_us = 0
        self._moved_s = 0.0
        self._look = self._timer(_LOOK_MS, self._note_taken)
        self._again = self._timer(_AGAIN_MS, self._try)
        self._settle = self._timer(_SETTLE_MS, self._follow_system, is_once=True)

    def _timer(self, after_ms: int, call: Callable[[], None], is_once: bool = False) -> QTimer:
        timer = QTimer(self)
        timer.setInterval(after_ms)
        timer.setSingleShot(is_once)
        timer.timeout.connect(call)
        return timer

    def play(self) -> None:
        self._is_wanted = True
        self._try()

    def rest(self) -> None:
        self._is_wanted = False
        self._again.stop()
        self._settle.stop()
        self._drop_sink()

    def set_volume(self, volume: float) -> None:
        self._volume = volume
        if self._sink is not None:
            self._sink.setVolume(_as_counted(volume))

    def close(self) -> None:
        self.rest()
        if self._devices is not None:
            self._devices.audioOutputsChanged.disconnect(self._settle.start)
            self._devices = None
        QThread.currentThread().quit()

    def _try(self) -> None:
        """Open the system's chosen device, if there is one."""
        if self._is_broken or not self._is_wanted or self._sink is not None:
            return
        try:
            words = self._open()
        except ImportError as missing:
            self._is_broken = True
            words = NO_SYSTEM.format(missing)
        if words:
            self._silenced(words)
        if words and not self._is_broken:
            self._again.start()
        else:
            self._again.stop()

    def _open(self) -> str:
        """Open it; the sentence that says why not, or nothing."""
        need_multimedia()
        with quiet_search():
            from PySide6.QtMultimedia import QAudioFormat, QAudioSink, QMediaDevices

            if self._devices is None:
                self._devices = QMediaDevices()
                self._devices.audioOutputsChanged.connect(self._settle.start)
            device = QMediaDevices.defaultAudioOutput()
        if device.isNull():
            return NO_DEVICE
        form = QAudioFormat()
        form.setSampleRate(RATE_HZ)
        form.setChannelCount(2)
        form.setSampleFormat(QAudioFormat.SampleFormat.Int16)
        if not device.isFormatSupported(form):
            return REFUSED.format(device.description())
        sink = QAudioSink(device, form, self)
        sink.setBufferSize(_BUFFER_BYTES)
        sink.setVolume(_as_counted(self._volume))
        self._queue.restart_device()
        source = _Source(self._queue, sink)
        sink.start(source)
        if sink.error() != sink.error().NoError:
            source.setParent(None)
            sink.deleteLater()
            return LOST
        sink.stateChanged.connect(self._state_changed)
        self._sink, self._words = sink, device.description()
        self._taken_us, self._moved_s = 0, time.perf_counter()
        self._look.start()
        return ""

    def _drop_sink(self) -> None:
        self._look.stop()
        sink, self._sink = self._sink, None
        if sink is not None:
            sink.stateChanged.disconnect(self._state_changed)
            sink.reset()
            sink.deleteLater()
        self._queue.restart_device()

    def _note_taken(self) -> None:
        """Tell the queue how far the device is; one that stands still for long is gone."""
        if self._sink is None:
            return
        now_s, taken_us = time.perf_counter(), self._sink.processedUSecs()
        self._queue.note_taken(now_s, taken_us / 1_000_000)
        if taken_us > self._taken_us:
            if not self._taken_us:
                self._opened(self._words)
            self._taken_us, self._moved_s = taken_us, now_s
        elif now_s - self._moved_s > _GONE_S:
            self._lose()

    def _state_changed(self) -> None:
        if self._sink is not None and self._sink.state() == self._sink.state().StoppedState:
            self._lose()

    def _lose(self) -> None:
        self._drop_sink()
        self._silenced(LOST)
        self._again.start()

    def _follow_system(self) -> None:
        """Change to another device with the system, as when headphones are put in."""
        if self._is_wanted:
            self._drop_sink()
            self._try()


def _as_counted(volume: float) -> float:
    """Volume as a device counts it, from even steps to the ear."""
    from PySide6.QtMultimedia import QAudio

    scales = QAudio.VolumeScale
    return QAudio.convertVolume(volume, scales.LogarithmicVolumeScale, scales.LinearVolumeScale)
