"""How clip reading compares with a bare decoding loop and with OpenCV, in one run on one machine.

Run by `pytest -m bench`; prints a table. Ratios only: absolute times belong to the machine.
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import av
import cv2
import pytest
from numbered_clips import make_clip, read_number

from annotate.clip import ClipIndex, ClipReader, build_index
from annotate.clip.decoding import PictureDecoder

pytestmark = pytest.mark.bench
ROUNDS, SEEKS = 3, 16
KINDS = {
    "h264_groups_of_60.mp4": {"gop": 60},
    "h264_groups_of_180.mp4": {"gop": 180},
    "mpeg2_groups_of_15.ts": {"codec": "mpeg2video", "gop": 15, "b_frames": 2,
                              "time_base": Fraction(1, 30), "options": {"b": "15000000"}},
}  # fmt: skip
N_FRAMES = 180


@pytest.fixture(scope="module", params=sorted(KINDS))
def clip(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Six seconds of 1920x1080."""
    path = tmp_path_factory.mktemp("bench") / request.param
    make_clip(path, n_frames=N_FRAMES, width=1920, height=1080, grain=5, **KINDS[request.param])
    return path


def seconds(deed: Callable[[], object]) -> float:
    """Wall time of a call."""
    start = time.perf_counter()
    deed()
    return time.perf_counter() - start


def bare_decoding(path: Path, thread_type: str) -> None:
    with av.open(str(path)) as container:
        container.streams.video[0].thread_type = thread_type
        container.streams.video[0].thread_count = 2
        for _ in container.decode(video=0):
            pass


def reading_through(path: Path, index: ClipIndex, size: tuple[int, int] | None = None) -> None:
    with ClipReader(path, index) as reader:
        for frame in reader.frames():
            if size is not None:
                frame.fitted(*size)


def floor_of_a_seek(path: Path, index: ClipIndex, number: int) -> float:
    """Decode from the preceding key packet to the frame, leaving nothing out."""
    decoder = PictureDecoder(path, index)
    keys = [int(k) for k in index.key_ordinals if k <= index.ordinals[number]]
    served = [k for k in keys if index.number_of_packet[k] <= number]

    def decode() -> None:
        decoder.restart(served[-1])
        while decoder.last_number < number and not decoder.is_drained:
            decoder.advance()

    decoder.advance()
    took = seconds(decode)
    decoder.close()
    return took


def test_reading_through_costs_little_more_than_decoding(clip: Path) -> None:
    index = build_index(clip)
    thread_type = "SLICE" if index.codec == "mpeg2video" else "FRAME"
    bare, ours, fitted = [], [], []
    for _ in range(ROUNDS):
        bare.append(seconds(lambda: bare_decoding(clip, thread_type)))
        ours.append(seconds(lambda: reading_through(clip, index)))
        fitted.append(seconds(lambda: reading_through(clip, index, (1280, 720))))
    base = statistics.median(bare)
    planes, screen = base / statistics.median(ours), base / statistics.median(fitted)
    print(
        f"\n{clip.name}: bare {N_FRAMES / base:.0f} frames/s; planes {planes:.2f} of it; "
        f"fitted to 1280x720 in the same thread {screen:.2f}; "
        f"index {1000 * seconds(lambda: build_index(clip)):.0f} ms"
    )
    assert planes > 0.5
    assert screen > 0.25


def test_a_random_seek_against_the_floor_and_opencv(clip: Path) -> None:
    index, chance = build_index(clip), random.Random(5)
    numbers = [chance.randrange(N_FRAMES) for _ in range(SEEKS)]
    capture = cv2.VideoCapture(str(clip))
    there, ours, floor, right, cv_right = [], [], [], 0, 0
    with ClipReader(clip, index, cache_bytes=0) as reader:
        for number in numbers:
            ours.append(seconds(lambda number=number: reader.frame(number)))
            right += read_number(reader.frame(number).rgb()) == number
            floor.append(floor_of_a_seek(clip, index, number))

            def seek(number: int = number) -> object:
                capture.set(cv2.CAP_PROP_POS_FRAMES, number)
                return capture.read()[1]

            there.append(seconds(seek))
            picture = seek()
            cv_right += picture is not None and read_number(picture) == number
    capture.release()
    ms = {name: 1000 * statistics.median(v) for name, v in
          {"ours": ours, "floor": floor, "cv2": there}.items()}  # fmt: skip
    print(
        f"\n{clip.name}: seek median {ms['ours']:.0f} ms ({right}/{SEEKS} exact), "
        f"floor {ms['floor']:.0f} ms, OpenCV {ms['cv2']:.0f} ms ({cv_right}/{SEEKS} exact)"
    )
    assert right == SEEKS
    assert ms["ours"] < 2 * ms["floor"]
