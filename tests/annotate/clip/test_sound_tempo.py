"""Slower and faster with the pitch kept, and every block at its time."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from sounding_clips import click_times, clicks, tone

from annotate.clip.sound_reading import Piece
from annotate.clip.sound_tempo import SoundBlock, blocks_at

RATE_HZ = 48_000
LAST_SAMPLE_US = 25
"""Half a sample at double speed, and times to the microsecond."""


def sound(wave_of: object, seconds: float) -> NDArray[np.int16]:
    t_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return np.repeat(np.round(wave_of(t_s) * 30_000).astype(np.int16)[:, None], 2, 1)  # type: ignore[operator]


def pieces(samples: NDArray[np.int16], start: int = 0) -> Iterator[Piece]:
    for at in range(start, len(samples), 1024):
        yield at, samples[at : at + 1024]


def together(blocks: list[SoundBlock]) -> NDArray[np.int16]:
    return np.concatenate([block.samples for block in blocks])


def in_theatre(t_s: NDArray[np.float64]) -> NDArray[np.float64]:
    """Clicks over a hum and a hiss."""
    hiss = np.random.default_rng(0).standard_normal(len(t_s))
    return clicks()(t_s) + 0.1 * np.sin(2 * np.pi * 220 * t_s) + 0.02 * hiss


@pytest.mark.parametrize(("speed", "start"), [(0.5, 0), (0.75, 59_259), (1.0, 9), (2.0, 59_259)])
@pytest.mark.parametrize("wave", [clicks(), in_theatre], ids=["in silence", "in theatre"])
def test_clicks_keep_their_time_over_minutes(wave: object, speed: float, start: int) -> None:
    blocks = list(blocks_at(pieces(sound(wave, 120), start), start, speed))
    begin_s = blocks[0].start_us / 1e6
    times_s = [begin_s + t_s * speed for t_s in click_times(together(blocks), least=9000)]
    amiss_ms = np.array([(t - round(t * 2) / 2) * 1000 for t in times_s])
    # At double speed half of what was recorded is left out, and some clicks with it.
    assert len(amiss_ms) >= (230 if speed < 1.5 else 120)
    to_the_ear_ms = np.abs(amiss_ms / speed)
    print(f"{speed}: {amiss_ms.mean():.1f} ms of the clip, at most {to_the_ear_ms.max():.1f} heard")
    assert to_the_ear_ms.max() <= (1.5 if speed == 1 else 28)
    first, last = amiss_ms[:20].mean(), amiss_ms[-20:].mean()
    assert abs(last - first) < 6  # it strays, and never runs away
    assert blocks[-1].end_us == pytest.approx(120e6, abs=LAST_SAMPLE_US)


@given(
    n=st.integers(1, 12_000), speed=st.floats(0.5, 2.0), start=st.integers(0, 1_000_000)
)  # fmt: skip
def test_it_ends_where_the_sound_ends_however_long_it_is(n: int, speed: float, start: int) -> None:
    given = np.full((n, 2), 9000, np.int16)
    blocks = list(blocks_at(iter([(start, given)]), start, speed))
    end_us = blocks[-1].end_us if blocks else start * 1e6 / RATE_HZ
    assert end_us == pytest.approx((start + n) * 1e6 / RATE_HZ, abs=LAST_SAMPLE_US)
    for before, after in pairwise(blocks):
        assert abs(before.end_us - after.start_us) <= 1


@pytest.mark.parametrize("speed", [0.5, 0.8, 1.0, 1.2, 1.7, 2.0])
def test_the_last_of_the_sound_is_heard(speed: float) -> None:
    """A tone that lasts to the end does so at every speed: no window of it is lost."""
    for n in range(96_000, 102_000, 611):
        wave = sound(tone(440), 3)[:n]
        out = together(list(blocks_at(pieces(wave), 0, speed)))
        end = out[-RATE_HZ // 50 :, 0].astype(float)  # the last 20 ms
        assert np.abs(end).max() > 0.8 * np.abs(wave.astype(float)).max()


@pytest.mark.parametrize("speed", [0.5, 0.75, 1.5, 2.0])
@pytest.mark.parametrize("hz", [110, 440, 3000])
def test_the_pitch_is_kept(hz: int, speed: float) -> None:
    out = together(list(blocks_at(pieces(sound(tone(hz), 6)), 0, speed)))
    assert len(out) == pytest.approx(6 / speed * RATE_HZ, abs=RATE_HZ // 25)
    part = out[4800:-4800, 0] * np.hanning(len(out) - 9600)
    loudest = np.argmax(np.abs(np.fft.rfft(part))) * RATE_HZ / len(part)
    assert loudest == pytest.approx(hz, rel=0.01)


@pytest.mark.skipif(shutil.which("ffmpeg") is None, reason="needs FFmpeg's own program")
@pytest.mark.parametrize("speed", [0.5, 0.8, 1.6, 2.0])
def test_it_is_what_ffmpegs_own_program_makes(speed: float) -> None:
    given = sound(in_theatre, 20)
    rate_hz = 24_000 if speed < 1 else 48_000  # as we tell it, which makes its window
    theirs = np.frombuffer(
        subprocess.run(
            ["ffmpeg", "-v", "error", "-f", "s16le", "-ar", str(rate_hz), "-ac", "2", "-i", "-",
             "-af", f"atempo={speed}", "-f", "s16le", "-"],
            input=given.tobytes(), capture_output=True, check=True,
        ).stdout,
        np.int16,
    ).reshape(-1, 2)  # fmt: skip
    ours = together(list(blocks_at(pieces(given), 0, speed)))
    assert abs(len(ours) - len(theirs)) <= 1024
    n = min(len(ours), len(theirs))
    # Another release of FFmpeg may round otherwise, and overlap some windows elsewhere.
    assert np.corrcoef(ours[:n, 0], theirs[:n, 0])[0, 1] > 0.9


@pytest.mark.parametrize("speed", [0.0, 0.49, 2.01, -1.0, float("nan")])
def test_other_speeds_have_no_sound(speed: float) -> None:
    with pytest.raises(ValueError, match="no sound"):
        next(blocks_at(pieces(sound(tone(440), 1)), 0, speed))
