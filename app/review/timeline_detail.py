"""How much of a case can be told apart at a zoom: pixels bound the work, not rows.

Spans narrower than a few pixels become columns of pixels; instants that fall together become one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.review.timeline_index import Times, Weighed, Whole

WIDE_PX = 3.0
"""A span at least so wide is drawn by itself, with its hatch."""
TOGETHER_PX = 10.0
"""Instants of one leaning within so much are drawn as one: as wide as a pin is."""
_COMMENT_ROW_PX, _MOST_COMMENT_ROWS = 15.0, 4


@dataclass(frozen=True, slots=True, eq=False)
class Scale:
    """A stretch of case time across pixels."""

    start_us: float
    us_per_px: float
    width_px: int

    @property
    def end_us(self) -> float:
        """Case time at the right edge."""
        return self.start_us + self.us_per_px * self.width_px

    def x(self, times_us: Whole) -> NDArray[np.float64]:
        """Where case times lie, pixels from the left edge."""
        return np.asarray((times_us - self.start_us) / self.us_per_px, np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class SpanDetail:
    """Spans in sight.

    Attributes
    ----------
    wide : (n,) int64
        Places of those drawn one by one; at most a third as many as there are pixels, where
        spans of the kind do not overlap.
    left, right : (n,) float64
        Their edges, pixels, cut off a little outside of what is seen.
    columns : (width,) int64
        For each column of pixels, the place of the longest narrow span in it, or -1.
    """

    wide: Whole
    left: NDArray[np.float64]
    right: NDArray[np.float64]
    columns: Whole


def span_detail(times: Times, scale: Scale) -> SpanDetail:
    """Choose how spans of one kind are drawn."""
    seen = times.seen(scale.start_us, scale.end_us)
    left, right = scale.x(times.starts[seen]), scale.x(times.ends[seen])
    is_wide = right - left >= WIDE_PX
    columns = np.full(scale.width_px, -1, np.int64)
    narrow = np.flatnonzero(~is_wide)
    if narrow.size:
        narrow = narrow[np.argsort(right[narrow] - left[narrow], kind="stable")]
        first = np.floor(left[narrow]).astype(np.int64)
        last = np.maximum(np.round(right[narrow]).astype(np.int64), first + 1)
        longest = np.full(scale.width_px, -1, np.int64)  # of each column, by order of length
        for step in range(int(WIDE_PX) + 1):
            spot = first + step
            fits = np.flatnonzero((spot < last) & (spot >= 0) & (spot < scale.width_px))
            np.maximum.at(longest, spot[fits], fits)
        columns = np.where(longest >= 0, seen[narrow[longest]], -1)
    return SpanDetail(
        seen[is_wide],
        np.maximum(left[is_wide], -4.0),
        np.minimum(right[is_wide], scale.width_px + 4.0),
        columns,
    )


@dataclass(frozen=True, slots=True, eq=False)
class Pins:
    """Instants of one leaning in sight; those that fall together are one.

    Attributes
    ----------
    x : (n,) float64
        Pixels; of several the middle.
    places, counts, weights : (n,) int64
        The first of each, how many there are, and the greatest weight among them.
    """

    x: NDArray[np.float64]
    places: Whole
    counts: Whole
    weights: Whole


def pins(rows: Weighed, leaning: int, scale: Scale, together_px: float = TOGETHER_PX) -> Pins:
    """Gather the instants of one leaning.

    The stretches that are gathered stand still on the case, so nothing flickers while panning.
    """
    over_us = (16 + together_px) * scale.us_per_px
    seen = rows.times.seen(scale.start_us - over_us, scale.end_us + over_us)
    seen = seen[rows.leanings[seen] == leaning]
    if not seen.size:
        return Pins(np.empty(0), seen, seen, seen)
    starts = rows.times.starts[seen]
    bucket = np.floor_divide(starts, _stretch_us(scale, together_px))
    first = np.concatenate(([0], np.flatnonzero(np.diff(bucket)) + 1))
    counts = np.diff(np.append(first, len(seen)))
    weights = np.maximum.reduceat(rows.weights[seen], first)
    last = np.append(first[1:], len(seen)) - 1
    middle = scale.x(starts[first] + (starts[last] - starts[first]) // 2)
    return Pins(middle, seen[first], counts, weights)


def _stretch_us(scale: Scale, together_px: float) -> float:
    return max(together_px * scale.us_per_px, 1.0)


def gathered(rows: Weighed, place: int, scale: Scale, together_px: float = TOGETHER_PX) -> Whole:
    """Places of all that are drawn as one pin with the instant at a place, in order of time."""
    stretch_us = _stretch_us(scale, together_px)
    bucket = np.floor_divide(rows.times.starts[place], stretch_us)
    low, high = bucket * stretch_us, (bucket + 1) * stretch_us
    near = rows.times.seen(low - 1, high + 1)
    is_with = np.floor_divide(rows.times.starts[near], stretch_us) == bucket
    return near[is_with & (rows.leanings[near] == rows.leanings[place])]


def comment_row(place: int, height_px: float) -> tuple[float, float]:
    """From where to where a comment has its row in a lane of some height, by its place."""
    n_rows = n_comment_rows(height_px)
    row_px = height_px / n_rows
    return place % n_rows * row_px, row_px


def n_comment_rows(height_px: float) -> int:
    """How many rows of words a lane of comments has; comments take turns in them."""
    return min(max(int(height_px // _COMMENT_ROW_PX), 1), _MOST_COMMENT_ROWS)


def thinned(times: Times, scale: Scale) -> Whole:
    """Places of the rows in sight, of several that begin in one pixel the longest."""
    seen = times.seen(scale.start_us, scale.end_us)
    if seen.size <= scale.width_px:
        return seen
    column = np.floor_divide(times.starts[seen], max(scale.us_per_px, 1.0)).astype(np.int64)
    order = np.lexsort((times.starts[seen] - times.ends[seen], column))
    is_first = np.concatenate(([True], np.diff(column[order]) > 0))
    return np.sort(seen[order[is_first]])
