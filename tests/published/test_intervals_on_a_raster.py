"""Interval arithmetic against NumPy: one boolean a microsecond, an independent route."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from metrics.intervals import Spans, holds, intersect, longest, measure, subtract, union

LENGTH = 64
PAIRS = st.lists(st.tuples(st.integers(0, LENGTH), st.integers(0, LENGTH)), max_size=12)


def raster(pairs: list[tuple[int, int]] | Spans) -> NDArray[np.bool_]:
    cells = np.zeros(LENGTH, dtype=bool)
    for start, end in pairs:
        cells[start:end] = True
    return cells


def runs(cells: NDArray[np.bool_]) -> Spans:
    edges = np.flatnonzero(np.diff(np.r_[False, cells, False].astype(np.int8)))
    return tuple((int(a), int(b)) for a, b in edges.reshape(-1, 2))


@given(PAIRS, PAIRS)
def test_spans_agree_with_a_raster(
    first: list[tuple[int, int]], second: list[tuple[int, int]]
) -> None:
    a, b = union(first), union(second)
    cells_a, cells_b = raster(first), raster(second)
    assert a == runs(cells_a)
    assert intersect(a, b) == runs(cells_a & cells_b)
    assert subtract(a, b) == runs(cells_a & ~cells_b)
    assert measure(a) == int(np.count_nonzero(cells_a))
    assert [holds(a, time) for time in range(LENGTH)] == cells_a.tolist()
    lengths = [end - start for start, end in runs(cells_a)]
    found = longest(a)
    assert (found[1] - found[0] if found else 0) == max(lengths, default=0)
