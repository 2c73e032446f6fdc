"""Where a clip is damaged, as far as its packets tell without being decoded."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from annotate.clip.ordering import DisplayOrder, may_restart, stretches
from annotate.clip.packets import CORRUPT, PacketTable
from annotate.clip.ticks import floor_us
from annotate.clock import US_PER_S, short_time

MOST_SPANS = 200
_Int = NDArray[np.int64]
_CLOSE_US = 2 * US_PER_S
"""Damaged pictures nearer to each other than this are told as one stretch."""

_SILENT_S, _SILENT_STEPS = 1, 10
"""A picture that stays longer than both, in a clip of otherwise even steps, leaves a gap."""


@dataclass(frozen=True, slots=True)
class DamageSpan:
    """A stretch of a clip in which something is missing, unsound or joined.

    Attributes
    ----------
    start_us, end_us : int
        Clip time, microseconds; equal where it is a place and no stretch.
    words : str
        A sentence that says what and when.
    """

    start_us: int
    end_us: int
    words: str


def find_damage(
    table: PacketTable, order: DisplayOrder, container: str, time_base: Fraction
) -> tuple[DamageSpan, ...]:
    """Tell packets that are not whole, clocks that start again or jump, and missing pictures.

    At most `MOST_SPANS`, in order of time; what lies beyond is told by a last one.
    """
    times = floor_us(np.append(order.ticks, order.end_tick), time_base)
    spans = [
        *_unsound(table, order, times),
        *_jumps(table, order, times, container, time_base),
        *_gaps(order, times, time_base),
    ]
    spans.sort(key=lambda span: (span.start_us, span.end_us))
    if len(spans) <= MOST_SPANS:
        return tuple(spans)
    rest = spans[MOST_SPANS - 1 :]
    words = f"{len(rest)} more places are damaged from {short_time(rest[0].start_us)} on."
    last = DamageSpan(rest[0].start_us, max(span.end_us for span in rest), words)
    return (*spans[: MOST_SPANS - 1], last)


def _unsound(table: PacketTable, order: DisplayOrder, times: _Int) -> list[DamageSpan]:
    """Stretches of pictures whose packets the demuxer found incomplete."""
    numbers = np.flatnonzero((table.flags[order.ordinals] & CORRUPT) != 0)
    if not len(numbers):
        return []
    starts, ends = times[numbers], times[numbers + 1]
    cuts = np.flatnonzero(starts[1:] - ends[:-1] > _CLOSE_US) + 1
    spans = []
    for group in np.split(np.arange(len(numbers)), cuts):
        start, end = int(starts[group[0]]), int(ends[group[-1]])
        n = len(group)
        what = "one picture is" if n == 1 else f"{n} pictures are"
        words = f"Parts of the recording are missing at {short_time(start)}: {what} not whole."
        spans.append(DamageSpan(start, end, words))
    return spans


def _jumps(
    table: PacketTable, order: DisplayOrder, times: _Int, container: str, time_base: Fraction
) -> list[DamageSpan]:
    """Places at which the recorder's clock starts again or jumps ahead."""
    if order.is_decoded or not may_restart(container):
        return []
    stretch = stretches(table, True, time_base)[order.ordinals]
    pts = table.pts[order.ordinals]
    spans = []
    for at in np.flatnonzero(np.diff(stretch)) + 1:
        start = int(times[at])
        if pts[at] < pts[at - 1]:
            words = f"The recorder's clock starts again at {short_time(start)}."
        else:
            ahead_us = int((int(pts[at]) - int(pts[at - 1])) * time_base * US_PER_S)
            words = (
                f"The recorder's clock jumps ahead by {short_time(ahead_us)} at "
                f"{short_time(start)}: something may be missing there."
            )
        spans.append(DamageSpan(start, start, words))
    return spans


def _gaps(order: DisplayOrder, times: _Int, time_base: Fraction) -> list[DamageSpan]:
    """Stretches without a picture in a clip whose pictures otherwise follow evenly."""
    steps = np.diff(order.ticks)
    if len(steps) < _SILENT_STEPS or order.is_decoded:
        return []
    usual, most = np.quantile(steps, (0.5, 0.95))
    if most > 2 * usual:
        return []  # the rate varies by itself: a picture that stays long means nothing
    bound = max(float(_SILENT_S / time_base), _SILENT_STEPS * float(usual))
    spans = []
    for at in np.flatnonzero(steps > bound):
        start, end = int(times[at]), int(times[at + 1])
        words = (
            f"There is no picture for {(end - start) / US_PER_S:.1f} s from {short_time(start)} on."
        )
        spans.append(DamageSpan(start, end, words))
    return spans
