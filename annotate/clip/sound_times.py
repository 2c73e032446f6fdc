"""From the times in a file to the times of its clip, for sound beside the picture."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from annotate.clip.index import ClipIndex
from annotate.clip.packets import UNKNOWN
from annotate.clock import US_PER_S

RATE_HZ = 48_000
"""Sound is given out at this rate, whatever rate it was recorded at."""

_RESTARTING = {"mpegts", "mpeg", "asf", "wtv"}
"""Containers whose clock may start again in mid-file; they also say where a packet lies."""

_JUMP_S = Fraction(1, 2)
_MARGIN_S = 1.0


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A stretch of unbroken clock: where it begins in the file, and its place in the clip."""

    first_byte: int
    shift_s: Fraction
    start_s: float
    end_s: float


class ClipTimes:
    """Where a time stamp of a clip's file lies on the clip's own clock.

    Time 0 of a clip is its first shown frame, so the file's own offset between sound and picture
    is kept as it is. Where the file's clock starts again, so does the offset.

    Parameters
    ----------
    index : ClipIndex
        Of the clip; its clock is the one meant.
    """

    def __init__(self, index: ClipIndex) -> None:
        self._stretches = _stretches_of(index)
        self._may_restart = len(self._stretches) > 1
        self._index = index

    @property
    def seeks_by_place(self) -> bool:
        """Whether a place in the file leads to a time more surely than a time stamp does."""
        names = set(self._index.container.split(","))
        return bool(names & _RESTARTING) and bool((self._index.packets.pos >= 0).any())

    def to_clip(self, file_s: Fraction, byte: int | None) -> Fraction:
        """Clip time, in seconds, of a time stamp that lies at a place in the file."""
        if not self._may_restart:
            return file_s + self._stretches[0].shift_s
        firsts = [stretch.first_byte for stretch in self._stretches]
        at = max(0, int(np.searchsorted(firsts, byte or 0, side="right")) - 1)
        # Sound lies a little before or behind its picture in the file: at a break in the clock,
        # the neighbouring stretch may be the one that fits.
        near = self._stretches[max(0, at - 1) : at + 2]
        ranked = sorted(near, key=lambda s: (_distance(s, file_s), s is not self._stretches[at]))
        return file_s + ranked[0].shift_s

    def to_file(self, clip_s: Fraction) -> Fraction:
        """Time stamp in the file at a clip time, seconds."""
        at = [stretch for stretch in self._stretches if stretch.start_s <= clip_s]
        return clip_s - (at[-1] if at else self._stretches[0]).shift_s

    def place_before(self, clip_s: Fraction) -> int:
        """Byte at which a picture lies that is shown at or before a clip time."""
        index = self._index
        number = index.number_at(max(0, int(clip_s * US_PER_S)))
        if clip_s <= 0:
            return 0
        return max(0, int(index.packets.pos[index.ordinals[number]]))


def to_position(clip_s: Fraction) -> int:
    """Sample at a clip time: the nearest one."""
    return round(clip_s * RATE_HZ)


def to_us(position: float) -> int:
    """Time of a sample, microseconds."""
    return round(position * US_PER_S / RATE_HZ)


def _distance(stretch: _Stretch, file_s: Fraction) -> float:
    clip_s = float(file_s + stretch.shift_s)
    return max(0.0, stretch.start_s - _MARGIN_S - clip_s, clip_s - stretch.end_s - _MARGIN_S)


def _stretches_of(index: ClipIndex) -> list[_Stretch]:
    base, end_s = index.time_base, index.duration_us / US_PER_S
    if not set(index.container.split(",")) & _RESTARTING or (index.pts == UNKNOWN).any():
        shift = -_first_tick(index) * base
        return [_Stretch(0, shift, 0.0, end_s)]
    shifts = index.ticks - index.pts
    breaks = np.flatnonzero(np.abs(np.diff(shifts)) > float(_JUMP_S / base)) + 1
    firsts = [0, *(int(n) for n in breaks)]
    starts = [float(index.ticks[n] * base) for n in firsts]
    return [
        _Stretch(
            int(index.packets.pos[index.ordinals[n]]) if n else 0,
            int(shifts[n]) * base, start, until,
        )
        for n, start, until in zip(firsts, starts, [*starts[1:], end_s], strict=True)
    ]  # fmt: skip


def _first_tick(index: ClipIndex) -> int:
    """Time stamp of the first shown frame, ticks."""
    first = int(index.pts[0])
    is_in_coding_order = index.is_order_decoded and "avi" in index.container.split(",")
    if first != UNKNOWN and not is_in_coding_order:
        return first
    # Files whose times are in coding order: the clip begins with the first of them.
    known = index.packets.dts[index.ordinals]
    known = known[known != UNKNOWN]
    if len(known):
        return int(known.min())
    return 0 if first == UNKNOWN else first
