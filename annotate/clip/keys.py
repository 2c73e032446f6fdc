"""Key pictures, each decoded alone: what a pointer that is dragged along the timeline shows."""

from __future__ import annotations

from pathlib import Path

import av
import numpy as np

from annotate.clip.cache import PictureCache
from annotate.clip.decoder_memory import own_bytes
from annotate.clip.decoding import PictureDecoder
from annotate.clip.index import ClipIndex
from annotate.clip.packets import HIDDEN
from annotate.clip.stopping import Cancel


class KeyPictures:
    """Key pictures of one clip, with a decoder of their own that is opened when first needed.

    Parameters
    ----------
    cache : PictureCache, optional
        Leaves room for that decoder's pictures within its bound.
    """

    def __init__(self, path: Path, index: ClipIndex, cache: PictureCache | None = None) -> None:
        self._path, self._index, self._cache = path, index, cache
        shown = index.number_of_packet[index.key_ordinals]
        self._numbers = np.sort(shown[shown >= 0])
        self._decoder: PictureDecoder | None = None

    def close(self) -> None:
        """Let go of the file."""
        if self._decoder is not None:
            self._decoder.close()
            self._decoder = None

    def number_for(self, number: int) -> int | None:
        """Number of the nearest key picture at or before a frame; None if there is none."""
        at = int(np.searchsorted(self._numbers, number, side="right")) - 1
        return int(self._numbers[at]) if at >= 0 else None

    def picture(self, key: int, cancel: Cancel = None) -> av.VideoFrame | None:
        """Decode one key picture alone; None if it does not come out so.

        Raises
        ------
        ReadingStopped
            If `cancel` asks for it.
        """
        if self._decoder is None:
            self._decoder = PictureDecoder(self._path, self._index, at_once=True)
            if self._cache is not None:
                own = own_bytes(self._decoder.context, self._index.shape, only_keys=True)
                self._cache.set_aside("key pictures", own)
        decoder, ordinal = self._decoder, int(self._index.ordinals[key])
        decoder.restart(ordinal, cancel)
        found = dict(decoder.advance())
        while key not in found and self._is_second_field(decoder.next_ordinal):
            found.update(decoder.advance())
        if key not in found:
            found.update(decoder.drain())
        return found.get(key)

    def _is_second_field(self, ordinal: int) -> bool:
        """Whether a packet gives no picture of its own, as the second field of one does."""
        index = self._index
        if ordinal >= len(index.packets) or index.number_of_packet[ordinal] >= 0:
            return False
        return not index.packets.flags[ordinal] & HIDDEN
