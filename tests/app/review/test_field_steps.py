"""Fields are stepped through two to a frame, in either direction."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from app.review.field_steps import FieldSteps


@given(st.lists(st.sampled_from([1, -1]), max_size=40), st.integers(0, 9))
def test_steps_add_up_and_stay_in_the_clip(steps: list[int], start: int) -> None:
    fields = FieldSteps()
    fields.turn(is_interlaced=True)
    number, place = start, start * 2
    for by in steps:
        number = fields.step(number, by, 10)
        place = max(0, min(place + by, 19))
        assert number * 2 + (fields.field or 0) == place


def test_a_progressive_clip_has_no_fields() -> None:
    fields = FieldSteps()
    assert "not interlaced" in fields.turn(is_interlaced=False)
    assert fields.step(3, 1, 10) == 4
    assert fields.words == ""


def test_turning_it_off_goes_by_frames_again() -> None:
    fields = FieldSteps()
    fields.turn(is_interlaced=True)
    fields.step(3, 1, 10)
    assert fields.words == "field 2 of 2"
    fields.turn(is_interlaced=True)
    assert (fields.field, fields.step(3, 1, 10)) == (None, 4)
