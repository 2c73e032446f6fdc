"""What an index costs, a minute of 1080p clip, beside a bare demuxing loop in the same run.

Long clips are made cheaply: ten seconds are encoded once, and their packets written again and again
with later times. Run by `pytest -m bench`; prints a table.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import av
import pytest
from numbered_clips import make_clip

from annotate.clip import ClipIndex, build_index

pytestmark = pytest.mark.bench
ROUNDS = 5
HOUR_ROUNDS = 2
MINUTES = 20
PIECE_S, TICKS_PER_S = 10, 30_000
GOAL_MS_A_MINUTE = 75
GOAL_USABLE_S = 1.0


@pytest.fixture(scope="module")
def piece(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Ten seconds of 1920x1080 at 30 a second, in groups of 60."""
    path = tmp_path_factory.mktemp("piece") / "piece.mp4"
    make_clip(path, n_frames=30 * PIECE_S, width=1920, height=1080, grain=5, gop=60)
    return path


def repeated(piece: Path, target: Path, minutes: int) -> Path:
    """Write the piece again and again, each time ten seconds later."""
    with av.open(str(piece)) as clip, av.open(str(target), "w") as out:
        origin = clip.streams.video[0]
        stream = out.add_stream_from_template(origin)
        packets = [packet for packet in clip.demux(origin) if packet.size]
        for turn in range(minutes * 60 // PIECE_S):
            for packet in packets:
                again = av.Packet(bytes(packet))
                again.time_base, again.stream = origin.time_base, stream
                again.pts = packet.pts + turn * PIECE_S * TICKS_PER_S
                again.dts = packet.dts + turn * PIECE_S * TICKS_PER_S
                again.duration, again.is_keyframe = packet.duration, packet.is_keyframe
                out.mux(again)
    return target


@dataclass(frozen=True)
class Cost:
    """Medians over the rounds, milliseconds: on the clock, and of the processor's time."""

    wall: float
    cpu: float


def costs(*deeds: Callable[[], object]) -> list[Cost]:
    """What each deed takes, in turn in each round, so that all meet the same machine."""
    wall: list[list[float]] = [[] for _ in deeds]
    cpu: list[list[float]] = [[] for _ in deeds]
    for _ in range(ROUNDS):
        for at, deed in enumerate(deeds):
            start, start_cpu = time.perf_counter(), time.process_time()
            deed()
            wall[at].append(1000 * (time.perf_counter() - start))
            cpu[at].append(1000 * (time.process_time() - start_cpu))
    medians = [(statistics.median(a), statistics.median(b)) for a, b in zip(wall, cpu, strict=True)]
    return [Cost(*both) for both in medians]


def bare_demuxing(path: Path) -> None:
    with av.open(str(path)) as container:
        for _ in container.demux(container.streams.video[0]):
            pass


@pytest.mark.parametrize("ending", ["mp4", "mkv", "ts"])
def test_the_index_of_a_long_clip(ending: str, piece: Path, tmp_path: Path) -> None:
    path = repeated(piece, tmp_path / f"long.{ending}", MINUTES)
    bare_demuxing(path)  # the first reading warms the system's cache
    bare, ours = costs(lambda: bare_demuxing(path), lambda: build_index(path))
    index = build_index(path)
    print(
        f"\n{MINUTES} min of 1080p30 {ending}, {path.stat().st_size / 1e9:.1f} GB: index "
        f"{ours.wall / MINUTES:.1f} ms a minute with opening ({ours.cpu / MINUTES:.1f} CPU), bare "
        f"demuxing {bare.wall / MINUTES:.1f} ({bare.cpu / MINUTES:.1f} CPU), "
        f"{bare.cpu / ours.cpu:.2f} of its speed; {1000 * ours.cpu / len(index.packets):.1f} us of "
        f"CPU a packet (goal {GOAL_MS_A_MINUTE} ms a minute)"
    )
    assert index.n_frames == MINUTES * 60 * 30
    assert ours.cpu < 2 * bare.cpu
    if ending == "mp4":
        assert ours.cpu < bare.cpu / 2  # the header is read, not the packets


@pytest.mark.parametrize("ending", ["mp4", "mkv", "ts"])
def test_the_index_of_one_minute(ending: str, piece: Path, tmp_path: Path) -> None:
    path = repeated(piece, tmp_path / f"short.{ending}", 1)
    bare_demuxing(path)
    bare, ours = costs(lambda: bare_demuxing(path), lambda: build_index(path))
    print(
        f"\none minute of 1080p30 {ending}: index {ours.wall:.0f} ms ({ours.cpu:.0f} CPU) with "
        f"opening and one picture decoded, bare demuxing with opening {bare.wall:.0f} "
        f"({bare.cpu:.0f} CPU); goal {GOAL_MS_A_MINUTE} ms"
    )
    assert ours.cpu < 4 * bare.cpu


def test_an_hour_long_stream_is_usable_at_once(piece: Path, tmp_path: Path) -> None:
    path = repeated(piece, tmp_path / "hour.ts", 60)
    firsts, n_first = [], 0
    for _ in range(HOUR_ROUNDS):
        given: list[tuple[float, ClipIndex]] = []
        start = time.perf_counter()

        def take(part: ClipIndex, start: float = start, given: list = given) -> None:
            given.append((time.perf_counter() - start, part))

        whole = build_index(path, partly=take)
        took = time.perf_counter() - start
        firsts.append(given[0][0])
        n_first = given[0][1].n_frames
        assert all(whole.continues(part) for _, part in given)
    print(
        f"\n60 min of 1080p30 ts, {path.stat().st_size / 1e9:.1f} GB: first {n_first} frames after "
        f"{statistics.median(firsts):.2f} s (goal {GOAL_USABLE_S} s), {len(given)} partial "
        f"indexes, the whole after {took:.1f} s"
    )
    assert statistics.median(firsts) < took / 4 or took < GOAL_USABLE_S
