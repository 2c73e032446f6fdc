"""What was watched: shares, stretches left out, time spent."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from annotate.watching import Watched
from metrics.intervals import measure
from metrics.watched import watched_document, watched_figures

S = 1_000_000
LENGTH = 60
"""Of the invented case, in the units of the raster."""


@st.composite
def stretches(draw: st.DrawFn) -> Watched:
    start = draw(st.integers(0, LENGTH + 5))
    end = draw(st.integers(start + 1, LENGTH + 20))
    return Watched(start, end, draw(st.sampled_from([0.1, 0.5, 1.0, 2.0, 4.0, 16.0])))


gaps = st.lists(st.tuples(st.integers(0, LENGTH), st.integers(0, LENGTH)), max_size=3)


@given(st.lists(stretches(), max_size=12), gaps)
def test_it_agrees_with_a_raster_of_the_case(
    watched: list[Watched], gaps: list[tuple[int, int]]
) -> None:
    seen, slow = np.zeros(LENGTH, bool), np.zeros(LENGTH, bool)
    recorded = np.ones(LENGTH, bool)
    for start, end in gaps:
        recorded[start:end] = False
    for w in watched:
        seen[w.start_us : w.end_us] = True
        slow[w.start_us : w.end_us] |= w.speed <= 2.0
    found = watched_figures(watched, LENGTH, gaps)
    assert found.length_us == recorded.sum()
    assert found.seen_us == (seen & recorded).sum()
    assert found.slow_us == (slow & recorded).sum()
    unseen = np.zeros(LENGTH, bool)
    for start, end in found.unseen:
        unseen[start:end] = True
    assert np.array_equal(unseen, recorded & ~seen)


@given(st.lists(stretches(), max_size=12), gaps)
def test_order_and_repetition_change_no_share(
    watched: list[Watched], gaps: list[tuple[int, int]]
) -> None:
    found = watched_figures(watched, LENGTH, gaps)
    again = watched_figures([*reversed(watched), *watched], LENGTH, gaps)
    assert (again.seen, again.unseen, again.slow_us) == (found.seen, found.unseen, found.slow_us)
    assert 0 <= found.slow_share <= found.share <= 1
    assert measure(found.seen) + measure(found.unseen) == found.length_us
    assert abs(again.spent_us - 2 * found.spent_us) <= 1


def test_worked_by_hand() -> None:
    """100 s: 0 to 60 s at 4x, 40 to 80 s at 2x, the same twice; 80 to 100 s never."""
    watched = [Watched(0, 60 * S, 4.0), *[Watched(40 * S, 80 * S, 2.0)] * 2]
    found = watched_figures(watched, 100 * S)
    assert (found.share, found.slow_share) == (0.8, 0.4)
    assert found.spent_us == (15 + 20 + 20) * S
    assert watched_document(found) == {
        "share": 0.8,
        "share_at_2x_or_slower": 0.4,
        "spent_s": 55.0,
        "not_watched": [{"start_s": 80.0, "end_s": 100.0}],
    }


def test_a_case_without_a_clip_has_nothing_to_watch() -> None:
    found = watched_figures([], 0)
    assert (found.share, found.slow_share, found.unseen) == (0.0, 0.0, ())
