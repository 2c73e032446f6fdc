"""Sound is read ahead as far as there is room, and an earlier start never speaks again."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from sounding_clips import click_times, make_sounding_clip

from annotate.clip import build_index
from annotate.clip.case_sound import CaseSound
from app.playing.sound_messages import FromPump, SoundChunk, SoundEnded, SoundTracks
from app.playing.sound_pump import AHEAD_BYTES, SoundPump


class Desk:
    """Takes in what a pump sends."""

    def __init__(self) -> None:
        self.messages: list[FromPump] = []
        self._came = threading.Condition()

    def take_in(self, message: FromPump) -> None:
        with self._came:
            self.messages.append(message)
            self._came.notify_all()

    def wait(self, until: Callable[[], bool]) -> None:
        with self._came:
            assert self._came.wait_for(until, 20)

    def chunks(self, generation: int) -> list[SoundChunk]:
        return [
            m for m in self.messages if isinstance(m, SoundChunk) and m.generation == generation
        ]

    def n_bytes(self, generation: int) -> int:
        return sum(len(chunk.pcm) for chunk in self.chunks(generation))

    def has_ended(self, generation: int) -> bool:
        return any(isinstance(m, SoundEnded) and m.generation == generation for m in self.messages)


@pytest.fixture(scope="module")
def clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("pumped") / "clip.mp4"
    make_sounding_clip(path, seconds=6)
    return path


@pytest.fixture
def desk() -> Desk:
    return Desk()


@pytest.fixture
def pump(clip: Path, desk: Desk) -> Iterator[SoundPump]:
    made = SoundPump(lambda: CaseSound([(clip, build_index(clip))]), desk.take_in)
    yield made
    made.close()


def test_it_keeps_ahead_and_no_further(pump: SoundPump, desk: Desk) -> None:
    pump.start(1, 0, 1.0)
    nearly = AHEAD_BYTES - 2 * 7680
    desk.wait(lambda: desk.n_bytes(1) > nearly)
    assert 0.5 * 192_000 <= desk.n_bytes(1) <= AHEAD_BYTES
    assert isinstance(desk.messages[0], SoundTracks)
    consumed = 0
    while not desk.has_ended(1):
        there = desk.n_bytes(1)
        assert there - consumed <= AHEAD_BYTES
        pump.consumed(1, there - consumed)
        consumed = there
        desk.wait(lambda: desk.has_ended(1) or desk.n_bytes(1) > consumed)  # noqa: B023
    samples = np.frombuffer(b"".join(c.pcm for c in desk.chunks(1)), np.int16).reshape(-1, 2)
    assert len(samples) == 6 * 48_000
    assert click_times(samples) == pytest.approx(np.arange(0.5, 6, 0.5), abs=0.001)
    assert [c.case_us for c in desk.chunks(1)][:3] == [0, 40_000, 80_000]


def test_the_newest_start_wins(pump: SoundPump, desk: Desk) -> None:
    for generation in range(1, 9):
        pump.start(generation, generation * 500_000, 0.5)
    desk.wait(lambda: desk.n_bytes(8) > AHEAD_BYTES // 2)
    pump.consumed(3, 10**9)  # of an earlier start: means nothing
    assert desk.chunks(8)[0].case_us == 4_000_000
    after = [m.generation for m in desk.messages[desk.messages.index(desk.chunks(8)[0]) :]]
    assert set(after) == {8}
    assert desk.n_bytes(8) <= AHEAD_BYTES


def test_speeds_without_sound_and_stop_send_nothing(pump: SoundPump, desk: Desk) -> None:
    pump.start(1, 0, 4.0)
    pump.start(2, 0, 1.0)
    desk.wait(lambda: desk.n_bytes(2) > 0)
    assert not desk.chunks(1)
    pump.stop()
    pump.start(3, 5_900_000, 1.0)
    desk.wait(lambda: desk.has_ended(3))
    assert desk.n_bytes(3) == 4800 * 4


def test_a_fault_is_told_and_the_next_start_is_served(clip: Path, desk: Desk) -> None:
    calls: list[int] = []

    def opening() -> CaseSound:
        calls.append(1)
        if len(calls) == 1:
            raise RuntimeError("a fault of ours")
        return CaseSound([(clip, build_index(clip))])

    pump = SoundPump(opening, desk.take_in)
    pump.start(1, 0, 1.0)
    desk.wait(lambda: desk.has_ended(1))
    assert "a fault of ours" in next(m.report for m in desk.messages if isinstance(m, SoundEnded))
    pump.start(2, 0, 1.0)
    desk.wait(lambda: desk.n_bytes(2) > 0)
    pump.close()
