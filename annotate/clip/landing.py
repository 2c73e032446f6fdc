"""Reading packets from a key packet on, each known by its ordinal in the index.

Where a demuxer lands after a seek differs from one kind of file to the next, and in some it lands
late. So every landing is verified: the packets read are matched with the index by place and size.
"""

from __future__ import annotations

from collections import deque
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from annotate.clip.index import ClipIndex
from annotate.clip.opening import OpenedClip, open_clip
from annotate.clip.packets import UNKNOWN, VideoPacket, mark, raw_packets
from annotate.clip.stopping import Cancel, stop_if

_RULES = {
    "mpegts": ("dts", "pts"),
    "mpeg": ("place", "dts"),
    "asf": ("place", "pts"),
    "avi": ("dts", "pts", "before"),
}
_USUAL_RULES = ("pts", "dts")
_BACK = (0, 1, 3)
"""How many keys further back a late landing is tried again."""

_MOST_READ_TO_MATCH = 24


class PacketSource:
    """Packets of one clip with their ordinals, from any key packet on.

    Attributes
    ----------
    next_ordinal : int
        Ordinal of the packet that `read` gives next.
    """

    def __init__(self, path: Path, index: ClipIndex) -> None:
        self._path, self._index = path, index
        # Read one by one: faster than numpy's own scalars.
        self._pts, self._dts = index.packets.pts.data, index.packets.dts.data
        rules = _RULES.get(index.container, _USUAL_RULES)
        self._attempts = [(rule, back) for back in _BACK for rule in rules]
        self.next_ordinal = 0
        self.clip: OpenedClip = open_clip(path)
        self._packets = raw_packets(self.clip)
        self._held: deque[VideoPacket] = deque()

    def close(self) -> None:
        """Let go of the file."""
        self.clip.close()

    def reopen(self) -> None:
        """Read from the beginning: slow, and right in every file."""
        self.clip.close()
        self.clip = open_clip(self._path)
        self._packets = raw_packets(self.clip)
        self._held.clear()
        self.next_ordinal = 0

    def read(self) -> tuple[int, VideoPacket] | None:
        """Read the next packet with its ordinal; None at the end of the file."""
        packet = self._raw()
        if packet is None or self.next_ordinal >= len(self._pts):
            return None
        ordinal = self.next_ordinal
        self.next_ordinal += 1
        # The times of the scan, not those that the demuxer guesses after a seek.
        pts, dts = self._pts[ordinal], self._dts[ordinal]
        packet.pts = None if pts == UNKNOWN else pts
        packet.dts = None if dts == UNKNOWN else dts
        mark(packet, ordinal)
        return ordinal, packet

    def go_to(self, key_ordinal: int, cancel: Cancel = None) -> None:
        """Make `read` give packet `key_ordinal` next.

        Raises
        ------
        ReadingStopped
            If `cancel` asks for it.
        """
        if self.next_ordinal == key_ordinal:
            return
        if not self._seek(key_ordinal, cancel):
            self.reopen()
        while self.next_ordinal < key_ordinal and self._raw() is not None:
            stop_if(cancel)
            self.next_ordinal += 1

    def _seek(self, key_ordinal: int, cancel: Cancel) -> bool:
        keys = self._index.key_ordinals
        at = int(np.searchsorted(keys, key_ordinal, side="right")) - 1
        for attempt in list(self._attempts):
            stop_if(cancel)
            rule, back = attempt
            aim = int(keys[max(0, at - back)])
            if self._land(rule, aim) and self.next_ordinal <= key_ordinal:
                self._attempts.remove(attempt)
                self._attempts.insert(0, attempt)
                return True
        return False

    def _land(self, rule: str, aim: int) -> bool:
        """Seek by one rule and find out where that led; False if that stays unknown."""
        offset = self._offset(rule, aim)
        if offset is None:
            return False
        by_place = rule in {"place", "before"}
        try:
            self.clip.container.seek(
                offset, stream=self.clip.stream, unsupported_byte_offset=by_place
            )
        except (av.FFmpegError, OverflowError):
            return False
        self._packets = raw_packets(self.clip)
        self._held.clear()
        return self._recognise()

    def _offset(self, rule: str, aim: int) -> int | None:
        table = self._index.packets
        if rule == "pts":
            value = int(table.pts[aim])
        elif rule == "dts":
            value = int(table.dts[aim])
        elif rule == "place":
            value = int(table.pos[max(0, aim - 1)])
        else:
            value = max(0, int(table.pos[aim]) - 8)
        return None if value == UNKNOWN else value

    def _recognise(self) -> bool:
        """Match the packets that come now with the index until only one place is left."""
        held: list[VideoPacket] = []
        places = np.empty(0, dtype=np.int64)
        for _ in range(_MOST_READ_TO_MATCH):
            packet = self._raw()
            if packet is None:
                return False
            if len(places):
                following = np.intersect1d(places + len(held), self._places(packet))
                places = following - len(held)
            held.append(packet)
            if not len(places):
                held, places = [packet], self._places(packet)
            if len(places) == 1:
                self._held.extend(held)
                self.next_ordinal = int(places[0])
                return True
        return False

    def _places(self, packet: VideoPacket) -> NDArray[np.intp]:
        """Ordinals of the packets in the index that look like this one."""
        table = self._index.packets
        same = table.size == packet.size
        if packet.pos is not None and packet.pos >= 0:
            same &= table.pos == packet.pos
        found = np.flatnonzero(same)
        if len(found) > 1 and packet.dts is not None:
            exact = found[table.dts[found] == packet.dts]
            found = exact if len(exact) else found
        return found

    def _raw(self) -> VideoPacket | None:
        if self._held:
            return self._held.popleft()
        try:
            return next(self._packets, None)
        except av.FFmpegError:
            return None
