"""The packets of a clip's video stream, in the order of the file."""

from __future__ import annotations

from array import array
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

import av
import numpy as np
from av.packet import Packet
from av.video.stream import VideoStream
from numpy.typing import NDArray

from annotate.clip.opening import OpenedClip
from annotate.clip.stopping import Cancel, Progress, stop_if

VideoPacket: TypeAlias = "Packet[VideoStream]"

UNKNOWN = int(np.iinfo(np.int64).min)
"""Stands where the file gives no time or place."""

KEY, HIDDEN, CORRUPT = 1, 2, 4
"""Flags: decoding may begin here; decoded but not shown (edit list); not whole."""

_PROGRESS_EVERY = 2048


@dataclass(frozen=True)
class PacketTable:
    """All packets of the video stream, one array element a packet, in file order.

    Attributes
    ----------
    pts, dts, duration : ndarray of int64, shape (n,)
        Ticks of the stream's time base; `UNKNOWN` where the file does not say.
    pos, size : ndarray of int64, shape (n,)
        Place and length in the file, bytes.
    flags : ndarray of uint8, shape (n,)
        Sum of `KEY`, `HIDDEN` and `CORRUPT`.
    """

    pts: NDArray[np.int64]
    dts: NDArray[np.int64]
    duration: NDArray[np.int64]
    pos: NDArray[np.int64]
    size: NDArray[np.int64]
    flags: NDArray[np.uint8]

    def __len__(self) -> int:
        return len(self.pts)

    @property
    def is_key(self) -> NDArray[np.bool_]:
        """Packets at which decoding may begin."""
        return np.asarray((self.flags & KEY) != 0)

    @property
    def is_hidden(self) -> NDArray[np.bool_]:
        """Packets that are decoded and never shown."""
        return np.asarray((self.flags & HIDDEN) != 0)


def raw_packets(clip: OpenedClip) -> Iterator[VideoPacket]:
    """Demux the video stream, without the empty packets that hold no picture of their own."""
    try:
        for packet in clip.container.demux(clip.stream):
            if packet.size:
                yield packet
    except IndexError:
        return  # PyAV 18 trips, at the end of the file, over a stream that began in mid-file


def scan_packets(
    clip: OpenedClip, progress: Progress = None, cancel: Cancel = None
) -> tuple[PacketTable, bool]:
    """Demux a clip from its beginning, decoding nothing.

    Returns
    -------
    PacketTable
    bool
        True if the demuxer stopped on an error before the end of the file.

    Raises
    ------
    ReadingStopped
        If `cancel` asks for it.
    """
    columns = [array("q") for _ in range(5)]
    flags = array("B")
    file_bytes = max(1, clip.container.size)
    broke_off = False
    try:
        for packet in raw_packets(clip):
            stop_if(cancel)
            row = (packet.pts, packet.dts, packet.duration, packet.pos, packet.size)
            for column, value in zip(columns, row, strict=True):
                column.append(UNKNOWN if value is None else int(value))
            flags.append(_flags(packet))
            if progress is not None and len(flags) % _PROGRESS_EVERY == 0 and packet.pos:
                progress(min(1.0, packet.pos / file_bytes))
    except av.FFmpegError:
        broke_off = True
    pts, dts, duration, pos, size = (np.array(column, dtype=np.int64) for column in columns)
    table = PacketTable(pts, dts, duration, pos, size, np.array(flags, dtype=np.uint8))
    return table, broke_off


def mark(packet: VideoPacket, ordinal: int) -> None:
    """Have the decoder hand a packet's ordinal on to the picture that comes of it.

    The mark is a new object each time: PyAV 18 files marks by their identity, and forgets one for
    all pictures that share it as soon as the first of them goes.
    """
    packet.opaque = (ordinal,)


def marked(picture: av.VideoFrame) -> int:
    """Ordinal of the packet that a picture came of; -1 where the codec did not hand it on."""
    found = picture.opaque
    return found[0] if isinstance(found, tuple) else -1


def _flags(packet: VideoPacket) -> int:
    return KEY * packet.is_keyframe + HIDDEN * packet.is_discard + CORRUPT * packet.is_corrupt
