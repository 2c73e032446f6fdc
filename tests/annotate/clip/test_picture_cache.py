"""What is kept of decoded pictures: bounded, around the head, whole."""

from __future__ import annotations

import threading

import av
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clip.cache import PictureCache
from annotate.clip.lasting import lasting, picture_bytes

ONE = picture_bytes(av.VideoFrame(32, 32, "yuv420p"))


def picture() -> av.VideoFrame:
    return av.VideoFrame(32, 32, "yuv420p")


@given(
    st.lists(st.tuples(st.integers(0, 300), st.booleans(), st.integers(0, 300), st.integers(-1, 1)),
             max_size=80),
    st.integers(0, 12), st.integers(0, 12),
)  # fmt: skip
def test_neither_bound_is_ever_passed_but_by_one_picture(
    steps: list[tuple[int, bool, int, int]], room: int, passing: int
) -> None:
    cache = PictureCache(room * ONE, passing * ONE)
    for number, is_lasting, head, direction in steps:
        cache.focus(head, direction)
        cache.keep(number, picture(), is_lasting)
        kept = [n for n in range(301) if n in cache]
        assert cache.n_bytes == len(kept) * ONE == len(cache) * ONE
        assert len(cache) <= max(1, room)
        assert cache.missing(0, 300) == [n for n in range(301) if n not in kept]
        assert all(cache.find(n) is not None for n in kept)


@pytest.mark.parametrize(
    ("direction", "kept"),
    [(1, range(98, 108)), (0, range(95, 105)), (-1, range(93, 103))],
)
def test_what_lies_ahead_of_the_head_stays(direction: int, kept: range) -> None:
    for numbers in (range(200), range(199, -1, -1)):
        cache = PictureCache(10 * ONE)
        cache.focus(100, direction)
        for number in numbers:
            cache.keep(number, picture(), is_lasting=True)
        there = {n for n in range(200) if n in cache}
        assert len(there) == 10
        assert len(there & set(kept)) >= 8


def test_passing_pictures_go_before_lasting_ones_fill_the_room() -> None:
    cache = PictureCache(20 * ONE, 4 * ONE)
    for number in range(50):
        cache.focus(number, 1)
        cache.keep(number, picture())
    assert len(cache) == 4
    for number in range(50):
        cache.keep(number, picture(), is_lasting=True)
    assert len(cache) == 20


def test_threads_keep_and_drop_without_losing_count() -> None:
    cache = PictureCache(30 * ONE, 10 * ONE)

    def work(seed: int) -> None:
        chance = np.random.default_rng(seed)
        for number in chance.integers(0, 500, 400).tolist():
            cache.focus(int(chance.integers(0, 500)), int(chance.integers(-1, 2)))
            cache.keep(number, picture(), is_lasting=seed % 2 == 0)
            cache.find(number)

    threads = [threading.Thread(target=work, args=(seed,)) for seed in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert cache.n_bytes == len(cache) * ONE <= 30 * ONE
    cache.clear()
    assert (cache.n_bytes, len(cache)) == (0, 0)


def test_a_lasting_picture_has_memory_of_its_own_and_the_same_content() -> None:
    coded = av.VideoFrame.from_ndarray(
        np.arange(96 * 64 * 3, dtype=np.uint32).astype(np.uint8).reshape(64, 96, 3), "rgb24"
    ).reformat(format="yuv420p", threads=1)
    coded.pts, coded.colorspace, coded.color_range = 7, 1, 2
    before = coded.to_ndarray().copy()
    places = [plane.buffer_ptr for plane in coded.planes]
    kept = lasting(coded)
    np.testing.assert_array_equal(kept.to_ndarray(), before)
    assert (kept.pts, int(kept.colorspace), int(kept.color_range)) == (7, 1, 2)
    assert all(plane.buffer_ptr != old for plane, old in zip(kept.planes, places, strict=True))
