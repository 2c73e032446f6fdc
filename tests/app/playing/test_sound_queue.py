"""Sound joins the beat of the pictures, whatever the device does; time here is a number."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.playing.heard_clock import HeardClock
from app.playing.sound_messages import SoundChunk
from app.playing.sound_queue import SoundQueue

LATENCY_S = 0.01
RATE_HZ = 48_000


class SlowDevice:
    """A device with a buffer, which begins some time after it is asked to and may stand still.

    Each sample's number, counted from 1 in case time, is its value on the left and the right: what
    was heard when can be read off.
    """

    def __init__(self, speed: float, begins_s: float, buffer_s: float = 0.1) -> None:
        self.returned: dict[int, int] = {}
        self.queue = SoundQueue(self._consumed, LATENCY_S)
        self.speed, self.begins_s, self.buffer_s = speed, begins_s, buffer_s
        self.taken = 0
        self.now_s = 100.0
        self.start_s = self.now_s
        self.stalls: list[tuple[float, float]] = []
        self.heard: list[tuple[float, float]] = []
        self._buffer = np.zeros((0, 2), np.int16)
        self._next_us = 0.0
        self._generation = 0

    def start(self, case_us: int, due_s: float | None) -> None:
        self._generation += 1
        self._next_us = float(case_us)
        self.queue.begin(self._generation, case_us, self.speed, due_s)

    def run(self, seconds: float) -> None:
        """Let time pass in steps of 5 ms; chunks come as there is room for them."""
        until_s = self.now_s + seconds
        while self.now_s < until_s:
            self.now_s += 0.005
            self._send_chunks()
            runs = self.now_s - self.start_s >= self.begins_s and not any(
                a <= self.now_s - self.start_s < b for a, b in self.stalls
            )
            room = round(self.buffer_s * RATE_HZ) - len(self._buffer)
            if room >= 480:
                given = self.queue.take(room * 4, self.now_s)
                assert len(given) == room * 4
                fresh = np.frombuffer(given, np.int16).reshape(-1, 2)
                self._buffer = np.concatenate([self._buffer, fresh])
            if runs:
                out, self._buffer = self._buffer[:240], self._buffer[240:]
                first = int(out[0, 0]) | int(out[0, 1]) << 15
                if first:
                    self.heard.append((self.now_s + LATENCY_S, first - 1))
                self.taken += len(out)
            self.queue.note_taken(self.now_s, self.taken / RATE_HZ)

    def _consumed(self, generation: int, n_bytes: int) -> None:
        self.returned[generation] = self.returned.get(generation, 0) + n_bytes

    _sent = 0

    def _send_chunks(self) -> None:
        while self._sent - self.returned.get(self._generation, 0) < 144_000:
            ms = np.arange(1920) / 48 * self.speed + self._next_us / 1000
            number = np.round(ms).astype(np.int64) + 1  # whole milliseconds of the case
            pcm = np.stack([number & 0x7FFF, number >> 15], 1).astype(np.int16)
            self.queue.put(
                SoundChunk(self._generation, round(self._next_us), self.speed, pcm.tobytes())
            )
            self._sent += 7680
            self._next_us += 40_000 * self.speed


@settings(max_examples=40)
@given(
    speed=st.sampled_from([0.5, 1.0, 1.7, 2.0]),
    begins_s=st.floats(0, 1.5),
    due_in_s=st.floats(-0.4, 0.4),
    buffer_s=st.sampled_from([0.02, 0.1, 0.25]),
)
def test_sound_is_heard_with_its_picture(
    speed: float, begins_s: float, due_in_s: float, buffer_s: float
) -> None:
    device = SlowDevice(speed, begins_s, buffer_s)
    due_s = device.now_s + due_in_s
    device.start(5_000_000, due_s)
    device.run(begins_s + 1.5)
    settled = len(device.heard)
    device.run(2.0)
    assert len(device.heard) - settled > 380
    for at_s, ms in device.heard[settled:]:
        assert (ms - 5000) / 1000 == pytest.approx((at_s - due_s) * speed, abs=0.012 * speed)
    told = device.queue.heard_us(device.now_s)
    assert told is not None
    assert (told / 1e6 - 5) == pytest.approx((device.now_s - due_s) * speed, abs=0.012 * speed)


def test_a_device_that_stands_still_is_caught_up_with() -> None:
    device = SlowDevice(1.0, 0.0)
    device.stalls = [(2.0, 3.0)]
    due_s = device.now_s
    device.start(0, due_s)
    device.run(2.5)
    assert device.queue.heard_us(device.now_s) is None  # pictures go on by their own beat
    device.run(2.0)
    settled = len(device.heard)
    device.run(1.0)
    for at_s, ms in device.heard[settled:]:
        assert ms / 1000 == pytest.approx(at_s - due_s, abs=0.012)


def test_without_a_beat_nothing_is_left_out() -> None:
    device = SlowDevice(1.0, 0.7)
    device.start(0, None)
    device.run(3.0)
    assert [ms for _, ms in device.heard][:3] == [0, 5, 10]
    assert np.diff([ms for _, ms in device.heard]).max() <= 6


def test_chunks_of_an_earlier_start_are_refused_and_all_is_given_back() -> None:
    device = SlowDevice(1.0, 0.0)
    device.start(0, None)
    queue = device.queue
    assert not queue.put(SoundChunk(0, 0, 1.0, bytes(400)))
    assert queue.put(SoundChunk(1, 0, 1.0, bytes(400)))
    assert queue.take(1003, 1.0) == bytes(1000)  # whole samples only; silence after the chunk
    assert device.returned == {1: 400}
    queue.end()
    assert not queue.put(SoundChunk(1, 0, 1.0, bytes(400)))
    assert queue.take(80, 1.0) == bytes(80)


def test_a_clock_that_leaps_is_smoothed() -> None:
    clock = HeardClock(0.01)
    for n in range(100):
        now_s = n * 0.015
        clock.note(now_s, (now_s // 0.02) * 0.02)
    heard_s = clock.heard_s(100 * 0.015)
    assert heard_s == pytest.approx(1.5 - 0.01 - 0.01, abs=0.005)
    assert clock.heard_s(2.5) is None
