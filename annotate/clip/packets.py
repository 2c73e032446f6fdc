"""The packets of a clip's video stream, in the order of the file."""

from __future__ import annotations

import time
from array import array
from collections.abc import Callable, Iterator
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

COLUMNS = ("pts", "dts", "duration", "pos", "size", "flags")
_LOOK_EVERY_S = 0.05


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

    def first(self, n: int) -> PacketTable:
        """Give a table of the first `n` packets."""
        return PacketTable(*(getattr(self, name)[:n] for name in COLUMNS))

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


def row_of(packet: VideoPacket) -> tuple[int, int, int, int, int, int]:
    """What a table keeps of a packet, in the order of `COLUMNS`."""
    pts, dts, duration, pos = packet.pts, packet.dts, packet.duration, packet.pos
    return (
        UNKNOWN if pts is None else pts,
        UNKNOWN if dts is None else dts,
        UNKNOWN if duration is None else duration,
        UNKNOWN if pos is None else pos,
        packet.size,
        KEY * packet.is_keyframe + HIDDEN * packet.is_discard + CORRUPT * packet.is_corrupt,
    )


class PacketScan:
    """Demuxing a clip from its beginning to its end.

    Attributes
    ----------
    broke_off : bool
        True if the demuxer stopped on an error before the end of the file.
    """

    def __init__(self, clip: OpenedClip) -> None:
        self._clip = clip
        self._columns = [array("q") for _ in range(5)]
        self._flags = array("B")
        self.broke_off = False

    def run(
        self,
        progress: Progress = None,
        cancel: Cancel = None,
        peek: Callable[[VideoPacket], bool] | None = None,
        look: Callable[[], None] | None = None,
    ) -> None:
        """Read all packets.

        Parameters
        ----------
        peek : callable, optional
            Given each packet until it says that it has seen enough, by False.
        look : callable, optional
            Called now and then; may take the `table` that there is by then.

        Raises
        ------
        ReadingStopped
            If `cancel` asks for it.
        """
        due = time.monotonic() + _LOOK_EVERY_S
        file_bytes = max(1, self._clip.container.size)
        add = [column.append for column in (*self._columns, self._flags)]
        try:
            for packet in raw_packets(self._clip):
                stop_if(cancel)
                for append, value in zip(add, row_of(packet), strict=True):
                    append(value)
                if peek is not None and not peek(packet):
                    peek = None
                if time.monotonic() >= due:
                    if progress is not None and packet.pos:
                        progress(min(1.0, packet.pos / file_bytes))
                    if look is not None:
                        look()
                    due = time.monotonic() + _LOOK_EVERY_S
        except av.FFmpegError:
            self.broke_off = True

    def table(self) -> PacketTable:
        """All packets read so far."""
        pts, dts, duration, pos, size = (np.array(c, dtype=np.int64) for c in self._columns)
        return PacketTable(pts, dts, duration, pos, size, np.array(self._flags, dtype=np.uint8))


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
