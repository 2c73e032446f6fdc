"""Steps by frames follow the clip's own times, at any and at a variable rate."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from hypothesis import given
from hypothesis import strategies as st

from app.review.frame_steps import stepped


@dataclass
class Frames:
    times_us: list[int]

    def number_at(self, time_us: int) -> int:
        return max(bisect_right(self.times_us, time_us) - 1, 0)

    def time_of(self, number: int) -> int:
        return self.times_us[number]


@st.composite
def clips(draw: st.DrawFn) -> tuple[Frames, int]:
    """Frames that last 1 to 200 ms each, and the length of the case."""
    lasts = draw(st.lists(st.integers(1_000, 200_000), min_size=1, max_size=40))
    times = [sum(lasts[:i]) for i in range(len(lasts))]
    return Frames(times), sum(lasts)


@given(clip=clips(), part=st.floats(0, 1), by=st.integers(-50, 50))
def test_a_step_ends_on_a_frame_or_on_the_end_of_the_case(
    clip: tuple[Frames, int], part: float, by: int
) -> None:
    frames, length_us = clip
    time_us = int(part * length_us)
    got = stepped(frames, len(frames.times_us), length_us, time_us, by)
    assert got in {*frames.times_us, length_us, *({time_us} if by == 0 else ())}
    assert (got > time_us) == (by > 0 and time_us < length_us)
    assert (got < time_us) == (by < 0 and time_us > 0)


@given(clip=clips(), place=st.integers(0, 40), by=st.integers(-40, 40))
def test_from_a_frame_steps_are_counted_in_frames_and_go_back_the_same_way(
    clip: tuple[Frames, int], place: int, by: int
) -> None:
    frames, length_us = clip
    n = len(frames.times_us)
    edges = [*frames.times_us, length_us]
    place %= n + 1
    target = max(0, min(place + by, n))
    got = stepped(frames, n, length_us, edges[place], by)
    assert got == edges[target]
    assert stepped(frames, n, length_us, got, place - target) == edges[place]


def test_between_two_frames_the_first_step_goes_to_the_nearer_one() -> None:
    frames = Frames([0, 40_000, 140_000])
    assert stepped(frames, 3, 200_000, 90_000, -1) == 40_000
    assert stepped(frames, 3, 200_000, 90_000, 1) == 140_000
    assert stepped(frames, 3, 200_000, 150_000, 1) == 200_000
