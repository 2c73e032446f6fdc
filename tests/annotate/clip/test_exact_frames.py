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
from clip_kinds import FIRST_SHOWN, N_FRAMES, RECIPES
from dicom_clips import fragments_of
from numbered_clips import Recipe, jittered_times, make_clip, read_number

from annotate.clip import ClipReader, build_index

ClipMaker = Callable[[str], Path]
SMALL_CACHE = 1 << 19
"""Holds about seven pictures: most requests have to decode."""

EVERY_KIND = pytest.mark.parametrize("kind", sorted(RECIPES))
WALKED = ["b_frames.mp4", "variable_rate.mkv", "h264_open_groups.ts", "mpeg2.mpg",
          "hevc_open_groups.mp4", "edit_list.mp4", "h264_without_times.avi"]  # fmt: skip


def numbers_shown(kind: str) -> list[int]:
    """What the pictures of a kind show, in order."""
    return list(range(FIRST_SHOWN.get(kind, 0), N_FRAMES))


@EVERY_KIND
def test_frames_read_forward_come_in_order_and_complete(kind: str, clip_of: ClipMaker) -> None:
    with ClipReader(clip_of(kind)) as reader:
        frames = [(f.number, read_number(f.rgb()), f.is_stand_in) for f in reader.frames()]
    shown = numbers_shown(kind)
    assert frames == [(n, number, False) for n, number in enumerate(shown)]


@EVERY_KIND
def test_a_seek_gives_the_same_pixels_as_reading_through(kind: str, clip_of: ClipMaker) -> None:
    """Against a bare decoding loop, so that pictures left out on the way change nothing."""
    path = clip_of(kind)
    source = BytesIO(b"".join(fragments_of(path))) if path.suffix == ".dcm" else str(path)
    with av.open(source, "r") as clip:
        whole = [f.to_ndarray() for f in clip.decode(video=0)]
    chance = random.Random(kind)
    with ClipReader(path, cache_bytes=SMALL_CACHE) as reader:
        for number in chance.choices(range(len(whole)), k=25):
            np.testing.assert_array_equal(reader.frame(number).picture.to_ndarray(), whole[number])


@EVERY_KIND
def test_a_frame_asked_for_by_time_is_the_one_shown_then(kind: str, clip_of: ClipMaker) -> None:
    path, shown, chance = clip_of(kind), numbers_shown(kind), random.Random(kind)
    index = build_index(path)
    times = [*index.times_us.tolist(), index.duration_us]
    with ClipReader(path, index, SMALL_CACHE) as reader:
        for _ in range(15):
            number = chance.randrange(index.n_frames)
            moment = chance.randrange(times[number], times[number + 1])
            assert read_number(reader.frame_at(moment).rgb()) == shown[number]


@pytest.mark.parametrize("kind", WALKED)
def test_a_random_walk_of_steps_never_skips_or_repeats(kind: str, clip_of: ClipMaker) -> None:
    path, shown, chance = clip_of(kind), numbers_shown(kind), random.Random(kind)
    with ClipReader(path, cache_bytes=SMALL_CACHE) as reader:
        at = len(shown) // 2
        for _ in range(200):
            at = min(max(at + chance.choice([-2, -1, -1, 1, 1, 2]), 0), len(shown) - 1)
            frame = reader.frame(at)
            assert (frame.number, read_number(frame.rgb())) == (at, shown[at])


@pytest.mark.parametrize("kind", WALKED)
def test_stepping_back_from_the_end_passes_every_frame(kind: str, clip_of: ClipMaker) -> None:
    shown = numbers_shown(kind)
    with ClipReader(clip_of(kind)) as reader:
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
