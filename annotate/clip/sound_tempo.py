"""Sound slower and faster with its pitch kept, and blocks that know their time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

import av
import numpy as np
from av.filter import Graph

from annotate.clip.sound_reading import Piece, Samples
from annotate.clip.sound_times import RATE_HZ, to_us

SLOWEST, FASTEST = 0.5, 2.0
"""Speeds at which there is sound; outside, it would be noise."""

BLOCK_SAMPLES = RATE_HZ // 25
_TAIL_SAMPLES = RATE_HZ // 6
"""Silence that pushes the last windows of sound out of atempo, whole: four of them."""

BYTES_PER_SAMPLE = 4


@dataclass(frozen=True, eq=False)
class SoundBlock:
    """Some sound as it is to be played, interleaved stereo at 48 kHz.

    Attributes
    ----------
    start_us : int
        Time of its first sample on the clip's or the case's clock, microseconds.
    speed : float
        Time that passes on that clock while one second is played.
    samples : ndarray of int16, shape (n, 2)
    """

    start_us: int
    speed: float
    samples: Samples

    @property
    def end_us(self) -> int:
        """Time at which it ends, microseconds."""
        return self.start_us + to_us(len(self.samples) * self.speed)


def has_sound_at(speed: float) -> bool:
    """Whether sound is played at a speed."""
    return SLOWEST <= speed <= FASTEST


def blocks_at(stream: Iterator[Piece], start: int, speed: float) -> Iterator[SoundBlock]:
    """Cut an unbroken stream of sound into blocks, at a speed; they end where it ends.

    Parameters
    ----------
    stream : iterator of Piece
        Unbroken from sample `start` on.
    start : int
    speed : float
        0.5 to 2.

    Raises
    ------
    ValueError
        If there is no sound at that speed.
    """
    if not has_sound_at(speed):
        raise ValueError(f"no sound at {speed} times")
    pieces = (samples for _, samples in stream)
    played = pieces if speed == 1 else _stretched(pieces, speed)
    done, held = 0, np.zeros((0, 2), np.int16)
    for samples in played:
        held = np.concatenate([held, samples])
        while len(held) >= BLOCK_SAMPLES:
            yield SoundBlock(to_us(start + done * speed), speed, held[:BLOCK_SAMPLES])
            held, done = held[BLOCK_SAMPLES:], done + BLOCK_SAMPLES
    if len(held):
        yield SoundBlock(to_us(start + done * speed), speed, held)


def _stretched(pieces: Iterator[Samples], speed: float) -> Iterator[Samples]:
    """Send samples through atempo; sample n that comes out is sample n * speed that went in.

    Left to itself, atempo ends up to 29 ms early or late. Here the last sample that comes out is
    the last one that went in, to the nearest: silence makes up what is lacking, and what strayed
    beyond the end is left out.
    """
    rate_hz = _rate_for_window_hz(speed)
    graph = Graph()
    source = graph.add_abuffer(
        sample_rate=rate_hz,
        format="s16",
        layout="stereo",
        time_base=Fraction(1, rate_hz),
    )
    tempo = graph.add("atempo", f"{speed:.6f}")
    sink = graph.add("abuffersink")
    source.link_to(tempo)
    tempo.link_to(sink)
    graph.configure()
    given = taken = 0
    for samples in pieces:
        if not len(samples):
            continue
        source.push(_frame(samples, rate_hz, given))
        given += len(samples)
        for out in _ready(sink):
            taken += len(out)
            yield out
    source.push(_frame(np.zeros((_TAIL_SAMPLES, 2), np.int16), rate_hz, given))
    source.push(None)
    room = max(0, round(given / speed) - taken)
    for out in _ready(sink):
        yield out[:room]
        room -= min(room, len(out))
    yield np.zeros((room, 2), np.int16)


def _frame(samples: Samples, rate_hz: int, at: int) -> av.AudioFrame:
    frame = av.AudioFrame.from_ndarray(
        np.ascontiguousarray(samples).reshape(1, -1), format="s16", layout="stereo"
    )
    frame.sample_rate, frame.pts = rate_hz, at
    frame.time_base = Fraction(1, rate_hz)
    return frame


def _rate_for_window_hz(speed: float) -> int:
    """Rate that atempo is told, for it makes its window from it.

    The window is a 24th of a second, rounded up to a power of two samples: 43 ms. Sound strays by
    up to half of it. Slowed down, that is heard for longer: clicks in silence came 45 ms early at
    half speed; told half the rate, 27. Speeded up, they came 17 ms early with the whole window,
    and the half one costs low voices more than 1 % of their pitch.
    """
    return RATE_HZ // 2 if speed < 1 else RATE_HZ


def _ready(sink: av.filter.context.FilterContext) -> Iterator[Samples]:
    while True:
        try:
            frame = sink.pull()
        except (av.BlockingIOError, av.EOFError):
            return
        if isinstance(frame, av.AudioFrame):
            yield frame.to_ndarray().reshape(-1, 2).astype(np.int16, copy=False)
