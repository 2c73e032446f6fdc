"""In what order, and when, a clip's pictures are shown."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from annotate.clip.opening import OpenedClip, open_clip
from annotate.clip.packets import (
    HIDDEN,
    UNKNOWN,
    PacketTable,
    VideoPacket,
    mark,
    marked,
    raw_packets,
)
from annotate.clip.stopping import Cancel, stop_if

_REORDERING = {"h264", "hevc", "vc1", "vvc"}
_NO_CLOCK = {"avi", "h264", "hevc", "m4v", "mpegvideo", "vc1", "obu", "dv"}
"""Containers that number packets in coding order and carry no presentation times."""

_RESTARTING = {"mpegts", "mpeg", "asf", "wtv"}
"""Containers whose clock may start again in mid-file."""

_JUMP_BACK_S, _JUMP_ON_S = Fraction(1, 2), 10


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
    """

    ordinals: NDArray[np.int64]
    ticks: NDArray[np.int64]
    end_tick: int
    is_decoded: bool


def order_by_times(
    table: PacketTable, container: str, codec: str, time_base: Fraction
) -> DisplayOrder | None:
    """Order pictures by the presentation times of their packets.

    A clock that starts again cuts the clip into stretches, which are laid end to end.

    Returns
    -------
    DisplayOrder or None
        None where times are missing, repeated, or known to be in coding order only.
    """
    names = set(container.split(","))
    if names & _NO_CLOCK and (codec in _REORDERING or not names & {"avi", "dv"}):
        return None
    shown = np.flatnonzero(~table.is_hidden)
    if len(shown) == 0 or (table.pts[shown] == UNKNOWN).any():
        return None
    stretch = _stretches(table, bool(names & _RESTARTING), time_base)[shown]
    order = shown[np.lexsort((shown, table.pts[shown], stretch))]
    stretch = _stretches(table, bool(names & _RESTARTING), time_base)[order]
    pts = table.pts[order]
    if ((np.diff(pts) == 0) & (np.diff(stretch) == 0)).any():
        return None
    ticks = _end_to_end(pts, table.duration[order], stretch)
    return DisplayOrder(order, ticks, int(ticks[-1]) + _last_step(table, order, ticks), False)


def order_by_decoding(
    path: Path, table: PacketTable, frame_step: int, cancel: Cancel = None
) -> DisplayOrder | None:
    """Order pictures as a decoder gives them out, in one pass over the whole clip.

    Times are the pictures' own where they rise; otherwise the decoding times, in order; otherwise
    even steps of `frame_step` ticks.
    """
    ordinals = np.array(decoded_ordinals(path, table, 0, len(table), cancel), dtype=np.int64)
    if len(ordinals) == 0:
        return None
    pts, dts = table.pts[ordinals], np.sort(table.dts[ordinals])
    if not (pts == UNKNOWN).any() and (np.diff(pts) > 0).all():
        ticks = pts - pts[0]
    elif not (dts == UNKNOWN).any() and (np.diff(dts) > 0).all():
        ticks = dts - dts[0]
    elif not (pts == UNKNOWN).any():
        ticks = np.maximum.accumulate(pts) - pts[0]
    else:
        ticks = np.arange(len(ordinals), dtype=np.int64) * max(1, frame_step)
    step = _step_at(ticks, 0) if len(ticks) > 1 else max(1, frame_step)
    return DisplayOrder(ordinals, ticks, int(ticks[-1]) + step, True)


def without_undecodable(
    path: Path, table: PacketTable, order: DisplayOrder, is_cut_short: bool
) -> DisplayOrder:
    """Leave out pictures at either end that no decoder can give out.

    A recording cut in mid-stream begins with pictures that refer to lost ones, and may end in half
    a picture. They are tried, not guessed.
    """
    hidden: set[int] = set()
    keys = np.flatnonzero(table.is_key)
    first_key = int(keys[0]) if len(keys) else 0
    place = np.flatnonzero(order.ordinals == first_key)
    lead = order.ordinals[: int(place[0])] if len(place) else order.ordinals[:0]
    if len(lead):
        stop = int(keys[1]) + 1 if len(keys) > 1 else len(table)
        hidden |= set(lead.tolist()) - set(decoded_ordinals(path, table, 0, stop))
    if is_cut_short and len(keys):
        tail = int(keys[-2]) if len(keys) > 1 else 0
        with_tail = set(decoded_ordinals(path, table, tail, len(table)))
        hidden |= {n for n in order.ordinals.tolist() if n >= keys[-1]} - with_tail
    if not hidden or len(hidden) == len(order.ordinals):
        return order
    keep = ~np.isin(order.ordinals, np.array(sorted(hidden), dtype=np.int64))
    ordinals, ticks = order.ordinals[keep], order.ticks[keep]
    end = order.end_tick if keep[-1] else int(ticks[-1]) + _last_step(table, ordinals, ticks)
    return DisplayOrder(ordinals, ticks - ticks[0], end - int(ticks[0]), order.is_decoded)


def decoded_ordinals(
    path: Path, table: PacketTable, start: int, stop: int, cancel: Cancel = None
) -> list[int]:
    """Packet ordinals of the pictures that come out of decoding packets `start` to `stop`."""
    found: list[int] = []
    with open_clip(path) as clip:
        context = clip.stream.codec_context
        context.copy_opaque = True
        for ordinal, packet in enumerate(_whole_packets(clip)):
            stop_if(cancel)
            if ordinal >= stop:
                break
            if ordinal >= start:
                mark(packet, ordinal)
                found += _decoded(context, packet)
        if stop >= len(table):
            found += _decoded(context, None)
    return [n for n in dict.fromkeys(found) if not table.flags[n] & HIDDEN]


def _whole_packets(clip: OpenedClip) -> Iterator[VideoPacket]:
    try:
        yield from raw_packets(clip)
    except av.FFmpegError:
        return  # the file breaks off here


def _decoded(context: av.VideoCodecContext, packet: VideoPacket | None) -> list[int]:
    try:
        frames = context.decode(packet)
    except av.FFmpegError:
        return []
    return [ordinal for ordinal in map(marked, frames) if ordinal >= 0]


def _stretches(table: PacketTable, may_restart: bool, time_base: Fraction) -> NDArray[np.int64]:
    """Number of the stretch of unbroken clock that each packet belongs to."""
    stretch = np.zeros(len(table), dtype=np.int64)
    known = np.flatnonzero(table.dts != UNKNOWN)
    if not may_restart or len(known) < 2:
        return stretch
    step = np.diff(table.dts[known])
    cut = (step < -float(_JUMP_BACK_S / time_base)) | (step > float(_JUMP_ON_S / time_base))
    stretch[known[1:][cut]] = 1
    return np.cumsum(stretch)


def _end_to_end(
    pts: NDArray[np.int64], duration: NDArray[np.int64], stretch: NDArray[np.int64]
) -> NDArray[np.int64]:
    ticks: NDArray[np.int64] = pts - pts[0]
    for at in np.flatnonzero(np.diff(stretch)) + 1:
        before = ticks[at - 1] + _step_at(ticks[:at], int(duration[at - 1]))
        ticks[at:] += before - ticks[at]
    return ticks


def _last_step(table: PacketTable, order: NDArray[np.int64], ticks: NDArray[np.int64]) -> int:
    return _step_at(ticks, int(table.duration[order[-1]]))


def _step_at(ticks: NDArray[np.int64], duration: int) -> int:
    """How long a picture lasts: as it says itself, else as pictures here usually do."""
    if duration > 0:
        return duration
    steps = np.diff(ticks)
    steps = steps[steps > 0]
    return int(np.median(steps)) if len(steps) else 1
