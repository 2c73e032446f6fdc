"""Parts with gaps and overlaps between them lie on one clock that never falls."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from annotate.clock import CaseClock


@st.composite
def clocks(draw: st.DrawFn) -> tuple[CaseClock, list[int]]:
    """Any clock that may be, and the lengths of its parts."""
    durations = draw(st.lists(st.integers(2, 10**11), min_size=1, max_size=7))
    leads = [0]
    shown = durations[0]
    for duration in durations[1:]:
        lead = draw(st.integers(1 - min(duration, shown), 10**10))
        shown = duration + min(lead, 0)
        leads.append(lead)
    return CaseClock(durations, leads), durations


def test_a_gap_and_an_overlap() -> None:
    """Worked by hand: 10, a gap of 4, then 20 of which 5 repeat, then 6 of which 5 repeat."""
    clock = CaseClock([10, 20, 6], [0, 4, -5])
    assert [clock.start_of(i) for i in range(3)] == [0, 14, 34]
    assert [clock.end_of(i) for i in range(3)] == [10, 34, 35]
    assert clock.duration_us == 35
    assert clock.gaps == ((10, 14),)
    assert [clock.left_out_us(i) for i in range(3)] == [0, 0, 5]
    assert clock.to_clip(9) == (0, 9)
    assert clock.to_clip(13) == (0, 13)
    assert (clock.after_gap(9), clock.after_gap(10), clock.after_gap(13)) == (9, 14, 14)
    assert clock.to_clip(14) == (1, 0)
    assert clock.to_clip(34) == (2, 5)
    assert clock.to_case(2, 0) == 29
    assert clock.to_clip(40) == (2, 11)


@pytest.mark.parametrize(
    ("durations", "leads"),
    [([10], [1]), ([10, 10], [0, -10]), ([5, 10], [0, -5]), ([9, 6, 9], [0, -4, -2]), ([0], [0])],
)
def test_what_cannot_be_is_refused(durations: list[int], leads: list[int]) -> None:
    with pytest.raises(ValueError, match=r"part|nothing"):
        CaseClock(durations, leads)


@given(clocks(), st.data())
def test_every_shown_moment_has_one_case_time(
    made: tuple[CaseClock, list[int]], data: st.DataObject
) -> None:
    clock, durations = made
    ordinal = data.draw(st.integers(0, clock.n_clips - 1))
    within = data.draw(st.integers(clock.left_out_us(ordinal), durations[ordinal] - 1))
    case_us = clock.to_case(ordinal, within)
    assert clock.to_clip(case_us) == (ordinal, within)
    assert clock.after_gap(case_us) == case_us


@given(clocks(), st.data())
def test_case_time_never_falls_and_gaps_are_what_no_part_shows(
    made: tuple[CaseClock, list[int]], data: st.DataObject
) -> None:
    clock, _ = made
    times = sorted(data.draw(st.lists(st.integers(0, clock.duration_us + 9), max_size=20)))
    assert all(a <= b for a, b in pairwise(clock.to_clip(t)[0] for t in times))
    for time_us in times:
        is_in_gap = any(start <= time_us < end for start, end in clock.gaps)
        assert (clock.after_gap(time_us) > time_us) == is_in_gap
    gaps_us = sum(end - start for start, end in clock.gaps)
    shown_us = sum(clock.end_of(i) - clock.start_of(i) for i in range(clock.n_clips))
    assert gaps_us + shown_us == clock.duration_us
