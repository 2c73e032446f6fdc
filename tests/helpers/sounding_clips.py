"""Clips that flash and click at the same times, so that sound and picture can be compared."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

FPS = 30
CLICK_S = 0.004
Wave = Callable[[NDArray[np.float64]], NDArray[np.float64]]
"""Loudness, -1 to 1, at times in seconds from the first frame of the clip."""


def clicks(period_s: float = 0.5) -> Wave:
    """A click at every multiple of the period but 0."""

    def wave(t_s: NDArray[np.float64]) -> NDArray[np.float64]:
        beat = np.floor(t_s / period_s + 1e-9)
        since = t_s - beat * period_s
        return np.where((beat > 0) & (since < CLICK_S), 0.8 * np.cos(2 * np.pi * 2000 * since), 0.0)

    return wave


def tone(hz: float, loudness: float = 0.4) -> Wave:
    return lambda t_s: loudness * np.sin(2 * np.pi * hz * t_s)


@dataclass(frozen=True)
class Sound:
    """One sound track.

    Attributes
    ----------
    start_s, end_s : float
        From when to when there is sound, on the clip's clock; the end is the clip's if left out.
    """

    wave: Wave = field(default_factory=clicks)
    codec: str = "aac"
    rate: int = 48_000
    layout: str = "stereo"
    start_s: float = 0.0
    end_s: float | None = None
    language: str = ""
    title: str = ""


def make_sounding_clip(
    path: Path,
    sounds: Sequence[Sound] = (Sound(),),
    seconds: float = 4.0,
    start_s: float = 0.0,
    video: str = "mpeg4",
    gop: int = 12,
    container: str | None = None,
) -> None:
    """Write a small clip, dark but for one white frame at each multiple of half a second.

    `start_s` is added to every time in the file.
    """
    # Sound that begins before the picture has the picture begin later in the file: in whole frames.
    lead_s = np.ceil(max([0.0, *(-sound.start_s for sound in sounds)]) * FPS) / FPS
    with av.open(str(path), "w", format=container) as out:
        picture = out.add_stream(video, rate=FPS)
        picture.width, picture.height, picture.pix_fmt = 96, 64, "yuv420p"
        picture.codec_context.gop_size = gop
        tracks = [_track(out, sound) for sound in sounds]
        written = [0] * len(sounds)
        for n in range(round(seconds * FPS)):
            frame = av.VideoFrame.from_ndarray(
                np.full((64, 96, 3), 235 if n and n * 2 % FPS == 0 else 16, np.uint8), "rgb24"
            ).reformat(format="yuv420p")
            frame.pts = n + round((start_s + lead_s) * FPS)
            frame.time_base = Fraction(1, FPS)
            out.mux(picture.encode(frame))
            until_s = (n + 1) / FPS if n + 1 < seconds * FPS else seconds
            for i, sound in enumerate(sounds):
                written[i] = _write(out, tracks[i], sound, written[i], until_s, start_s + lead_s)
        out.mux(picture.encode(None))
        for track in tracks:
            out.mux(track.encode(None))


def click_times(samples: NDArray[np.int16], rate: int = 48_000, least: int = 6000) -> list[float]:
    """When clicks begin, seconds from the first sample."""
    loud = np.flatnonzero(np.abs(samples.astype(np.int32)).reshape(len(samples), -1).max(1) > least)
    if not len(loud):
        return []
    begins = loud[np.concatenate([[True], np.diff(loud) > rate // 10])]
    return [int(n) / rate for n in begins]


def _track(out: av.container.OutputContainer, sound: Sound) -> av.audio.stream.AudioStream:
    track = out.add_stream(sound.codec, rate=sound.rate, layout=sound.layout)
    if sound.codec in {"aac", "ac3", "mp2", "libmp3lame", "wmav2"}:
        track.bit_rate = 192_000
    if sound.language:
        track.metadata["language"] = sound.language
    if sound.title:
        track.metadata["title"] = sound.title
    return track


def _write(
    out: av.container.OutputContainer, track: av.audio.stream.AudioStream, sound: Sound,
    done: int, until_s: float, shift_s: float,
) -> int:  # fmt: skip
    """Encode a track as far as a clip time; returns how many samples there are now."""
    until_s = min(until_s, sound.end_s) if sound.end_s is not None else until_s
    n = round((until_s - sound.start_s) * sound.rate) - done
    if n <= 0:
        return done
    t_s = sound.start_s + np.arange(done, done + n) / sound.rate
    loudness = np.clip(sound.wave(t_s), -1, 1)
    frame = av.AudioFrame.from_ndarray(
        np.repeat(np.round(loudness * 32000).astype(np.int16)[:, None], _channels(sound), 1)
        .reshape(1, -1), "s16", sound.layout,
    )  # fmt: skip
    frame.sample_rate, frame.time_base = sound.rate, Fraction(1, sound.rate)
    frame.pts = done + round((sound.start_s + shift_s) * sound.rate)
    out.mux(track.encode(frame))
    return done + n


def _channels(sound: Sound) -> int:
    return len(av.AudioLayout(sound.layout).channels)
