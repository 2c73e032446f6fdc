"""Decoded sound of one track, each piece at its place on the clip's clock."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
from av.audio.stream import AudioStream
from numpy.typing import NDArray

from annotate.clip.index import ClipIndex
from annotate.clip.opening import OpenedClip, open_clip
from annotate.clip.sound_times import RATE_HZ, ClipTimes, to_position
from annotate.clip.stopping import Cancel, stop_if

Samples = NDArray[np.int16]
"""Shape (n, 2): left and right, 48 kHz."""

Piece = tuple[int, Samples]
"""Sample of the clip at which it begins, and the samples; none of them say: silence up to here."""

NOTHING: Samples = np.zeros((0, 2), np.int16)

_WARM_UP_S = Fraction(3, 10)
"""Codecs overlap neighbouring packets: the first ones after a seek are decoded and dropped."""

_BACK_S = (Fraction(1, 2), Fraction(2), Fraction(6))
"""How far before the wanted time a seek aims, one after the other until it lands early enough."""

_SLACK_S = 5
"""Sound lies at most this far from its picture in a file; beyond, there is none."""

_NEAR = RATE_HZ * 15 // 1000
"""Time stamps are rounded, to a millisecond in some files: within 15 ms sound runs on unbroken."""

_EXACT, _FRAMES_OFF = RATE_HZ * 3 // 1000, 16
"""But where as many frames in a row are more than 3 ms off, what they say is meant."""

_OUTSIDE_S = 2


class SoundReading:
    """Reads one sound track from any time on. Lives in one thread.

    Parameters
    ----------
    path : Path
    index : ClipIndex
    track : int
        Which of the file's sound tracks, from 0.
    clip : OpenedClip, optional
        The file, where it is open at its beginning already; it is this reading's own from now on.

    Raises
    ------
    UserFacingError
        If the clip cannot be opened.
    IndexError
        If it has no such track.
    """

    def __init__(
        self, path: Path, index: ClipIndex, track: int, clip: OpenedClip | None = None
    ) -> None:
        self._path, self._track = path, track
        self._times = ClipTimes(index)
        self._end = to_position(Fraction(index.duration_us, 1_000_000))
        self._held: deque[Any] = deque()
        self._clip = clip or open_clip(path)
        try:
            self._begin()
        except BaseException:
            self.close()
            raise

    def close(self) -> None:
        """Let go of the file."""
        self._clip.close()

    def pieces(self, start: int, cancel: Cancel = None) -> Iterator[Piece]:
        """Decode from sample `start` of the clip on, or from a little before it.

        Raises
        ------
        ReadingStopped
            If `cancel` asks for it; checked at each packet.
        """
        self._go_to(start, cancel)
        run = _Run()
        for packet in self._packets():
            stop_if(cancel)
            if packet.stream.index != self._stream.index:
                yield self._time_of(packet) - _SLACK_S * RATE_HZ, NOTHING
                continue
            yield from run.add(self._frames(packet))
        yield from run.add(self._frames(None))
        yield from run.end()

    # Getting there

    def _begin(self) -> None:
        self._stream: AudioStream = sound_streams(self._clip)[self._track]
        self._demuxed = self._clip.container.demux(self._stream, self._clip.stream)
        self._held.clear()
        self._last_end: int | None = None

    def _go_to(self, start: int, cancel: Cancel) -> None:
        """Make the next packets lie before a sample, with a margin; verified by their times."""
        wanted = start - to_position(_WARM_UP_S)
        for back_s in _BACK_S:
            aim_s = Fraction(start, RATE_HZ) - back_s
            if aim_s <= 0:
                break
            if self._seek(aim_s) and self._lies_before(wanted, back_s, cancel):
                return
        self._clip.close()
        self._clip = open_clip(self._path)
        self._begin()

    def _seek(self, aim_s: Fraction) -> bool:
        container = self._clip.container
        by_place = self._times.seeks_by_place
        is_mp4 = "mp4" in container.format.name
        stream: Any = self._stream if is_mp4 else self._clip.stream
        try:
            if by_place:
                offset = self._times.place_before(aim_s)
            else:
                offset = int(self._times.to_file(aim_s) / (stream.time_base or Fraction(1)))
            container.seek(offset, stream=stream, unsupported_byte_offset=by_place)
            if self._stream.codec_context.is_open:
                self._stream.codec_context.flush_buffers()
        except (av.FFmpegError, OverflowError):
            return False
        self._demuxed = container.demux(self._stream, self._clip.stream)
        self._held.clear()
        self._last_end = None
        return True

    def _lies_before(self, wanted: int, back_s: Fraction, cancel: Cancel) -> bool:
        """Whether the sound at a sample is still to come; the packets looked at are kept."""
        looked: list[Any] = []
        is_early = False
        for packet in self._packets():
            stop_if(cancel)
            looked.append(packet)
            at = self._time_of(packet)
            if packet.stream.index == self._stream.index:
                is_early = is_early or at <= wanted
                break
            # No sound here, but the picture says where we are.
            is_early = is_early or (back_s == _BACK_S[-1] and at <= wanted - 3 * RATE_HZ)
            if at > wanted + _SLACK_S * RATE_HZ:
                break
        self._held.extend(looked)
        return is_early

    # Packets and frames

    def _packets(self) -> Iterator[Any]:
        while self._held:
            yield self._held.popleft()
        while True:
            try:
                packet = next(self._demuxed, None)
            except (av.FFmpegError, IndexError):
                return  # the file breaks off, or a stream began in mid-file, which PyAV trips over
            if packet is None:
                return
            if packet.size:
                yield packet

    def _time_of(self, packet: Any) -> int:
        stamp = packet.dts if packet.dts is not None else packet.pts
        if stamp is None:
            return -self._end - RATE_HZ * _SLACK_S
        return self._position(stamp * packet.time_base, packet.pos)

    def _position(self, file_s: Fraction, byte: int | None) -> int:
        return to_position(self._times.to_clip(file_s, byte))

    def _frames(self, packet: Any) -> Iterator[tuple[int, av.AudioFrame]]:
        """Decode a packet: frames, each with its sample of the clip. A damaged one gives none."""
        byte = packet.pos if packet is not None else None
        try:
            frames = self._stream.codec_context.decode(packet)
        except (av.FFmpegError, ValueError):
            return
        for frame in frames:
            if frame.samples <= 0 or not 0 < frame.sample_rate <= 1_000_000:
                continue
            base = frame.time_base or self._stream.time_base
            if frame.pts is not None and base is not None:
                at = self._position(frame.pts * base, byte)
            elif self._last_end is not None:
                at = self._last_end
            else:
                continue
            self._last_end = at + frame.samples * RATE_HZ // frame.sample_rate
            if -_OUTSIDE_S * RATE_HZ <= at <= self._end + _OUTSIDE_S * RATE_HZ:
                yield at, frame


class _Run:
    """Sound that runs on unbroken goes through one resampler; a true jump begins another."""

    def __init__(self) -> None:
        self._resampler: av.AudioResampler | None = None
        self._next = Fraction(0)
        self._out = 0
        self._form: tuple[object, ...] = ()
        self._strayed: tuple[int, av.AudioFrame] | None = None
        self._n_off = 0

    def add(self, frames: Iterator[tuple[int, av.AudioFrame]]) -> Iterator[Piece]:
        for at, frame in frames:
            if self._resampler is None or abs(at - self._next) <= _NEAR:
                self._strayed = None
                self._n_off = self._n_off + 1 if abs(at - self._next) > _EXACT else 0
                if self._n_off >= _FRAMES_OFF:
                    yield from self.end()
                yield from self._take(at, frame)
                continue
            # One packet with a damaged time stamp is left out; two that agree are a jump.
            strayed, self._strayed = self._strayed, (at, frame)
            if strayed is not None and abs(at - _end_of(*strayed)) <= _NEAR:
                yield from self.end()
                self._strayed = None
                yield from self._take(*strayed)
                yield from self._take(at, frame)

    def end(self) -> Iterator[Piece]:
        """Give out what the resampler still holds."""
        if self._resampler is not None:
            yield from self._resampled(None)
        self._resampler = None

    def _take(self, at: int, frame: av.AudioFrame) -> Iterator[Piece]:
        form = (frame.format.name, frame.layout.name, frame.sample_rate)
        if self._resampler is not None and form != self._form:
            yield from self.end()
        if self._resampler is None:
            self._resampler = av.AudioResampler(format="s16", layout="stereo", rate=RATE_HZ)
            self._form, self._next, self._out = form, Fraction(at), at
            self._n_off = 0
        self._next += Fraction(frame.samples * RATE_HZ, frame.sample_rate)
        yield from self._resampled(frame)

    def _resampled(self, frame: av.AudioFrame | None) -> Iterator[Piece]:
        if self._resampler is None:
            return
        if frame is not None:
            frame.pts = None  # the place is counted in samples from here on
        try:
            given = self._resampler.resample(frame)
        except (av.FFmpegError, ValueError):
            self._resampler = None  # a layout that cannot be mixed down: silence
            return
        for out in given:
            samples: Samples = out.to_ndarray().reshape(-1, 2).astype(np.int16, copy=False)
            yield self._out, samples
            self._out += len(samples)


def sound_streams(clip: OpenedClip) -> list[AudioStream]:
    """The streams of a file that hold sound which can be decoded."""
    return [s for s in clip.container.streams.audio if s.codec_context is not None]


def _end_of(at: int, frame: av.AudioFrame) -> Fraction:
    return at + Fraction(frame.samples * RATE_HZ, frame.sample_rate)
