"""Decoded pictures of a clip with their frame numbers, forward from any key packet."""

from __future__ import annotations

import os
from collections import deque
from pathlib import Path

import av
import numpy as np

from annotate.clip.index import ClipIndex
from annotate.clip.landing import PacketSource
from annotate.clip.packets import VideoPacket, marked
from annotate.clip.stopping import Cancel

_SLICED = {"mpeg2video", "mpeg1video"}
"""Encodings whose pictures come in many slices: threads share one picture, without delay."""

_MAY_SKIP = {"h264", "mpeg2video", "mpeg1video", "mpeg4", "hevc"}
"""Encodings in which pictures that nothing refers to can be left out and no other one changes."""

_MOST_THREADS = 4


class PictureDecoder:
    """A decoder that knows which frame each of its pictures is.

    Parameters
    ----------
    path : Path
    index : ClipIndex
    at_once : bool
        Whether a single picture is to come out soon, rather than many quickly.

    Attributes
    ----------
    start_ordinal : int
        Packet at which it began last.
    last_number : int
        Highest frame number that has come out since the last restart; -1 if none has.
    skipped_to : int
        Highest frame number whose packet was fed while pictures might be left out.
    began_late : bool
        True if the picture of the packet at which it began last did not come out first.
    has_failed : bool
        True once a packet could not be decoded.
    is_drained : bool
        True once the end of the file was reached and nothing is left: only a restart leads on.
    """

    def __init__(self, path: Path, index: ClipIndex, at_once: bool = False) -> None:
        self._index = index
        self._numbers = index.number_of_packet.data  # read faster than numpy's own scalars
        self._pts = index.packets.pts.data
        self._is_careful = at_once
        self.has_failed = False
        self.began_late = False
        self._source = PacketSource(path, index)
        self._context = self._open_context()
        self._has_times = not index.is_order_decoded
        self.start_ordinal = 0
        self.last_number = -1
        self.skipped_to = -1
        self._left: deque[av.VideoFrame] = deque()
        self._is_ending = False
        self.is_drained = False

    def close(self) -> None:
        """Let go of the file."""
        self._source.close()

    @property
    def next_ordinal(self) -> int:
        """Packet that is fed to the decoder next."""
        return self._source.next_ordinal

    @property
    def context(self) -> av.VideoCodecContext:
        """The codec, for what it knows of the stream."""
        return self._context

    def be_careful(self) -> None:
        """Decode without threads that run ahead: an error there takes whole pictures with it."""
        if not self._is_careful:
            self._is_careful = True
            self._source.reopen()
            self._context = self._open_context()

    def restart(self, key_ordinal: int, cancel: Cancel = None) -> None:
        """Begin again at a key packet."""
        self._source.go_to(key_ordinal, cancel)
        if self._context is not self._source.clip.stream.codec_context:
            self._context = self._open_context()
        self._context.flush_buffers()
        self.start_ordinal = key_ordinal
        self.last_number = self.skipped_to = -1
        self.began_late = False
        self._left.clear()
        self._is_ending = False
        self.is_drained = False

    def advance(self, skip_below: int = 0) -> list[tuple[int, av.VideoFrame]]:
        """Feed one packet and take what comes out: frame number and picture.

        Parameters
        ----------
        skip_below : int
            Frames below this number may be left out if nothing refers to them.
        """
        entry = None if self._is_ending else self._source.read()
        if entry is None:
            return self.drain()
        ordinal, packet = entry
        number = self._numbers[ordinal]
        may_skip = 0 <= number < skip_below
        if may_skip and self._can_skip:
            self.skipped_to = max(self.skipped_to, number)
        self._set_skipping(may_skip)
        return self._numbered(self._decode(packet))

    def drain(self) -> list[tuple[int, av.VideoFrame]]:
        """Take a picture that the decoder still holds; only a restart leads on from there."""
        if not self._is_ending:
            self._is_ending = True
            self._left.extend(self._decode(None))
        found = self._numbered([self._left.popleft()] if self._left else [])
        self.is_drained = not self._left
        return found

    def _open_context(self) -> av.VideoCodecContext:
        context = self._source.clip.stream.codec_context
        context.copy_opaque = True
        context.thread_type = "SLICE" if self._is_careful or context.name in _SLICED else "FRAME"
        context.thread_count = min(_MOST_THREADS, os.cpu_count() or 1)
        self._can_skip = context.name in _MAY_SKIP
        self._is_skipping = False
        return context

    def _set_skipping(self, wanted: bool) -> None:
        if self._can_skip and wanted != self._is_skipping:
            self._context.skip_frame = "NONREF" if wanted else "DEFAULT"
            self._is_skipping = wanted

    def _decode(self, packet: VideoPacket | None) -> list[av.VideoFrame]:
        try:
            return self._context.decode(packet)
        except av.FFmpegError:
            self.has_failed = True
            return []  # a damaged packet: its picture is missing, the next may be whole

    def _numbered(self, pictures: list[av.VideoFrame]) -> list[tuple[int, av.VideoFrame]]:
        if not pictures:
            return []
        numbered = [(self._number(picture), picture) for picture in pictures]
        found = [(number, picture) for number, picture in numbered if number >= 0]
        if found and self.last_number < 0:
            first = self._index.number_of_packet[self.start_ordinal]
            self.began_late = self.start_ordinal > 0 and found[0][0] > first >= 0
        self.last_number = max([self.last_number, *(number for number, _ in found)])
        return found

    def _number(self, picture: av.VideoFrame) -> int:
        """Frame number of a picture: by its packet, and by its time where the two disagree.

        A codec that shows a stored picture again hands the first packet's mark on with it.
        """
        ordinal, pts = marked(picture), picture.pts
        if self._has_times and pts is not None and (ordinal < 0 or self._pts[ordinal] != pts):
            found = np.flatnonzero(self._index.pts == pts)
            if len(found) == 1:
                return int(found[0])
        return self._numbers[ordinal] if ordinal >= 0 else -1
