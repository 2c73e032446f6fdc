"""How clip reading compares with FFmpeg's own decoding and with OpenCV, in one run on one machine.

Run by `pytest -m bench`; prints tables. Ratios are what counts: absolute times belong to the
machine, and on one that has other work to do only processor times are steady. The bounds asserted
are loose for that reason; the figures printed are not.
"""

from __future__ import annotations

import random
import resource
import shutil
import statistics
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple

import av
import cv2
import numpy as np
import pytest
from numbered_clips import make_clip, read_number

from annotate.clip import REVIEW_CACHE_BYTES, ClipIndex, ClipReader, Framing, build_index
from annotate.clip.decoding import PictureDecoder
from annotate.clip.showing import NEUTRAL

pytestmark = pytest.mark.bench
ROUNDS, SEEKS, N_FRAMES = 5, 24, 300
SCREEN = Framing(1280, 720)
WITH_B = {"x264-params": "b-adapt=0:bframes=3:scenecut=0"}
KINDS: dict[str, dict[str, Any]] = {
    "h264_groups_of_60.mp4": {"gop": 60},
    "h264_groups_of_250_b.mp4": {"gop": 250, "options": WITH_B},
    "mpeg2_groups_of_15.ts": {"codec": "mpeg2video", "gop": 15, "b_frames": 2,
                              "time_base": Fraction(1, 30), "options": {"b": "15000000"}},
    "hevc_groups_of_60.mp4": {"codec": "libx265", "gop": 60},
}  # fmt: skip


@pytest.fixture(autouse=True)
def one_thread_for_pictures() -> Iterator[None]:
    """As in the player's process: beside a decoder's threads, more cost more than they bring."""
    before = cv2.getNumThreads()
    cv2.setNumThreads(1)
    yield
    cv2.setNumThreads(before)


@pytest.fixture(scope="module", params=sorted(KINDS))
def clip(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Ten seconds of 1920x1080."""
    path = tmp_path_factory.mktemp("bench") / request.param
    make_clip(path, n_frames=N_FRAMES, width=1920, height=1080, grain=5, **KINDS[request.param])
    return path


class Cost(NamedTuple):
    """Wall and processor time, seconds."""

    wall: float
    cpu: float


def cost(deed: Callable[[], object]) -> Cost:
    """What a call costs, other programs that it starts included."""
    cpu, start = _cpu_s(), time.perf_counter()
    deed()
    return Cost(time.perf_counter() - start, _cpu_s() - cpu)


def _cpu_s() -> float:
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in used)


def median(costs: list[Cost]) -> Cost:
    return Cost(*(statistics.median(column) for column in zip(*costs, strict=True)))


def by_program(path: Path, *most: str) -> Cost:
    """FFmpeg's own program decodes and discards."""
    command = ["ffmpeg", "-v", "error", "-threads", "2", "-i", str(path), *most, "-f", "null", "-"]
    return cost(lambda: subprocess.run(command, check=True, capture_output=True))


def by_bare_loop(path: Path, thread_type: str) -> Cost:
    """The same libraries as ours, keeping nothing."""
    with av.open(str(path)) as container:
        context = container.streams.video[0].codec_context
        context.thread_type, context.thread_count = thread_type, 2

        def decode() -> None:
            for packet in container.demux(video=0):
                context.decode(packet)

        return cost(decode)


def through(path: Path, index: ClipIndex, cache_bytes: int = 96 << 20) -> Cost:
    with ClipReader(path, index, cache_bytes) as reader:
        return cost(lambda: [None for _ in reader.frames()])


def to_screen(path: Path, index: ClipIndex) -> Cost:
    into = np.empty((720, 1280, 4), dtype=np.uint8)

    def show() -> None:
        for frame in reader.frames(ahead=4):
            frame.framed(SCREEN, NEUTRAL, into)

    with ClipReader(path, index) as reader:
        return cost(show)


def converting(path: Path, index: ClipIndex) -> Cost:
    """Conversion alone, a frame."""
    into = np.empty((720, 1280, 4), dtype=np.uint8)
    with ClipReader(path, index) as reader:
        frames = [reader.frame(n) for n in range(8)]
        took = cost(lambda: [f.framed(SCREEN, NEUTRAL, into) for f in frames * 8])
    return Cost(took.wall / 64, took.cpu / 64)


def test_reading_through_costs_little_more_than_decoding(clip: Path) -> None:
    index = build_index(clip)
    thread_type = "SLICE" if index.codec == "mpeg2video" else "FRAME"
    ways: dict[str, Callable[[], Cost]] = {
        "bare loop": lambda: by_bare_loop(clip, thread_type),
        "frames": lambda: through(clip, index),
        "to the screen": lambda: to_screen(clip, index),
    }
    if shutil.which("ffmpeg"):
        ways["program"] = lambda: by_program(clip)
        ways["its start"] = lambda: by_program(clip, "-frames:v", "1")
    took: dict[str, list[Cost]] = {name: [] for name in ways}
    for _ in range(ROUNDS):
        for name, way in ways.items():
            took[name].append(way())
    middle = {name: median(costs) for name, costs in took.items()}
    base, convert = middle["bare loop"], converting(clip, index)
    print(f"\n{clip.name}; base: PyAV's bare loop, 2 threads; ms a frame")
    if "program" in middle:
        start = middle.pop("its start")
        whole = middle["program"]
        middle["program"] = Cost(whole.wall - start.wall, whole.cpu - start.cpu)
    for name, one in middle.items():
        wall, cpu = (1000 * t / N_FRAMES for t in one)
        print(
            f"  {name:14} wall {wall:6.2f} ({base.wall / one.wall:.2f} of base's speed)"
            f"  cpu {cpu:6.2f} ({base.cpu / one.cpu:.2f})"
        )
    ms = 1000 * base.cpu / N_FRAMES
    print(
        f"  converting     wall {1000 * convert.wall:6.2f}  cpu {1000 * convert.cpu:6.2f}; with "
        f"all cores at work the screen can get {ms / (ms + 1000 * convert.cpu):.2f} at most"
    )
    assert base.cpu / middle["frames"].cpu > 0.75
    assert base.cpu / middle["to the screen"].cpu > 0.4


def floor_of_a_seek(decoder: PictureDecoder, index: ClipIndex, number: int) -> float:
    """Decode from the preceding key packet to the frame, leaving nothing out."""
    keys = [int(k) for k in index.key_ordinals if k <= index.ordinals[number]]
    served = [k for k in keys if index.number_of_packet[k] <= number]

    def decode() -> None:
        decoder.restart(served[-1])
        while decoder.last_number < number and not decoder.is_drained:
            decoder.advance()

    return cost(decode).wall


def test_a_random_seek_against_the_floor_and_opencv(clip: Path) -> None:
    index, chance = build_index(clip), random.Random(5)
    numbers = [chance.randrange(N_FRAMES) for _ in range(SEEKS)]
    capture = cv2.VideoCapture(str(clip))
    took: dict[str, list[float]] = {"ours": [], "floor": [], "cv2": []}
    right = cv_right = 0
    floor_decoder = PictureDecoder(clip, index)
    floor_decoder.advance()
    with ClipReader(clip, index, cache_bytes=0) as reader:
        for number in numbers:
            reader.frame((number + N_FRAMES // 2) % N_FRAMES)
            took["ours"].append(cost(lambda number=number: reader.frame(number)).wall)
            right += read_number(reader.frame(number).rgb()) == number
            took["floor"].append(floor_of_a_seek(floor_decoder, index, number))
            found: list[Any] = []

            def seek(number: int = number, found: list[Any] = found) -> None:
                capture.set(cv2.CAP_PROP_POS_FRAMES, number)
                found.append(capture.read()[1])

            took["cv2"].append(cost(seek).wall)
            cv_right += found[0] is not None and read_number(found[0]) == number
    floor_decoder.close()
    capture.release()
    cuts = {name: np.percentile(times, [50, 95]) * 1000 for name, times in took.items()}
    ratio = cuts["ours"] / cuts["floor"]
    print(f"\n{clip.name}: seeks; exact: ours {right}/{SEEKS}, OpenCV {cv_right}/{SEEKS}")
    for name, (middle, most) in cuts.items():
        print(f"  {name:6} median {middle:6.0f} ms  p95 {most:6.0f} ms")
    print(f"  ours against the floor: median {ratio[0]:.2f}, p95 {ratio[1]:.2f}")
    assert right == SEEKS
    assert ratio[0] < 1.6


def test_a_step_back_and_playing_backward(clip: Path) -> None:
    index, into = build_index(clip), np.empty((720, 1280, 4), dtype=np.uint8)
    with ClipReader(clip, index, REVIEW_CACHE_BYTES) as reader:
        reader.fill(60, 120)
        steps = [
            cost(lambda n=n: reader.frame(n).framed(SCREEN, NEUTRAL, into)).wall
            for n in range(120, 60, -1)
        ]
        shown = 0

        def backward() -> None:
            nonlocal shown
            window = reader.window_before(N_FRAMES)
            reader.fill(window.start, window.stop - 1)
            while window:
                ahead = reader.window_before(window.start) if window.start else range(0)
                filling = threading.Thread(target=reader.fill, args=(ahead.start, ahead.stop - 1))
                filling.start()
                for number in reversed(window):
                    reader.focus(number, -1)
                    reader.frame(number).framed(SCREEN, NEUTRAL, into)
                    shown += 1
                filling.join()
                window = ahead

        took = cost(backward)
        most = reader._cache.n_bytes
    middle, most_step = np.percentile(steps, [50, 95]) * 1000
    cpu_ms = 1000 * took.cpu / shown
    print(
        f"\n{clip.name}: a step back at hand {middle:.1f} ms, p95 {most_step:.1f} ms (16 is one "
        f"picture of the screen); backward {shown / took.wall:.0f} frames/s, {cpu_ms:.1f} ms "
        f"of processor each, {most >> 20} MiB kept"
    )
    assert shown == N_FRAMES
    assert middle < 16
    assert most <= REVIEW_CACHE_BYTES


def test_key_pictures_and_rough_steps(clip: Path) -> None:
    index, chance = build_index(clip), random.Random(2)
    with ClipReader(clip, index, 0) as reader:
        reader.key_frame(0)
        keys = [cost(lambda: reader.key_frame(chance.randrange(N_FRAMES))).wall for _ in range(12)]
        every = cost(lambda: [reader.frame(n) for n in range(N_FRAMES)])
        reached: list[int] = []

        def rough() -> None:
            number = 0
            while number < N_FRAMES:
                reached.append(reader.referenced(number).number)
                number = reached[-1] + 1

        referenced = cost(rough)
    print(
        f"\n{clip.name}: a key picture {1000 * statistics.median(keys):.0f} ms; of the clip's "
        f"length a second {N_FRAMES / every.wall:.0f} frames with all, "
        f"{N_FRAMES / referenced.wall:.0f} with the {len(reached)} referenced ones"
    )
    assert referenced.cpu < 1.3 * every.cpu
