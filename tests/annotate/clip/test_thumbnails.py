"""Small pictures of a clip: the right ones, spread over it, kept whole, the nearest at once."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from clip_kinds import FIRST_SHOWN, RECIPES
from hypothesis import given
from hypothesis import strategies as st
from numbered_clips import make_clip, read_number
from PIL import Image

from annotate.clip import ClipReader, ReadingStopped, build_index
from annotate.clip.thumbnail_making import (
    LONGEST_SIDE_PX,
    make_thumbnails,
    spread,
    thumbnail_plan,
)
from annotate.clip.thumbnails import Thumbnails

ROWS = st.lists(
    st.tuples(st.integers(0, 10_000), st.binary(max_size=30)), unique_by=lambda r: r[0]
).map(lambda rows: [(number, number * 33_333, content) for number, content in rows])


def pixels(content: bytes) -> np.ndarray:
    with Image.open(BytesIO(content)) as image:
        return np.asarray(image.convert("RGB"))


def made(path: Path) -> Thumbnails:
    found = Thumbnails()
    for part in make_thumbnails(path, build_index(path)):
        found = found.with_more(part)
    return found


@pytest.mark.parametrize("kind", sorted(RECIPES))
def test_each_picture_shows_its_own_frame_upright(
    kind: str, clip_of: Callable[[str], Path]
) -> None:
    path = clip_of(kind)
    index = build_index(path)
    found = made(path)
    assert found.is_complete
    assert len(found) >= 15
    width, height = index.shape.shown_size
    for number, time_us, content in zip(
        found.numbers.tolist(), found.times_us.tolist(), found.pictures, strict=True
    ):
        picture = pixels(content)
        assert read_number(picture) == number + FIRST_SHOWN.get(kind, 0)
        assert time_us == index.time_of(number)
        assert max(picture.shape) == min(LONGEST_SIDE_PX, max(width, height))
        assert picture.shape[1] / picture.shape[0] == pytest.approx(width / height, rel=0.01)


def test_pictures_are_no_farther_apart_than_the_spacing_asks(
    clip_of: Callable[[str], Path],
) -> None:
    path = clip_of("h264_one_group.mp4")
    index = build_index(path)
    found = made(path)
    gaps = np.diff([0, *found.times_us.tolist(), index.duration_us])
    assert gaps.max() <= 2 * index.duration_us / 30


def test_colours_are_those_of_the_frame(clip_of: Callable[[str], Path]) -> None:
    path = clip_of("b_frames.mp4")
    found = made(path)
    with ClipReader(path) as reader:
        for at in (0, len(found) // 2, len(found) - 1):
            frame = reader.frame(int(found.numbers[at]))
            height, width = pixels(found.pictures[at]).shape[:2]
            own = frame.fitted(width, height)[:, :, 2::-1].astype(int)
            assert np.abs(pixels(found.pictures[at]) - own).mean() < 4


def test_a_plan_holds_at_most_so_many_and_begins_spread_out(tmp_path: Path) -> None:
    make_clip(tmp_path / "many.avi", codec="mjpeg", pix_fmt="yuvj420p", b_frames=0,
              n_frames=400, width=64, height=48)  # fmt: skip
    index = build_index(tmp_path / "many.avi")
    plan = thumbnail_plan(index, most=100)
    assert len(plan.keys) + len(plan.others) <= 100
    first = sorted(plan.keys[:8])
    assert max(np.diff([0, *first, 400])) <= 120


@pytest.mark.parametrize("n", [0, 1, 2, 3, 50, 64, 600])
def test_spreading_keeps_every_number_once(n: int) -> None:
    order = spread(n)
    assert sorted(order.tolist()) == list(range(n))
    if n == 600:
        assert max(np.diff(sorted(order[:50].tolist()))) <= 600 / 50 * 2


def test_what_is_there_is_not_made_again(clip_of: Callable[[str], Path]) -> None:
    path = clip_of("h264_one_group.mp4")
    index = build_index(path)
    whole = made(path)
    half = Thumbnails(whole.numbers[::2], whole.times_us[::2], whole.pictures[::2])
    rest = list(make_thumbnails(path, index, half.numbers.tolist()))
    assert sorted(n for part in rest for n in part.numbers.tolist()) == whole.numbers[1::2].tolist()
    assert (half.with_more(rest[-1]).numbers == whole.numbers).all()
    assert list(make_thumbnails(path, index, whole.numbers.tolist()))[-1].is_complete


def test_making_can_be_called_off(clip_of: Callable[[str], Path]) -> None:
    path = clip_of("b_frames.mp4")
    cancel = threading.Event()
    told: list[float] = []

    def stop(share: float) -> None:
        told.append(share)
        cancel.set()

    with pytest.raises(ReadingStopped):
        list(make_thumbnails(path, build_index(path), progress=stop, cancel=cancel))
    assert len(told) == 1


def test_a_damaged_stretch_costs_its_own_pictures(
    clip_of: Callable[[str], Path], tmp_path: Path
) -> None:
    content = bytearray(clip_of("mjpeg.avi").read_bytes())
    index = build_index(clip_of("mjpeg.avi"))
    for ordinal in (20, 21, 22, 23):
        at, size = int(index.packets.pos[ordinal]), int(index.packets.size[ordinal])
        content[at + 8 : at + size] = bytes(size - 8)
    damaged = tmp_path / "damaged.avi"
    damaged.write_bytes(content)
    found = made(damaged)
    assert found.is_complete
    readable = [read_number(pixels(p)) for p in found.pictures]
    assert [n for n in readable if n is not None and not 20 <= n < 24]
    assert all(n in (None, own) for n, own in zip(readable, found.numbers.tolist(), strict=True))


@given(ROWS, st.booleans())
def test_packing_and_reading_change_nothing(
    rows: list[tuple[int, int, bytes]], is_complete: bool
) -> None:
    found = Thumbnails.of(rows, is_complete=is_complete)
    again = Thumbnails.from_bytes(found.to_bytes())
    assert again.numbers.tolist() == found.numbers.tolist() == sorted(r[0] for r in rows)
    assert again.times_us.tolist() == found.times_us.tolist()
    assert again.pictures == found.pictures
    assert again.is_complete == is_complete


@given(ROWS.filter(bool), st.data())
def test_damage_is_an_error_or_harmless(
    rows: list[tuple[int, int, bytes]], data: st.DataObject
) -> None:
    content = bytearray(Thumbnails.of(rows).to_bytes())
    cut = data.draw(st.integers(0, len(content) - 1))
    with pytest.raises(ValueError, match="small pictures"):
        Thumbnails.from_bytes(bytes(content[:cut]))
    at, value = data.draw(st.integers(0, len(content) - 1)), data.draw(st.integers(0, 255))
    content[at] = value
    try:
        found = Thumbnails.from_bytes(bytes(content))
    except ValueError:
        return
    assert len(found.numbers) == len(found.pictures)


@given(ROWS.filter(bool), st.integers(-1_000_000, 400_000_000))
def test_the_nearest_is_the_nearest(rows: list[tuple[int, int, bytes]], time_us: int) -> None:
    number, at_us, content = Thumbnails.of(rows).nearest(time_us)
    assert (number, at_us, content) in rows
    assert abs(at_us - time_us) == min(abs(row[1] - time_us) for row in rows)


def test_none_is_no_nearest() -> None:
    with pytest.raises(LookupError):
        Thumbnails().nearest(0)


def test_the_nearest_of_six_hundred_is_found_in_no_time() -> None:
    found = Thumbnails.of([(n, n * 3_000_000, b"x" * 8000) for n in range(600)])
    start = time.perf_counter()
    for n in range(1000):
        found.nearest(n * 1_800_000)
    assert (time.perf_counter() - start) / 1000 < 0.005
