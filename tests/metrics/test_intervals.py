from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from metrics.intervals import Spans, holds, intersect, longest, measure, subtract, union

PAIRS = st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), max_size=10)
SPANS = PAIRS.map(union)


def test_spans_that_touch_become_one_and_empty_ones_go() -> None:
    assert union([(5, 9), (1, 3), (3, 5), (20, 20), (30, 29)]) == ((1, 9),)


def test_an_array_serves_as_pairs_do() -> None:
    pairs = np.array([[4, 6], [1, 2], [5, 9]], dtype=np.int64)
    spans = union(pairs)
    assert spans == ((1, 2), (4, 9))
    assert all(type(time) is int for span in spans for time in span)


@pytest.mark.parametrize(
    ("first", "second", "both", "first_alone"),
    [
        (((0, 10),), ((2, 3), (5, 6)), ((2, 3), (5, 6)), ((0, 2), (3, 5), (6, 10))),
        (((0, 4), (6, 9)), ((2, 7),), ((2, 4), (6, 7)), ((0, 2), (7, 9))),
        (((3, 5),), ((0, 9),), ((3, 5),), ()),
        (((3, 5),), ((5, 9),), (), ((3, 5),)),
        (((3, 5),), (), (), ((3, 5),)),
    ],
)
def test_worked_spans(first: Spans, second: Spans, both: Spans, first_alone: Spans) -> None:
    assert intersect(first, second) == both
    assert subtract(first, second) == first_alone


def test_the_longest_is_the_earliest_of_equals() -> None:
    assert longest(((0, 1), (5, 8), (10, 13))) == (5, 8)
    assert longest(()) is None


def test_a_span_holds_its_start_and_not_its_end() -> None:
    assert [holds(((2, 4), (6, 7)), time) for time in range(8)] == [
        False,
        False,
        True,
        True,
        False,
        False,
        True,
        False,
    ]


@given(SPANS, SPANS)
def test_laws_of_sets(a: Spans, b: Spans) -> None:
    both = intersect(a, b)
    assert both == intersect(b, a)
    assert union([*both, *subtract(a, b)]) == a
    assert intersect(subtract(a, b), b) == ()
    assert measure(a) + measure(b) == measure(union([*a, *b])) + measure(both)
    assert subtract(a, ()) == a
    assert subtract(a, a) == ()


@given(PAIRS)
def test_a_union_is_canonical(pairs: list[tuple[int, int]]) -> None:
    spans = union(pairs)
    flat = [time for span in spans for time in span]
    assert flat == sorted(set(flat))
    assert union(spans) == spans
    assert union(reversed(pairs)) == spans
