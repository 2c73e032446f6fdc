"""Every frame of every kind of clip is the one asked for: the pixels say so."""

from __future__ import annotations

import random
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import av
import cv2
import numpy as np
import pytest
from clip_kinds import KINDS, RECIPES
from dicom_clips import fragments_of
from numbered_clips import Recipe, jittered_times, make_clip, read_number

from annotate.clip import ClipReader, Frame, build_index

ClipMaker = Callable[[str], Path]
Made = Callable[[str], tuple[Path, list[int]]]
SMALL_CACHE = 1 << 19
"""Holds about seven small pictures: most requests have to decode."""

EVERY_KIND = pytest.mark.parametrize("kind", sorted(KINDS))
IN_FULL = pytest.mark.parametrize(
    "n", [15, pytest.param(300, marks=pytest.mark.soak)], ids=["few", "300"]
)
WALKS = pytest.mark.parametrize(
    "n", [2, pytest.param(200, marks=pytest.mark.soak)], ids=["two", "200"]
)
STEPPED_BACK = ["b_frames.mp4", "variable_rate.mkv", "h264_open_groups.ts", "mpeg2.mpg",
                "hevc_open_groups.mp4", "edit_list.mp4", "h264_without_times.avi",
                "clock_starts_again.ts", "times_repeat_among_b_frames.ts"]  # fmt: skip


def number_in(frame: Frame) -> int | None:
    """What a frame's picture shows; large ones are read scaled down, which is quicker."""
    width, height = frame.shown_size
    if width < 1000:
        return read_number(frame.rgb())
    return read_number(frame.fitted(width // 8, height // 8)[..., 2::-1])


@EVERY_KIND
def test_frames_read_forward_come_in_order_and_complete(kind: str, made: Made) -> None:
    path, shown = made(kind)
    with ClipReader(path) as reader:
        frames = [(f.number, number_in(f), f.is_stand_in) for f in reader.frames()]
    assert frames == [(n, number, False) for n, number in enumerate(shown)]


@pytest.mark.parametrize("kind", sorted(RECIPES))
def test_a_seek_gives_the_same_pixels_as_reading_through(kind: str, clip_of: ClipMaker) -> None:
    """Against a bare decoding loop, so that pictures left out on the way change nothing."""
    path = clip_of(kind)
    source = BytesIO(b"".join(fragments_of(path))) if path.suffix == ".dcm" else str(path)
    with av.open(source, "r") as clip:
        whole = [f.to_ndarray() for f in clip.decode(video=0)]
    chance = random.Random(kind)
    with ClipReader(path, cache_bytes=SMALL_CACHE) as reader:
        for number in chance.choices(range(len(whole)), k=25 if len(whole) > 30 else 5):
            np.testing.assert_array_equal(reader.frame(number).picture.to_ndarray(), whole[number])


@EVERY_KIND
@IN_FULL
def test_random_seeks_by_number_are_exact(kind: str, n: int, made: Made) -> None:
    (path, shown), chance = made(kind), random.Random(kind)
    with ClipReader(path, cache_bytes=SMALL_CACHE) as reader:
        wanted = chance.choices(range(len(shown)), k=n)
        wrong = [a for a in wanted if number_in(reader.frame(a)) != shown[a]]
    assert wrong == []


@EVERY_KIND
@IN_FULL
def test_a_frame_asked_for_by_time_is_the_one_shown_then(kind: str, n: int, made: Made) -> None:
    (path, shown), chance = made(kind), random.Random(kind)
    index = build_index(path)
    times = [*index.times_us.tolist(), index.duration_us]
    lasting = [number for number in range(index.n_frames) if times[number] < times[number + 1]]
    wrong = []
    with ClipReader(path, index, SMALL_CACHE) as reader:
        for number in chance.choices(lasting, k=n):
            moment = chance.randrange(times[number], times[number + 1])
            if number_in(reader.frame_at(moment)) != shown[number]:
                wrong.append((number, moment))
    assert wrong == []
    assert len(shown) - len(lasting) <= 3  # only pictures whose time is another one's as well


@EVERY_KIND
@WALKS
def test_a_random_walk_of_steps_never_skips_or_repeats(kind: str, n: int, made: Made) -> None:
    """Each walk starts anywhere and steps by one, either way, 8 times."""
    (path, shown), chance = made(kind), random.Random(kind)
    with ClipReader(path, cache_bytes=SMALL_CACHE) as reader:
        for _ in range(n):
            at = chance.randrange(len(shown))
            for _ in range(8):
                frame = reader.frame(at)
                assert (frame.number, number_in(frame)) == (at, shown[at])
                at = min(max(at + chance.choice([-1, 1]), 0), len(shown) - 1)


@pytest.mark.parametrize("kind", STEPPED_BACK)
def test_stepping_back_from_the_end_passes_every_frame(kind: str, made: Made) -> None:
    path, shown = made(kind)
    with ClipReader(path) as reader:
        back = [read_number(reader.frame(n).rgb()) for n in reversed(range(len(shown)))]
    assert back == shown[::-1]


@pytest.fixture(scope="session")
def long_clip(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[int]]:
    """600 frames with B-frames and a variable rate, and their times in ticks of 1/30000 s."""
    path = tmp_path_factory.mktemp("long") / "variable.mp4"
    times = jittered_times(600, 7)
    return path, make_clip(path, Recipe(), n_frames=600, gop=60, times=times)


def test_300_of_300_random_seeks_by_number_are_exact(long_clip: tuple[Path, list[int]]) -> None:
    path, _ = long_clip
    chance = random.Random(300)
    with ClipReader(path, cache_bytes=SMALL_CACHE) as reader:
        wanted = [chance.randrange(600) for _ in range(300)]
        got = [read_number(reader.frame(n).rgb()) for n in wanted]
    assert sum(a == b for a, b in zip(got, wanted, strict=True)) == 300


def test_300_of_300_random_seeks_by_time_are_exact(long_clip: tuple[Path, list[int]]) -> None:
    """The right answer is worked out from the times that were written, not from the index."""
    path, ticks = long_clip
    chance = random.Random(301)
    got, wanted = [], []
    with ClipReader(path, cache_bytes=SMALL_CACHE) as reader:
        for _ in range(300):
            moment_us = chance.randrange(ticks[-1] * 1_000_000 // 30_000)
            wanted.append(sum(t * 1_000_000 // 30_000 <= moment_us for t in ticks) - 1)
            got.append(read_number(reader.frame_at(moment_us).rgb()))
    assert sum(a == b for a, b in zip(got, wanted, strict=True)) == 300


@pytest.mark.parametrize("kind", ["turned_90.mp4", "turned_180.mp4", "turned_270.mov"])
def test_a_turned_clip_is_shown_the_way_another_reader_turns_it(
    kind: str, clip_of: ClipMaker
) -> None:
    """OpenCV turns pictures by the file's display matrix on its own account."""
    path = clip_of(kind)
    capture = cv2.VideoCapture(str(path))
    there, picture = capture.read()
    capture.release()
    with ClipReader(path) as reader:
        ours = reader.frame(0).rgb()
    assert there
    assert ours.shape == picture.shape
    assert np.abs(ours[..., ::-1].astype(int) - picture).mean() < 6


@pytest.mark.parametrize(
    ("kind", "size"),
    [
        ("wide_pixels.mp4", (364, 192)),
        ("tall_pixels.mp4", (228, 192)),
        ("turned_90.mp4", (192, 256)),
    ],
)
def test_a_picture_is_shown_upright_with_square_pixels(
    kind: str, size: tuple[int, int], clip_of: ClipMaker
) -> None:
    """256 x 64/45 = 364.1; 256 x 8/9 = 227.6; a quarter turn swaps the sides."""
    with ClipReader(clip_of(kind)) as reader:
        frame = reader.frame(10)
    width, height = size
    assert frame.shown_size == size
    assert frame.rgb().shape == (height, width, 3)
    fitted = frame.fitted(width // 2, height // 2)
    assert fitted.shape == (height // 2, width // 2, 4)
    assert fitted.dtype == np.uint8
    assert read_number(fitted[..., 2::-1]) == 10
