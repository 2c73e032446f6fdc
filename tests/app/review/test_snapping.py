"""Where a dragged edge snaps to."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from annotate.ids import RowId, SessionId
from annotate.tags import Comment, Tag, TagKind
from app.review.snapping import edges_of, snapped, snapped_to_frame

TIMES = st.integers(0, 10**10)
SESSION = SessionId("s")


@given(times=st.lists(TIMES, max_size=40), time_us=TIMES, within_us=st.integers(0, 10**9))
def test_the_nearest_edge_in_reach_is_taken_and_nothing_else(
    times: list[int], time_us: int, within_us: int
) -> None:
    got = snapped(time_us, np.unique(np.asarray(times, np.int64)), within_us)
    reachable = [t for t in times if abs(t - time_us) <= within_us]
    if not reachable:
        assert got == time_us
    else:
        assert got in reachable
        assert abs(got - time_us) == min(abs(t - time_us) for t in reachable)


@given(times=st.lists(TIMES, min_size=1, max_size=20), time_us=TIMES, within_us=TIMES)
def test_what_has_snapped_stays(times: list[int], time_us: int, within_us: int) -> None:
    edges = np.unique(np.asarray(times, np.int64))
    once = snapped(time_us, edges, within_us)
    assert snapped(once, edges, within_us) == once


@given(times=st.lists(TIMES, max_size=20), a=TIMES, b=TIMES)
def test_snapping_keeps_the_order_of_two_times(times: list[int], a: int, b: int) -> None:
    """Two edges dragged alike cannot change places where the whole line is in reach."""
    edges = np.unique(np.asarray(times, np.int64))
    reach = 2 * 10**10
    low, high = sorted((a, b))
    assert snapped(low, edges, reach) <= snapped(high, edges, reach)


@given(start=TIMES, lasts=st.integers(1, 10**6), part=st.floats(0, 1))
def test_a_frame_is_snapped_to_at_its_nearer_end(start: int, lasts: int, part: float) -> None:
    time_us = start + int(part * lasts)
    got = snapped_to_frame(time_us, start, start + lasts)
    assert got in (start, start + lasts)
    assert abs(got - time_us) == min(time_us - start, start + lasts - time_us)


def test_edges_are_those_of_the_others_and_the_playhead() -> None:
    phase = Tag(RowId("a"), SESSION, TagKind.PHASE, "chop", 100, 200)
    event = Tag(RowId("b"), SESSION, TagKind.EVENT, "good-move", 150)
    comment = Comment(RowId("c"), SESSION, "Well held", 200, 300)
    assert edges_of((phase, event, comment), playhead_us=7).tolist() == [7, 100, 150, 200, 300]
    assert edges_of((phase, event, comment), {phase.id}).tolist() == [150, 200, 300]
    assert edges_of(()).tolist() == []
