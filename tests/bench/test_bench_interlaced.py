"""What making interlaced pictures whole costs beside decoding, and reading out of a DICOM file.

Run by `pytest -m bench`; prints tables. Ratios of processor time in one run, and real time as what
has to be reached: 25 pictures, or 50 fields, a second.
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from dicom_clips import wrap
from interlaced_clips import make_interlaced
from numbered_clips import make_clip, paint
from numpy.typing import NDArray
from pydicom.uid import MPEG2MPHLF

from annotate.clip import ClipReader, build_index

pytestmark = pytest.mark.bench
ROUNDS, N_FRAMES, PICTURES_A_SECOND = 5, 75, 25
SIZES = [(720, 576, 2), (1920, 1080, 5)]


def painter(width: int, height: int, grain: int) -> Callable[[int], NDArray[np.uint8]]:
    def at(moment: int) -> NDArray[np.uint8]:
        small = paint(moment, width // grain, height // grain)
        return small.repeat(grain, axis=0).repeat(grain, axis=1)

    return at


def ms_a_frame(deed: Callable[[], object], n_frames: int) -> float:
    """Processor time of a call, all threads together, milliseconds a frame."""
    start = time.process_time()
    deed()
    return (time.process_time() - start) / n_frames * 1e3


@pytest.mark.parametrize(("width", "height", "grain"), SIZES)
def test_interlaced_play_is_far_quicker_than_real_time(
    width: int, height: int, grain: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "clip.mpg"
    make_interlaced(path, painter(width, height, grain), N_FRAMES, container="vob")
    index = build_index(path)

    def reading(wanted: str) -> None:
        with ClipReader(path, index) as reader:
            for number in range(N_FRAMES):
                if wanted == "coded":
                    reader.frame(number)
                elif wanted == "shown":
                    reader.shown(number)
                else:
                    reader.shown(number, field=0)
                    reader.shown(number, field=1)

    ways = ("coded", "shown", "both fields")
    took = {way: [ms_a_frame(lambda way=way: reading(way), N_FRAMES) for _ in range(ROUNDS)]
            for way in ways}  # fmt: skip
    median = {way: statistics.median(times) for way, times in took.items()}
    with capsys.disabled():
        print(f"\n{width}x{height} interlaced, ms a frame and share of real time")
        for way in ways:
            share = median[way] * PICTURES_A_SECOND / 1e3
            ratio = median[way] / median["coded"]
            print(f"  {way:12} {median[way]:6.2f} ms  {share:5.1%}  {ratio:4.2f} of decoding")
    assert median["shown"] * PICTURES_A_SECOND < 500
    assert median["shown"] - median["coded"] < 10


def reading_costs(path: Path) -> dict[str, float]:
    """Processor time of indexing, of playing through and of 40 seeks, milliseconds."""
    index = build_index(path)

    def play() -> None:
        with ClipReader(path, index) as reader:
            for _ in reader.frames():
                pass

    def seek() -> None:
        chance = random.Random(1)
        with ClipReader(path, index, cache_bytes=1) as reader:
            for _ in range(40):
                reader.frame(chance.randrange(index.n_frames))

    deeds = {"index": lambda: build_index(path), "play": play, "seek": seek}
    return {
        what: statistics.median(ms_a_frame(deed, 1) for _ in range(ROUNDS))
        for what, deed in deeds.items()
    }


def test_a_stream_in_a_dicom_file_reads_as_quickly_as_by_itself(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    make_clip(tmp_path / "clip.ts", n_frames=120, width=1920, height=1080, grain=5,
              codec="mpeg2video", gop=15, b_frames=2, options={"b": "20000000"})  # fmt: skip
    wrap(tmp_path / "clip.ts", tmp_path / "clip.dcm", 300, MPEG2MPHLF)
    median = {name: reading_costs(tmp_path / name) for name in ("clip.ts", "clip.dcm")}
    with capsys.disabled():
        print("\nMPEG-2 1080p in 300 fragments, against the same stream by itself")
        for what, plain in median["clip.ts"].items():
            print(f"  {what:6} {median['clip.dcm'][what] / plain:5.2f} times")
    assert median["clip.dcm"]["play"] < 1.25 * median["clip.ts"]["play"]
    assert median["clip.dcm"]["seek"] < 1.5 * median["clip.ts"]["seek"]
