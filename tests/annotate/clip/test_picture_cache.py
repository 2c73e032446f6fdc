"""What is kept of decoded pictures: bounded, around the head, whole."""

from __future__ import annotations

import threading

import av
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clip.cache import BRIEFLY, PictureCache
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


@given(
    st.lists(st.tuples(st.integers(0, 300), st.booleans(), st.integers(0, 40)), max_size=80),
    st.integers(2, 40), st.integers(0, 12), st.integers(0, 8),
)  # fmt: skip
def test_what_is_set_aside_is_left_free_but_for_the_least(
    steps: list[tuple[int, bool, int]], room: int, passing: int, least: int
) -> None:
    """What passing pictures were kept at most stays with their pool, and counts to the end."""
    cache = PictureCache(room * ONE, passing * ONE, least)
    passed = 0
    for number, is_lasting, aside in steps:
        cache.set_aside("one", aside // 2 * ONE)
        cache.set_aside("other", (aside - aside // 2) * ONE)
        cache.keep(number, picture(), is_lasting)
        most = max(room - aside, min(least, room // 2), 1)
        assert len(cache) <= most + 1  # one of either kind may stay
        passed = max(passed, len(cache._passing))
        assert len(cache._lasting) <= max(most - passed, most // 2, 1)
        if len(cache):
            assert cache.most_bytes <= max(room, aside + least) * ONE


def test_room_for_a_few_pictures_is_left_within_half_of_the_bound() -> None:
    for bound, kept in ((100, 8), (10, 5), (2, 1)):
        cache = PictureCache(bound * ONE, 0, 8)
        cache.set_aside("decoders", 200 * ONE)
        for number in range(50):
            cache.focus(number, 1)
            cache.keep(number, picture(), is_lasting=True)
        assert len(cache) == kept
        cache.set_aside(BRIEFLY, ONE)
        assert len(cache) == min(kept, 2)


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
