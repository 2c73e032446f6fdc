"""Which small picture stands where, without a window."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st
from store_scenes import case, clip

from annotate.clip.thumbnails import Thumbnails
from app.review.case_pictures import BORROWED_US, CasePictures

S = 1_000_000
LENGTH_US = 600 * S


def of_times(times_us: list[int]) -> CasePictures:
    made = Thumbnails.of([(n, at, b"jpeg") for n, at in enumerate(sorted(times_us))])
    one = replace(case("C-1", clip("a", LENGTH_US)), length_us=LENGTH_US)
    return CasePictures(one, lambda _: made)


@given(
    times_us=st.lists(st.integers(0, LENGTH_US - 1), min_size=1, max_size=20, unique=True),
    slot_us=st.integers(10_000, 200 * S),
)
def test_a_stretch_shows_its_own_else_the_nearest_unless_that_is_far(
    times_us: list[int], slot_us: int
) -> None:
    n_slots = min(LENGTH_US // slot_us, 100)
    found = list(of_times(times_us).along(0, slot_us, n_slots))
    assert len(found) == n_slots
    for n, slot in enumerate(found):
        inside = [t for t in times_us if n * slot_us <= t < (n + 1) * slot_us]
        away = min(abs(t - (n * slot_us + slot_us // 2)) for t in times_us)
        if inside:
            assert slot is not None
            assert slot.is_here
            assert slot.picture.time_us in inside
        elif away <= BORROWED_US:
            assert slot is not None
            assert not slot.is_here
            assert abs(slot.picture.time_us - (n * slot_us + slot_us // 2)) == away
        else:
            assert slot is None
