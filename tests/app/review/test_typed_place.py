"""Times and frame numbers as they are typed."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from annotate.clock import format_time
from annotate.errors import UserFacingError
from app.review.typed_place import TypedPlace, typed_place

S = 1_000_000
HOUR = 3600 * S


def to(time_us: int, last_us: int) -> TypedPlace:
    """A time typed to the millisecond, and the last moment that is shown so."""
    return TypedPlace(time_us=time_us, reach_us=last_us)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("0:01:14.815", to(74_815_000, 74_815_499)),
        ("1:14.8", to(74_800_000, 74_800_500)),
        (" 74.815 ", to(74_815_000, 74_815_499)),
        ("0", to(0, 500)),
        ("1:00:00.000", to(HOUR, HOUR)),
        ("#1200", TypedPlace(number=1200)),
        ("# 1200", TypedPlace(number=1200)),
        ("f 1234", TypedPlace(number=1234)),
        ("F0", TypedPlace(number=0)),
        ("frame 107999", TypedPlace(number=107_999)),
    ],
)
def test_what_is_understood(text: str, place: TypedPlace) -> None:
    assert typed_place(text, HOUR, 108_000) == place


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("", "Nothing is typed"),
        ("soon", "not a time"),
        ("#", "no frame number"),
        ("#12x", "no frame number"),
        ("f -3", "no frame number"),
        ("#²", "no frame number"),
        ("#108000", "0 to 107999"),
        ("#" + "9" * 5000, "0 to 107999"),
        ("-5", "before the case begins"),
        ("1:00:00.001", "ends at 1:00:00.000"),
        ("1:75", "60 starts the next unit"),
    ],
)
def test_what_is_refused_gets_its_sentence(text: str, word: str) -> None:
    with pytest.raises(UserFacingError, match=word):
        typed_place(text, HOUR, 108_000)


def test_a_case_without_a_picture_takes_times_alone() -> None:
    assert typed_place("5", HOUR, 0) == to(5 * S, 5 * S + 500)
    with pytest.raises(UserFacingError, match="no picture"):
        typed_place("#0", HOUR, 0)


@given(st.integers(0, HOUR // 1000))
def test_a_time_as_it_is_shown_leads_there(ms: int) -> None:
    assert typed_place(format_time(ms * 1000), HOUR, 1).time_us == ms * 1000


@given(st.integers(0, HOUR // 1000 - 1))
def test_it_reaches_as_far_as_a_time_is_shown_so_and_no_further(ms: int) -> None:
    text = format_time(ms * 1000)
    reach_us = typed_place(text, HOUR, 1).reach_us
    assert reach_us is not None
    assert format_time(reach_us) == text != format_time(reach_us + 1)


@example(4140, (24000, 1001))  # 172.6725 s, shown as .672, the even one
@given(st.integers(0, 200_000), st.sampled_from(((24000, 1001), (25, 1), (30000, 1001), (60, 1))))
def test_the_time_shown_with_a_frame_leads_to_that_frame(
    number: int, rate: tuple[int, int]
) -> None:
    """Frame times are rounded down to the microsecond and shown to the millisecond."""
    begins_us = number * S * rate[1] // rate[0]
    reach_us = typed_place(format_time(begins_us), 3 * HOUR, 1).reach_us
    assert reach_us is not None
    found = max(
        n for n in (number - 1, number, number + 1) if n * S * rate[1] // rate[0] <= reach_us
    )
    assert found == number


def test_a_time_typed_to_the_microsecond_is_taken_as_it_is() -> None:
    assert typed_place("1.033366", HOUR, 1) == TypedPlace(time_us=1_033_366, reach_us=1_033_366)


@given(st.text(max_size=40))
def test_any_text_is_a_place_or_a_sentence(text: str) -> None:
    place, sentence = None, ""
    try:
        place = typed_place(text, HOUR, 1000)
    except UserFacingError as told:
        sentence = str(told)
    assert bool(sentence.strip()) is (place is None)
    assert place is None or (place.time_us is None) is not (place.number is None)
