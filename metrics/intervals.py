"""Half-open spans of case time: union, intersection, difference, measure.

A span is a pair ``(start_us, end_us)`` that holds every time from its start up to, but not at,
its end. A `Spans` is the canonical form: in order, disjoint, none empty, none touching the next.
Pairs whose end does not lie after their start hold no time and are dropped. An int64 array of
shape (n, 2) serves wherever pairs do.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from typing import cast

import numpy as np
from numpy.typing import NDArray

Span = tuple[int, int]
Spans = tuple[Span, ...]
Pairs = Iterable[Span] | NDArray[np.int64]


def union(pairs: Pairs) -> Spans:
    """Merge pairs, in any order and overlapping as they may, into canonical spans.

    Spans that touch become one.
    """
    merged: list[list[int]] = []
    for start, end in sorted((int(start), int(end)) for start, end in pairs):
        if end <= start:
            continue
        if merged and start <= merged[-1][1]:
            merged[-1][1] = max(merged[-1][1], end)
        else:
            merged.append([start, end])
    return tuple(cast("Span", tuple(span)) for span in merged)


def intersect(first: Spans, second: Spans) -> Spans:
    """Keep the time that lies in both of two canonical sets of spans."""
    found: list[Span] = []
    i = j = 0
    while i < len(first) and j < len(second):
        start = max(first[i][0], second[j][0])
        end = min(first[i][1], second[j][1])
        if start < end:
            found.append((start, end))
        if first[i][1] < second[j][1]:
            i += 1
        else:
            j += 1
    return tuple(found)


def subtract(first: Spans, second: Spans) -> Spans:
    """Keep the time of `first` that does not lie in `second`, both canonical."""
    left: list[Span] = []
    j = bisect_right(second, first[0][0], key=_end) if first else 0
    for start, end in first:
        while j < len(second) and second[j][1] <= start:
            j += 1
        k = j
        while k < len(second) and second[k][0] < end:
            if start < second[k][0]:
                left.append((start, second[k][0]))
            start = max(start, second[k][1])
            k += 1
        if start < end:
            left.append((start, end))
    return tuple(left)


def measure(spans: Spans) -> int:
    """Length of canonical spans together, microseconds."""
    return sum(end - start for start, end in spans)


def longest(spans: Spans) -> Span | None:
    """Longest of canonical spans, the earliest of several; None where there is none."""
    return max(spans, key=lambda span: span[1] - span[0], default=None)


def holds(spans: Spans, time_us: int) -> bool:
    """Whether a moment lies in canonical spans."""
    before = bisect_right(spans, time_us, key=lambda span: span[0])
    return before > 0 and time_us < spans[before - 1][1]


def _end(span: Span) -> int:
    return span[1]
