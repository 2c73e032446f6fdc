"""Words and numbers in sentences, and foreign text."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.handback.wording import (
    clean_text,
    count,
    listed,
    opening,
    percent,
    shorten,
    spoken,
    within,
)


@pytest.mark.parametrize(
    ("span_us", "said"),
    [
        (0, "0 seconds"),
        (1_000_000, "1 second"),
        (4_230_000, "4.2 seconds"),
        (9_940_000, "9.9 seconds"),
        (9_960_000, "10 seconds"),
        (59_499_999, "59 seconds"),
        (59_500_000, "1 min"),
        (190_000_000, "3 min 10 s"),
        (3_599_700_000, "1 h 0 min"),
        (3_720_000_000, "1 h 2 min"),
    ],
)
def test_length_of_time_is_said_as_one_would(span_us: int, said: str) -> None:
    assert spoken(span_us) == said


def test_share_below_one_percent_is_not_called_nothing() -> None:
    assert [percent(s) for s in (0.0, 0.004, 0.215, 1.0)] == ["0 %", "under 1 %", "22 %", "100 %"]


def test_counts_and_lists_read_as_sentences() -> None:
    assert count(0, "event") == "no events"
    assert count(1, "event") == "one event"
    assert count(12, "stretch", "stretches") == "12 stretches"
    assert listed([]) == ""
    assert listed(["a"]) == "a"
    assert listed(["a", "b", "c"]) == "a, b and c"


def test_label_within_a_sentence_keeps_capitals_that_mean_something() -> None:
    assert within("Sculpting") == "sculpting"
    assert within("IOL centred") == "IOL centred"
    assert opening("no events") == "No events"


def test_blank_lines_are_kept_singly_and_line_ends_are_one_kind() -> None:
    assert clean_text(" a\r\n\r\n \r\n\r\nb\rc\u2028d\te ") == "a\n\nb\nc\nd e"


@given(st.text())
def test_cleaned_text_can_be_encoded_and_cleaning_again_changes_nothing(text: str) -> None:
    cleaned = clean_text(text)
    cleaned.encode("utf-8")
    assert clean_text(cleaned) == cleaned


@given(st.text(), st.integers(2, 300))
def test_shortened_text_is_never_longer(text: str, most: int) -> None:
    assert len(shorten(text, most)) <= most
