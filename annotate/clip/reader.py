"""Exact frames of one clip, by number or by time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import TracebackType

import av
import numpy as np

from annotate.clip.cache import PictureCache
from annotate.clip.decoding import PictureDecoder
from annotate.clip.deinterlace import Deinterlacer, holds_fields, says_fields
from annotate.clip.frame import Frame
from annotate.clip.index import ClipIndex, build_index
from annotate.clip.stopping import Cancel, stop_if

CACHE_BYTES = 96 << 20
_FURTHER_BACK = (0, 1, 2, 4)
"""Keys before the nearest one from which a picture that does not come out is tried again."""

_MARGIN = 2
"""Keys added where a key packet is not whole by itself, as in streams that refresh by columns.

Such a stream says after how many pictures it is whole again, but is only nearly so by then.
"""

_STEPS_BACK = 32
"""A request at most this far before the last one is a step back: its neighbours are kept too."""


class ClipReader:
    """Frames of one clip, from any state to any frame. One reader lives in one thread.

    Parameters
    ----------
    path : Path or str
    index : ClipIndex, optional
        Made now if left out.
    cache_bytes : int
        Bound on the decoded pictures kept so that a step back is quick.

    Raises
    ------
    UserFacingError
        If the clip cannot be opened.
    """

    def __init__(
        self, path: Path | str, index: ClipIndex | None = None, cache_bytes: int = CACHE_BYTES
    ) -> None:
        self.path = Path(path)
        self.index = index if index is not None else build_index(self.path)
        self._decoder = PictureDecoder(self.path, self.index)
        self._cache = PictureCache(cache_bytes)
        self._missing: set[int] = set()
        self._last_asked = -1
        self._margin = 0
        self._gap = range(0)
        self._deinterlacer = Deinterlacer()
        self._fields_expected: bool | None = None

    def __enter__(self) -> ClipReader:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file and of the pictures kept; frames already given stay whole."""
        self._decoder.close()
        self._deinterlacer.close()
        self._cache.clear()

    def frame(self, number: int, cancel: Cancel = None) -> Frame:
        """Give exactly frame `number`.

        Where its packet is damaged, the nearest picture before it stands in.

        Raises
        ------
        IndexError
            If there is no such frame.
        ReadingStopped
            If `cancel` asks for it; checked at each packet.
        """
        time_us = self.index.time_of(number)
        picture = self._picture(number, cancel)
        self._last_asked = number
        if picture is not None:
            return Frame(number, time_us, self.index.shape, picture)
        return Frame(number, time_us, self.index.shape, self._stand_in(number, cancel), True)

    @property
    def is_interlaced(self) -> bool:
        """Whether pictures hold two moments, one in every other line; read from the stream."""
        if self._fields_expected is None:
            self._fields_expected = says_fields(self._decoder.context) or holds_fields(
                self.frame(0).picture, self.index.codec
            )
        return self._fields_expected

    def shown(self, number: int, cancel: Cancel = None, field: int | None = None) -> Frame:
        """Give frame `number` as it is shown: made whole where it is interlaced.

        Parameters
        ----------
        field : int, optional
            0 or 1 for the moment of its first or second field in time; the first if left out. A
            frame that is not interlaced has one moment, whichever is asked for.

        Raises
        ------
        IndexError
            If there is no such frame.
        ReadingStopped
            If `cancel` asks for it; checked at each packet.
        """
        if self._fields_expected and 0 < number < self.index.n_frames:
            self._picture(number - 1, cancel)  # first, so that one seek finds both
        frame = self.frame(number, cancel)
        if not holds_fields(frame.picture, self.index.codec):
            return frame
        self._fields_expected = True
        near = self._nothing if frame.is_stand_in else lambda n: self._neighbour(n, cancel)
        made = self._deinterlacer.shown(number, frame.picture, near, field or 0)
        return replace(frame, picture=made)

    def _neighbour(self, number: int, cancel: Cancel) -> av.VideoFrame | None:
        return self._picture(number, cancel) if 0 <= number < self.index.n_frames else None

    def _nothing(self, _number: int) -> None:
        """A picture that stands in for another has no neighbours."""

    def frame_at(self, time_us: int, cancel: Cancel = None) -> Frame:
        """Give the frame shown at a time; the first before the clip, the last after it."""
        return self.frame(self.index.number_at(time_us), cancel)

    def frames(self, start: int = 0, cancel: Cancel = None) -> Iterator[Frame]:
        """Give frame after frame from `start` to the end."""
        for number in range(start, self.index.n_frames):
            yield self.frame(number, cancel)

    def _picture(self, number: int, cancel: Cancel) -> av.VideoFrame | None:
        stop_if(cancel)
        kept = self._cache.find(number)
        if kept is not None or number in self._missing:
            return kept
        is_step_back = 0 < self._last_asked - number <= _STEPS_BACK
        skip_below = 0 if is_step_back else number
        if self._can_continue(number):
            found = self._decode_to(number, skip_below, cancel)
            if found is not None:
                return found
        for back in _FURTHER_BACK:
            self._decoder.restart(self._start_for(number, back), cancel)
            found = self._decode_to(number, skip_below, cancel)
            if self._decoder.began_late and not self._margin:
                self._margin = _MARGIN
                self._cache.clear()  # what came out may not be exact yet
                continue
            if found is not None:
                return found
            skip_below = 0
            if self._decoder.has_failed:
                self._decoder.be_careful()
        self._missing.update(self._gap)
        return None

    def _can_continue(self, number: int) -> bool:
        """Whether going on decoding leads to the frame sooner than a seek."""
        decoder = self._decoder
        if decoder.is_drained or decoder.last_number >= number:
            return False
        nearest = int(self.index.key_ordinals[self._key_before(number)])
        is_early_enough = decoder.start_ordinal <= self._start_for(number, 0)
        return is_early_enough and nearest <= decoder.next_ordinal

    def _key_before(self, number: int) -> int:
        """Which key packet, counted from 0, is the nearest that a frame can be decoded from.

        A key packet that is shown later than the frame does not serve it: pictures that lead into
        an open group need the group before.
        """
        keys, shown = self.index.key_ordinals, self.index.number_of_packet
        at = int(np.searchsorted(keys, self.index.ordinals[number], side="right")) - 1
        while at > 0 and shown[keys[at]] > number:
            at -= 1
        return max(0, at)

    def _start_for(self, number: int, back: int) -> int:
        """Packet to begin at for a frame, `back` keys before the nearest."""
        at = self._key_before(number) - back - self._margin
        return int(self.index.key_ordinals[at]) if at > 0 else 0

    def _decode_to(self, number: int, skip_below: int, cancel: Cancel) -> av.VideoFrame | None:
        """Decode on until the frame comes out; None if a later one comes or the file ends."""
        wanted: av.VideoFrame | None = None
        before = number - 1
        while not self._decoder.is_drained and self._decoder.last_number < number:
            stop_if(cancel)
            for found, picture in self._decoder.advance(skip_below):
                self._cache.keep(found, picture)
                wanted = picture if found == number else wanted
                before = found if found < number else before
        after = self._decoder.last_number
        self._gap = range(before + 1, after if after > number else self.index.n_frames)
        return wanted

    def _stand_in(self, number: int, cancel: Cancel) -> av.VideoFrame:
        """Nearest picture that can be decoded, earlier ones first."""
        before = range(number - 1, -1, -1)
        for other in (*before, *range(number + 1, self.index.n_frames)):
            picture = self._picture(other, cancel)
            if picture is not None:
                return picture
        raise AssertionError("an index holds at least one frame that can be decoded")
