"""What only decoding tells of the order of a clip's pictures.

Most clips need none of it: their times are trusted, and nothing here is run.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from annotate.clip.opening import OpenedClip, open_clip
from annotate.clip.ordering import DisplayOrder, step_at
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

_GROUPS_BEFORE, _GROUPS_AFTER = 1, 1


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
    step = step_at(ticks, 0) if len(ticks) > 1 else max(1, frame_step)
    is_shared = np.zeros(len(ordinals), dtype=bool)
    return DisplayOrder(ordinals, ticks, int(ticks[-1]) + step, True, is_shared)


def untangled(
    path: Path, table: PacketTable, order: DisplayOrder, cancel: Cancel = None
) -> DisplayOrder:
    """Put pictures that share one time into the order in which a decoder gives them out.

    Only the groups around them are decoded. Pictures that do not come out at all, such as a packet
    that was written twice, are left out.
    """
    ordinals = order.ordinals.copy()
    keep = np.ones(len(ordinals), dtype=bool)
    for first, last in _runs(order.is_shared):
        run = ordinals[first : last + 1]
        start, stop = _groups_around(table, int(run.min()), int(run.max()))
        came_out = decoded_ordinals(path, table, start, stop, cancel)
        place = {ordinal: at for at, ordinal in enumerate(came_out)}
        unknown = len(place)
        ordinals[first : last + 1] = sorted(run, key=lambda n: place.get(int(n), unknown))
        keep[first : last + 1] = [int(n) in place for n in ordinals[first : last + 1]]
    if not keep.any():
        return order
    return order.kept(ordinals, keep, table)


def undecodable_lead(
    path: Path, table: PacketTable, order: DisplayOrder, cancel: Cancel = None
) -> set[int]:
    """Packets shown before the first key packet that no decoder can give out.

    A recording cut in mid-stream begins with pictures that refer to lost ones. They are tried, not
    guessed.
    """
    keys = np.flatnonzero(table.is_key)
    first_key = int(keys[0]) if len(keys) else 0
    place = np.flatnonzero(order.ordinals == first_key)
    lead = order.ordinals[: int(place[0])] if len(place) else order.ordinals[:0]
    if not len(lead):
        return set()
    stop = int(keys[1]) + 1 if len(keys) > 1 else len(table)
    return set(lead.tolist()) - set(decoded_ordinals(path, table, 0, stop, cancel))


def undecodable_tail(
    path: Path, table: PacketTable, order: DisplayOrder, cancel: Cancel = None
) -> set[int]:
    """Packets of the last group that no decoder can give out, as where a file breaks off."""
    keys = np.flatnonzero(table.is_key)
    if not len(keys):
        return set()
    start = int(keys[-2]) if len(keys) > 1 else 0
    came_out = set(decoded_ordinals(path, table, start, len(table), cancel))
    return {n for n in order.ordinals.tolist() if n >= keys[-1]} - came_out


def without(order: DisplayOrder, hidden: set[int], table: PacketTable) -> DisplayOrder:
    """Leave pictures out, unless nothing would be left."""
    if not hidden or len(hidden) >= len(order.ordinals):
        return order
    keep = ~np.isin(order.ordinals, np.array(sorted(hidden), dtype=np.int64))
    return order.kept(order.ordinals, keep, table)


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


def _runs(is_shared: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last place of each run of pictures that share a time with the one before."""
    edges = np.diff(np.concatenate([[False], is_shared, [False]]).astype(np.int8))
    starts, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    return [(int(a) - 1, int(b) - 1) for a, b in zip(starts, ends, strict=True)]


def _groups_around(table: PacketTable, first: int, last: int) -> tuple[int, int]:
    """Packets to decode, start and stop, so that those from `first` to `last` come out in order."""
    keys = np.flatnonzero(table.is_key)
    before = int(np.searchsorted(keys, first, side="right")) - 1 - _GROUPS_BEFORE
    after = int(np.searchsorted(keys, last, side="right")) + _GROUPS_AFTER
    start = int(keys[before]) if before > 0 else 0
    return start, int(keys[after]) if after < len(keys) else len(table)
