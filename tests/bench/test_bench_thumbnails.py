"""Small pictures against bare decoding of key pictures, and how soon the first fifty are there.

Run by `pytest -m bench`; prints a table. The rate is a ratio of one run; only the first fifty of
an hour of 1080p, which the brief of the work gives two seconds, are held against a clock.
"""

from __future__ import annotations

import statistics
import time
from pathlib import Path

import av
import pytest
from long_clips import lengthen
from numbered_clips import make_clip

from annotate.clip import ClipIndex, build_index
from annotate.clip.thumbnail_making import make_thumbnails
from annotate.clip.thumbnails import Thumbnails
from app.intake.decoding import thumbnail_parts
from app.jobs.apart import apart
from app.jobs.apart_process import end_kept

pytestmark = pytest.mark.bench
ROUNDS = 5
FIFTY_WITHIN_S = 2.0
GOAL = 0.65
"""Shrinking 1080p costs some 2 ms a picture, beside 7 to 26 of decoding a key picture."""


class Enough(Exception):  # noqa: N818
    """The first fifty are there."""


@pytest.fixture(scope="module")
def hour(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, ClipIndex]:
    """An hour of 1920x1080 at 30 a second with a key each two seconds: four seconds over and over.

    Key packets of some 107 kilobytes, as at 8 Mb/s; the others are poor, which spares the disk.
    """
    folder = tmp_path_factory.mktemp("hour")
    make_clip(folder / "short.mp4", n_frames=120, width=1920, height=1080, grain=5, gop=60,
              options={"x264-params": "qp=36:ipratio=10"})  # fmt: skip
    lengthen(folder / "short.mp4", folder / "hour.mp4", 900)
    return folder / "hour.mp4", build_index(folder / "hour.mp4")


def bare_keys_a_second(path: Path, n: int) -> float:
    """Demux and decode key pictures alone, one thread, and drop them."""
    start = time.perf_counter()
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        stream.codec_context.skip_frame = "NONKEY"
        stream.codec_context.thread_count = 1
        for k, _ in enumerate(container.decode(stream), 1):
            if k == n:
                break
    return n / (time.perf_counter() - start)


def pictures_a_second(path: Path, index: ClipIndex, n: int) -> float:
    """Make small pictures: seek, decode, shrink, convert, pack."""
    start, made = time.perf_counter(), 0
    for part in make_thumbnails(path, index):
        made += len(part)
        if made >= n:
            break
    return made / (time.perf_counter() - start)


def first_fifty_s(path: Path, index: ClipIndex) -> float:
    """From asking, with no process warm, to fifty pictures here."""
    end_kept()
    made, packed = [Thumbnails()], index.to_bytes()

    def add(content: bytes) -> None:
        made[0] = made[0].with_more(Thumbnails.from_bytes(content))
        if len(made[0]) >= 50:
            raise Enough

    start = time.perf_counter()
    with pytest.raises(Enough):
        apart(thumbnail_parts, path, packed, [], on_part=add, is_quiet=True)
    took = time.perf_counter() - start
    gaps = [b - a for a, b in zip(made[0].times_us, made[0].times_us[1:], strict=False)]
    assert max(gaps) < 3600e6 / 12
    return took


def test_small_pictures_keep_up_with_bare_key_pictures(hour: tuple[Path, ClipIndex]) -> None:
    path, index = hour
    ratios, rates = [], []
    for _ in range(ROUNDS):
        bare, own = bare_keys_a_second(path, 150), pictures_a_second(path, index, 150)
        ratios.append(own / bare)
        rates.append(own)
    soon = [first_fifty_s(path, index) for _ in range(ROUNDS)]
    print(
        f"\nsmall pictures: {statistics.median(rates):.0f} a second, "
        f"{statistics.median(ratios):.2f} of bare key pictures (goal {GOAL}); first fifty of an "
        f"hour after {statistics.median(soon):.2f} s with the start of a process (goal 2 s)"
    )
    assert statistics.median(ratios) >= GOAL
    assert statistics.median(soon) <= FIFTY_WITHIN_S
