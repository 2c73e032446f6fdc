"""The sound of a clip, on the clip's own clock."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

from annotate.clip.index import ClipIndex
from annotate.clip.opening import OpenedClip, open_clip
from annotate.clip.sound_reading import Piece, SoundReading, sound_streams
from annotate.clip.sound_tempo import SoundBlock, blocks_at
from annotate.clip.sound_times import RATE_HZ, to_position
from annotate.clip.stopping import Cancel, stop_if
from annotate.clock import US_PER_S, shown
from annotate.closing import Closing
from annotate.errors import UserFacingError

_SILENCE_SAMPLES = RATE_HZ // 10
_TROUBLE = (UserFacingError, av.FFmpegError, OSError, ValueError, IndexError, MemoryError)
"""What a damaged or vanished file may raise: the picture plays on without its sound."""


@dataclass(frozen=True, slots=True)
class SoundTrack:
    """What a file says of one of its sound tracks.

    Attributes
    ----------
    number : int
        Counted from 0 among the file's sound tracks.
    language : str
        Code of the language as the file gives it (ISO 639-2), or empty.
    title : str
        As the file gives it, fit to be shown; or empty.
    n_channels, rate_hz : int
    codec : str
    """

    number: int
    language: str
    title: str
    n_channels: int
    rate_hz: int
    codec: str


class ClipSound(Closing):
    """Sound of one clip from any time on, 48 kHz stereo. Lives in one thread.

    Damaged sound is silence: nothing here stops a picture.

    Parameters
    ----------
    path : Path or str
    index : ClipIndex
        Its clock is the sound's: time 0 is the first shown frame.
    """

    def __init__(self, path: Path | str, index: ClipIndex) -> None:
        self._path, self._index = Path(path), index
        self._readings: dict[int, SoundReading | None] = {}
        self._opened: OpenedClip | None = None
        self.tracks: tuple[SoundTrack, ...] = ()
        self.n_samples = max(1, to_position(Fraction(index.duration_us, US_PER_S)))
        with suppress(*_TROUBLE):
            self._opened = open_clip(self._path)
            self.tracks = _tracks_of(self._opened)

    def close(self) -> None:
        """Let go of the file."""
        if self._opened is not None:
            self._opened.close()
            self._opened = None
        while self._readings:
            reading = self._readings.popitem()[1]
            if reading is not None:
                reading.close()

    def blocks(
        self, start_us: int, speed: float = 1.0, track: int = 0, cancel: Cancel = None
    ) -> Iterator[SoundBlock]:
        """Give the sound from a clip time to the clip's end, unbroken.

        Parameters
        ----------
        start_us : int
            Microseconds on the clip's clock.
        speed : float
            0.5 to 2; the pitch is kept.
        track : int
            Which of `tracks`; one that is not there is silent.
        cancel
            Checked at each packet.

        Raises
        ------
        ValueError
            If there is no sound at that speed.
        ReadingStopped
            If `cancel` asks for it.
        """
        start = max(0, to_position(Fraction(start_us, US_PER_S)))
        return blocks_at(self.stream(start, track, cancel), start, speed)

    def stream(self, start: int, track: int = 0, cancel: Cancel = None) -> Iterator[Piece]:
        """Give the samples of the clip from `start` to the end, unbroken, as they were recorded."""
        return unbroken(self._pieces(start, track, cancel), start, self.n_samples, cancel)

    def _pieces(self, start: int, track: int, cancel: Cancel) -> Iterator[Piece]:
        try:
            reading = self._reading(track)
            if reading is not None:
                yield from reading.pieces(start, cancel)
        except _TROUBLE:
            self._lose(track)  # this far and no further: silence

    def _reading(self, track: int) -> SoundReading | None:
        if not 0 <= track < len(self.tracks):
            return None
        if track not in self._readings:
            self._readings[track] = None
            opened, self._opened = self._opened, None
            self._readings[track] = SoundReading(self._path, self._index, track, opened)
        return self._readings[track]

    def _lose(self, track: int) -> None:
        reading = self._readings.get(track)
        self._readings[track] = None
        if reading is not None:
            reading.close()


def _tracks_of(clip: OpenedClip) -> tuple[SoundTrack, ...]:
    return tuple(
        SoundTrack(
            number, stream.language or "", shown(stream.metadata.get("title", ""), 60),
            stream.codec_context.channels, stream.codec_context.sample_rate or 0,
            stream.codec_context.name,
        )
        for number, stream in enumerate(sound_streams(clip))
    )  # fmt: skip


def unbroken(pieces: Iterator[Piece], start: int, end: int, cancel: Cancel) -> Iterator[Piece]:
    """Lay pieces end to end from `start` to `end`: gaps are silent, overlaps are left out."""
    at = start
    for begin, samples in pieces:
        yield from silence(at, min(begin, end), cancel)
        at = max(at, min(begin, end))
        fresh = samples[at - begin : end - begin] if begin <= at else samples[:0]
        if len(fresh):
            yield at, fresh
            at += len(fresh)
        if at >= end:
            return
    yield from silence(at, end, cancel)


def silence(start: int, end: int, cancel: Cancel = None) -> Iterator[Piece]:
    """Give silent pieces from one sample to another."""
    while start < end:
        stop_if(cancel)
        n = min(_SILENCE_SAMPLES, end - start)
        yield start, np.zeros((n, 2), np.int16)
        start += n
