"""Exact pictures of one clip, by number: go on decoding, or seek and decode up to the picture."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import av
import numpy as np

from annotate.clip.cache import PictureCache
from annotate.clip.decoder_memory import own_bytes
from annotate.clip.decoding import PictureDecoder
from annotate.clip.index import ClipIndex
from annotate.clip.lasting import lasting
from annotate.clip.stopping import Cancel, stop_if

_FURTHER_BACK = (0, 1, 2, 4)
"""Keys before the nearest one from which a picture that does not come out is tried again."""

_MARGIN = 2
"""Keys added where a key packet is not whole by itself, as in streams that refresh by columns.

Such a stream says after how many pictures it is whole again, but is only nearly so by then.
"""

Numbered = tuple[int, av.VideoFrame]


class PictureSeeker:
    """One decoder that is led to any picture. It lives in one thread; the cache may be shared.

    Parameters
    ----------
    use : str
        What it is for: the cache sets room for its own pictures aside under that name.

    Attributes
    ----------
    neighbour : tuple of (int, VideoFrame), optional
        After a picture did not come out: the nearest one that did, one before it if there is any.
    gap : range
        After a picture did not come out: the numbers around it that did not either.
    """

    def __init__(self, path: Path, index: ClipIndex, cache: PictureCache, use: str) -> None:
        self._index = index
        self._cache = cache
        self._decoder = PictureDecoder(path, index)
        cache.set_aside(use, own_bytes(self._decoder.context, index.shape))
        self._margin = 0
        self.neighbour: Numbered | None = None
        self.gap = range(0)

    def close(self) -> None:
        """Let go of the file."""
        self._decoder.close()

    @property
    def context(self) -> av.VideoCodecContext:
        """The codec, for what it knows of the stream."""
        return self._decoder.context

    @property
    def next_ordinal(self) -> int:
        """Packet that is fed to the decoder next."""
        return self._decoder.next_ordinal

    @property
    def position(self) -> int:
        """Highest number that has come out since the last seek; -1 if none has."""
        return self._decoder.last_number

    def picture(self, number: int, is_step_back: bool, cancel: Cancel) -> av.VideoFrame | None:
        """Decode exactly the picture with a number; None if it cannot be decoded.

        Parameters
        ----------
        is_step_back : bool
            Whether its neighbours before it will be asked for too: they are kept.
        """
        skip_below = 0 if is_step_back else number
        if self.can_continue(number):
            found = self._decode_to(number, skip_below, is_step_back, cancel)
            if found is not None:
                return found
        best: Numbered | None = None
        for back in _FURTHER_BACK:
            self._decoder.restart(self._start_for(number, back), cancel)
            found = self._decode_to(number, skip_below, is_step_back, cancel)
            if self._decoder.began_late and not self._margin:
                self._margin = _MARGIN
                self._cache.clear()  # what came out may not be exact yet
                continue
            if found is not None:
                return found
            best = _nearer(best, self.neighbour, number)
            skip_below = 0
            if self._decoder.has_failed:
                self._decoder.be_careful()
        self.neighbour = best
        return None

    def fill(self, numbers: Iterable[int], cancel: Cancel) -> None:
        """Decode pictures, rising, into the cache; those that cannot be decoded are left out."""
        has_begun = False
        for number in numbers:
            stop_if(cancel)
            if number in self._cache or (has_begun and number <= self.position):
                continue
            if not self.can_continue(number):
                self._decoder.restart(self._start_for(number, 0), cancel)
            has_begun = True
            self._decode_to(number, number, True, cancel)

    def first_referenced(self, number: int, cancel: Cancel) -> Numbered | None:
        """Decode on to the first picture at or after a number that others refer to."""
        if not self._is_on_the_way(number):
            self._decoder.restart(self._start_for(number, 0), cancel)
        while not self._decoder.is_drained:
            stop_if(cancel)
            for found, picture in self._decoder.advance(self._index.n_frames):
                if found >= number:
                    return found, picture
        return None

    def first_from(self, key_ordinal: int, cancel: Cancel) -> Numbered | None:
        """Decode from a key packet until a picture comes out, as far as the next key packet."""
        keys = self._index.key_ordinals
        after = int(np.searchsorted(keys, key_ordinal, side="right")) + 1
        stop = int(keys[after]) if after < len(keys) else len(self._index.packets)
        self._decoder.restart(key_ordinal, cancel)
        while not self._decoder.is_drained and self._decoder.next_ordinal <= stop:
            stop_if(cancel)
            for numbered in self._decoder.advance():
                return numbered
        return None

    def can_continue(self, number: int) -> bool:
        """Whether going on decoding leads to the frame sooner than a seek."""
        return self._decoder.skipped_to < number and self._is_on_the_way(number)

    def _is_on_the_way(self, number: int) -> bool:
        decoder = self._decoder
        if decoder.is_drained or decoder.last_number >= number:
            return False
        if decoder.last_number == number - 1 >= 0:
            return True
        nearest = int(self._index.key_ordinals[self.key_before(number)])
        is_early_enough = decoder.start_ordinal <= self._start_for(number, 0)
        return is_early_enough and nearest <= decoder.next_ordinal

    def key_before(self, number: int) -> int:
        """Which key packet, counted from 0, is the nearest that a frame can be decoded from.

        A key packet that is shown later than the frame does not serve it: pictures that lead into
        an open group need the group before.
        """
        keys, shown = self._index.key_ordinals, self._index.number_of_packet
        at = int(np.searchsorted(keys, self._index.ordinals[number], side="right")) - 1
        while at > 0 and shown[keys[at]] > number:
            at -= 1
        return max(0, at)

    def _start_for(self, number: int, back: int) -> int:
        """Packet to begin at for a frame, `back` keys before the nearest."""
        at = self.key_before(number) - back - self._margin
        return int(self._index.key_ordinals[at]) if at > 0 else 0

    def _decode_to(
        self, number: int, skip_below: int, is_lasting: bool, cancel: Cancel
    ) -> av.VideoFrame | None:
        """Decode on until the frame comes out; None if a later one comes or the file ends."""
        wanted: av.VideoFrame | None = None
        self.neighbour, before = None, number - 1
        decoder = self._decoder
        while not decoder.is_drained and decoder.last_number < number:
            stop_if(cancel)
            for found, picture in decoder.advance(skip_below):
                if found >= skip_below or not is_lasting:
                    kept = lasting(picture) if is_lasting else picture
                    self._cache.keep(found, kept, is_lasting)
                wanted = picture if found == number else wanted
                before = found if found < number else before
                if wanted is None:
                    self.neighbour = _nearer(self.neighbour, (found, picture), number)
        after = decoder.last_number
        self.gap = range(before + 1, after if after > number else self._index.n_frames)
        return wanted


def _nearer(one: Numbered | None, other: Numbered | None, number: int) -> Numbered | None:
    """Of two pictures the one that stands in better for a number: before it, and near."""
    if one is None or other is None:
        return one or other
    return min(one, other, key=lambda n: (n[0] > number, abs(n[0] - number)))
