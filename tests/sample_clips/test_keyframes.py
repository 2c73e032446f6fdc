"""Keys: a smooth way between given values."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sample_clips.keyframes import Keys, minimum_jerk


def test_minimum_jerk_is_half_way_at_half_time_with_top_speed_15_eighths() -> None:
    """Closed form: s(1/2) = 1/2 and s'(1/2) = 15/8."""
    assert minimum_jerk(0.5) == pytest.approx(0.5)
    speed = (minimum_jerk(0.5 + 1e-6) - minimum_jerk(0.5 - 1e-6)) / 2e-6
    assert speed == pytest.approx(15 / 8, abs=1e-6)


@given(st.lists(st.tuples(st.floats(0.01, 5), st.floats(-9, 9)), min_size=1, max_size=8), st.data())
def test_value_never_leaves_the_range_of_the_keys(
    gaps: list[tuple[float, float]], data: st.DataObject
) -> None:
    keys, now = Keys(), 0.0
    for gap, value in gaps:
        now += gap
        keys.add(now, value)
    values = [value for _, value in gaps]
    found = keys.scalar(data.draw(st.floats(-1, now + 1)))
    assert min(values) - 1e-9 <= found <= max(values) + 1e-9


def test_a_key_before_the_last_one_is_refused() -> None:
    with pytest.raises(ValueError, match="lies before"):
        Keys().add(2.0, 1.0).add(1.0, 1.0)


def test_a_bump_comes_back_to_where_it_began() -> None:
    keys = Keys.constant(3.0).bump(1.0, 2.0, 5.0, ramp_s=0.2)
    assert [keys.scalar(t) for t in (0.5, 1.5, 2.5)] == [3.0, 5.0, 3.0]
