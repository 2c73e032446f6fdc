"""Exact frames of one clip, by number or by time."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import av

from annotate.clip.cache_bounds import CACHE_BYTES, OF_FIELDS, cache_within
from annotate.clip.deinterlace import Deinterlacer, holds_fields
from annotate.clip.frame import Frame
from annotate.clip.index import ClipIndex, build_index
from annotate.clip.keys import KeyPictures
from annotate.clip.lasting import picture_bytes
from annotate.clip.reading_ahead import frames_ahead
from annotate.clip.seeking import PictureSeeker
from annotate.clip.standing_in import StandIns
from annotate.clip.stopping import Cancel, stop_if
from annotate.closing import Closing

_STEPS_BACK = 32
"""A request at most this far before the last one is a step back: its neighbours are kept too."""

_WAIT_S = 0.01
"""How often a wait for the filling thread looks whether it is called off."""


class ClipReader(Closing):
    """Frames of one clip, from any state to any frame.

    One reader lives in one thread, but for `fill`, `focus` and `is_at_hand`: `fill` may run in one
    other thread, with a decoder of its own, and fills the same cache.

    Parameters
    ----------
    path : Path or str
    index : ClipIndex, optional
        Made now if left out.
    cache_bytes : int
        Bound on the memory of all decoded pictures, those kept so that a step back is quick and
        the decoders' own; of the former a few stay where the latter need it all.

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
        self._cache = cache_within(cache_bytes)
        self._seeker = PictureSeeker(self.path, self.index, self._cache, "reading")
        self._stand_ins = StandIns(self.path, self.index, self._seeker)
        self._keys = KeyPictures(self.path, self.index, self._cache)
        self._deinterlacer = Deinterlacer()
        self._fields_expected: bool | None = None
        self._filler: PictureSeeker | None = None
        self._filling = threading.Lock()
        self._filled = range(0)
        self._last_asked = -1

    def close(self) -> None:
        """Let go of the file and of the pictures kept; frames already given stay whole.

        Waits for `fill` to end: call it off first.
        """
        with self._filling:
            if self._filler is not None:
                self._filler.close()
                self._filler = None
        self._deinterlacer.close()
        self._keys.close()
        self._seeker.close()
        self._cache.clear()

    def frame(self, number: int, cancel: Cancel = None) -> Frame:
        """Give exactly frame `number`.

        Where its packet is damaged, the nearest picture before it stands in.

        Raises
        ------
        IndexError
            If there is no such frame.
        UserFacingError
            If it is damaged and nothing near it can be decoded either.
        ReadingStopped
            If `cancel` asks for it; checked at each packet.
        """
        time_us = self.index.time_of(number)
        stop_if(cancel)
        steps_back = self._last_asked - number
        if 0 < abs(steps_back) <= _STEPS_BACK:
            self._cache.focus(number, -1 if steps_back > 0 else 1)
        elif steps_back:
            self._cache.focus(number, 0)
        picture = self._picture(number, 0 < steps_back <= _STEPS_BACK, cancel)
        self._last_asked = number
        if picture is not None:
            return Frame(number, time_us, self.index.shape, picture)
        stand_in = self._stand_ins.find(number, cancel)
        return Frame(number, time_us, self.index.shape, stand_in, True)

    @property
    def is_interlaced(self) -> bool:
        """Whether pictures hold two moments, one in every other line, as the first one says."""
        if self._fields_expected is None:
            self._fields_expected = holds_fields(self.frame(0).picture, self.index.codec)
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
        As `frame`.
        """
        if self._fields_expected and not self._deinterlacer.holds(number):
            self._neighbour(number - 1, cancel)  # first, so that one seek finds both
        frame = self.frame(number, cancel)
        if not holds_fields(frame.picture, self.index.codec):
            return frame
        self._fields_expected = True
        self.set_aside("fields", OF_FIELDS * picture_bytes(frame.picture))

        def near(other: int) -> av.VideoFrame | None:
            return None if frame.is_stand_in else self._neighbour(other, cancel)

        made = self._deinterlacer.shown(number, frame.picture, near, field or 0)
        return replace(frame, picture=made)

    def window_before(self, number: int) -> range:
        """Frames to `fill` before a frame on the way backward: its group, or as many as fit.

        Two such windows fit: one that is shown while the next one is filled.
        """
        key = self._seeker.key_before(max(0, number - 1))
        start = int(self.index.number_of_packet[self.index.key_ordinals[key]])
        most = max(1, self.n_kept_at_most // 2)
        return range(max(0, start, number - most), number)

    def _neighbour(self, number: int, cancel: Cancel) -> av.VideoFrame | None:
        if not 0 <= number < self.index.n_frames:
            return None
        return self._picture(number, 0 < self._last_asked - number <= _STEPS_BACK, cancel)

    def frame_at(self, time_us: int, cancel: Cancel = None) -> Frame:
        """Give the frame shown at a time; the first before the clip, the last after it."""
        return self.frame(self.index.number_at(time_us), cancel)

    def frames(self, start: int = 0, cancel: Cancel = None, ahead: int = 0) -> Iterator[Frame]:
        """Give frame after frame from `start` to the end.

        Parameters
        ----------
        ahead : int
            How many to decode in advance on another thread, while the caller works on the ones
            before. Until the iterator ends or is closed the reader is for nothing else.
        """
        if ahead > 0:
            yield from frames_ahead(self, start, self.index.n_frames, ahead, cancel)
            return
        for number in range(start, self.index.n_frames):
            yield self.frame(number, cancel)

    def is_at_hand(self, number: int) -> bool:
        """Whether a frame is kept, so that it is given at once."""
        return number in self._cache

    def key_frame(self, number: int, cancel: Cancel = None) -> Frame:
        """Give the nearest key picture at or before a frame, decoded alone: quick anywhere.

        Where there is none, or it does not come out alone, this is `frame`.

        Raises
        ------
        IndexError
            If there is no such frame.
        ReadingStopped
            If `cancel` asks for it.
        """
        self.index.time_of(number)
        stop_if(cancel)
        key = self._keys.number_for(number)
        picture = None
        if key is not None:
            picture = self._cache.find(key) or self._keys.picture(key, cancel)
        if key is None or picture is None:
            return self.frame(number, cancel)
        return Frame(key, self.index.time_of(key), self.index.shape, picture)

    def referenced(self, number: int, cancel: Cancel = None) -> Frame:
        """Give the first frame at or after a number that others refer to, leaving out the rest.

        Asked for rising numbers it decodes on, which is quicker than `frame`.

        Raises
        ------
        IndexError
            If there is no such frame.
        ReadingStopped
            If `cancel` asks for it; checked at each packet.
        """
        self.index.time_of(number)
        found = self._seeker.first_referenced(number, cancel)
        if found is None:
            return self.frame(number, cancel)
        self._last_asked = found[0]
        return Frame(found[0], self.index.time_of(found[0]), self.index.shape, found[1])

    @property
    def n_kept_at_most(self) -> int:
        """How many pictures that were filled in are kept, by their size and what else is open."""
        return self._cache.room(self.index.shape)

    @property
    def most_bytes(self) -> int:
        """What its pictures take at most: the bound, or what the decoders alone need."""
        return self._cache.most_bytes

    def set_aside(self, use: str, n_bytes: int) -> None:
        """Leave room within the bound for something else; replaces what the same use had."""
        self._cache.set_aside(use, n_bytes)

    def focus(self, number: int, direction: int) -> None:
        """Say where the head is and whether it goes forward (1), backward (-1) or rests (0).

        What lies around and ahead of it is kept longest.
        """
        self._cache.focus(number, direction)

    def fill(self, first: int, last: int, cancel: Cancel = None) -> None:
        """Decode frames `first` to `last`, both counted, into the cache; for another thread.

        Uses a decoder of its own, opened the first time. What does not fit is not kept.

        Raises
        ------
        UserFacingError
            If the clip cannot be opened any more.
        ReadingStopped
            If `cancel` asks for it; checked at each packet.
        """
        first, last = max(0, first), min(last, self.index.n_frames - 1)
        with self._filling:
            missing = self._cache.missing(first, last)
            if not missing:
                return
            if self._filler is None:
                self._filler = PictureSeeker(self.path, self.index, self._cache, "filling")
            try:
                self._filled = range(missing[0], missing[-1] + 1)
                self._filler.fill(missing, cancel)
            finally:
                self._filled = range(0)

    def _picture(self, number: int, is_step_back: bool, cancel: Cancel) -> av.VideoFrame | None:
        kept = self._cache.find(number)
        if kept is None and number in self._filled and not self._seeker.can_continue(number):
            kept = self._awaited(number, cancel)
        if kept is not None or self._stand_ins.is_missing(number):
            return kept
        found = self._seeker.picture(number, is_step_back, cancel)
        if found is None:
            self._stand_ins.note_gap()
        return found

    def _awaited(self, number: int, cancel: Cancel) -> av.VideoFrame | None:
        """Wait for a picture that the filling thread is on its way to."""
        while number in self._filled:
            if self._filling.acquire(timeout=_WAIT_S):
                self._filling.release()
            stop_if(cancel)
            filler, kept = self._filler, self._cache.find(number)
            if kept is not None:
                return kept
            if filler is not None and filler.position > number:
                break
        return self._cache.find(number)
