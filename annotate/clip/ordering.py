"""In what order, and when, a clip's pictures are shown."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from annotate.clip.packets import UNKNOWN, PacketTable

_REORDERING = {"h264", "hevc", "vc1", "vvc"}
_NO_CLOCK = {"avi", "h264", "hevc", "m4v", "mpegvideo", "vc1", "obu", "dv"}
"""Containers that number packets in coding order and carry no presentation times."""

_RESTARTING = {"mpegts", "mpeg", "asf", "wtv"}
"""Containers whose clock may start again in mid-file."""

_JUMP_BACK_S, _JUMP_ON_S = Fraction(1, 2), 10
_MOST_SHARED = 64
"""Where more pictures share a time with another one, the whole clip is decoded for its order."""


@dataclass(frozen=True)
class DisplayOrder:
    """The shown pictures of a clip.

    Attributes
    ----------
    ordinals : ndarray of int64, shape (n,)
        Packet of each shown picture, in the order of showing.
    ticks : ndarray of int64, shape (n,)
        When each is shown, ticks from the first one; never falling.
    end_tick : int
        When the last one ends.
    is_decoded : bool
        True if the times in the file could not be trusted and a decoding pass gave the order.
    is_shared : ndarray of bool, shape (n,)
        Pictures that share the time of the one before them.
    """

    ordinals: NDArray[np.int64]
    ticks: NDArray[np.int64]
    end_tick: int
    is_decoded: bool
    is_shared: NDArray[np.bool_]

    def kept(
        self, ordinals: NDArray[np.int64], keep: NDArray[np.bool_], table: PacketTable
    ) -> DisplayOrder:
        """Give the same times with these packets, and only those that are kept."""
        ordinals, ticks = ordinals[keep], self.ticks[keep]
        step = step_at(ticks, int(table.duration[ordinals[-1]]))
        end = self.end_tick if keep[-1] else int(ticks[-1]) + step
        start = int(ticks[0])
        return replace(
            self, ordinals=ordinals, ticks=ticks - start, end_tick=end - start,
            is_shared=self.is_shared[keep],
        )  # fmt: skip


def order_by_times(
    table: PacketTable, container: str, codec: str, time_base: Fraction
) -> DisplayOrder | None:
    """Order pictures by the presentation times of their packets.

    A clock that starts again cuts the clip into stretches, which are laid end to end.

    Returns
    -------
    DisplayOrder or None
        None where times are missing, known to be in coding order only, or often shared. Where a few
        are shared, `is_shared` says which, and only decoding tells their order.
    """
    names = set(container.split(","))
    if names & _NO_CLOCK and (codec in _REORDERING or not names & {"avi", "dv"}):
        return None
    shown = np.flatnonzero(~table.is_hidden)
    if len(shown) == 0 or (table.pts[shown] == UNKNOWN).any():
        return None
    stretch = stretches(table, may_restart(container), time_base)
    order = shown[np.lexsort((shown, table.pts[shown], stretch[shown]))]
    pts, stretch = table.pts[order], stretch[order]
    is_shared = np.zeros(len(order), dtype=bool)
    is_shared[1:] = (np.diff(pts) == 0) & (np.diff(stretch) == 0)
    if is_shared.sum() > min(_MOST_SHARED, len(order) / 8):
        return None
    ticks = _end_to_end(pts, table.duration[order], stretch)
    end = int(ticks[-1]) + step_at(ticks, int(table.duration[order[-1]]))
    return DisplayOrder(order, ticks, end, False, is_shared)


def may_restart(container: str) -> bool:
    """Whether the clock of such a file may start again in its middle."""
    return bool(set(container.split(",")) & _RESTARTING)


def stretches(table: PacketTable, is_cut: bool, time_base: Fraction) -> NDArray[np.int64]:
    """Number of the stretch of unbroken clock that each packet belongs to."""
    stretch = np.zeros(len(table), dtype=np.int64)
    known = np.flatnonzero(table.dts != UNKNOWN)
    if not is_cut or len(known) < 2:
        return stretch
    step = np.diff(table.dts[known])
    cut = (step < -float(_JUMP_BACK_S / time_base)) | (step > float(_JUMP_ON_S / time_base))
    cut |= (step < 0) & table.is_key[known[1:]]  # however little it falls, a new stream begins
    stretch[known[1:][cut]] = 1
    return np.cumsum(stretch)


def _end_to_end(
    pts: NDArray[np.int64], duration: NDArray[np.int64], stretch: NDArray[np.int64]
) -> NDArray[np.int64]:
    ticks: NDArray[np.int64] = pts - pts[0]
    for at in np.flatnonzero(np.diff(stretch)) + 1:
        before = ticks[at - 1] + step_at(ticks[:at], int(duration[at - 1]))
        ticks[at:] += before - ticks[at]
    return ticks


def step_at(ticks: NDArray[np.int64], duration: int) -> int:
    """How long a picture lasts: as it says itself, else as pictures here usually do."""
    if duration > 0:
        return duration
    steps = np.diff(ticks)
    steps = steps[steps > 0]
    return int(np.median(steps)) if len(steps) else 1
