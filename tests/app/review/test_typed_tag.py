"""Times of a tag as somebody types them."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clock import format_time
from annotate.errors import UserFacingError
from app.review.typed_tag import Places, TypedSpan, typed_span

S = 1_000_000
PLAIN = Places(100 * S)


@dataclass
class Frames:
    """Frames at 30000/1001 a second: their times have more digits than are shown."""

    times_us: list[int]

    def number_at(self, time_us: int) -> int:
        return max(bisect_right(self.times_us, time_us) - 1, 0)

    def time_of(self, number: int) -> int:
        return self.times_us[number]


FRAMES = Frames([n * 1001 * S // 30_000 for n in range(2_997)])
FILMED = Places(100 * S, FRAMES, 2_997)


def test_times_and_frames_are_read() -> None:
    assert typed_span("0:00:10.000", "20", PLAIN, needs_end=True) == TypedSpan(10 * S, 20 * S)
    assert typed_span("f 30", "#60", FILMED, needs_end=True) == TypedSpan(1_001_000, 2_002_000)
    assert typed_span("1", " ", PLAIN, needs_end=False) == TypedSpan(S, None)


@given(number=st.integers(0, 2_996))
def test_a_time_as_it_is_shown_for_a_frame_is_that_frames_own(number: int) -> None:
    own_us = FRAMES.time_of(number)
    assert FILMED.read(format_time(own_us)) == own_us
    assert FILMED.read(f"f {number}") == own_us


@given(start=st.integers(0, 99 * S), lasts=st.integers(1_000, S))
def test_what_is_not_typed_anew_stays_to_the_microsecond(start: int, lasts: int) -> None:
    was = TypedSpan(start, start + lasts)
    got = typed_span(
        format_time(was.start_us), format_time(start + lasts), FILMED, needs_end=True, as_was=was
    )
    assert got == was


@pytest.mark.parametrize(
    ("start", "end", "words"),
    [
        ("", "5", "The start is not written yet."),
        ("10", "", "The end is not written yet."),
        ("10", "9", "It would end at 0:00:09.000 and start at 0:00:10.000."),
        ("10", "10", "It would end at"),
        ("ten", "20", "The start: "),
        ("10", "200", "The end: The case ends at 0:01:40.000."),
        ("f 12", "20", "The start: There is no picture, so no frame has a number."),
    ],
)
def test_what_cannot_be_is_said_in_a_sentence(start: str, end: str, words: str) -> None:
    with pytest.raises(UserFacingError) as caught:
        typed_span(start, end, PLAIN, needs_end=True)
    assert str(caught.value).startswith(words)
    assert caught.value.do
