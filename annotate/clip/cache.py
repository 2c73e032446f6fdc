"""Recently decoded pictures, bounded in bytes."""

from __future__ import annotations

from collections import OrderedDict

import av


class PictureCache:
    """Pictures by frame number; the one longest unused leaves first.

    Parameters
    ----------
    most_bytes : int
        Bound on the planes kept; the newest picture stays even if it alone is larger.
    """

    def __init__(self, most_bytes: int) -> None:
        self._most_bytes = most_bytes
        self._pictures: OrderedDict[int, tuple[av.VideoFrame, int]] = OrderedDict()
        self.n_bytes = 0

    def __contains__(self, number: int) -> bool:
        return number in self._pictures

    def __len__(self) -> int:
        return len(self._pictures)

    def find(self, number: int) -> av.VideoFrame | None:
        """Find a picture and count it as used."""
        entry = self._pictures.get(number)
        if entry is None:
            return None
        self._pictures.move_to_end(number)
        return entry[0]

    def keep(self, number: int, picture: av.VideoFrame) -> None:
        """Keep a picture, letting go of the longest unused ones."""
        if number in self._pictures:
            self._pictures.move_to_end(number)
            return
        n_bytes = sum(plane.buffer_size for plane in picture.planes)
        self._pictures[number] = (picture, n_bytes)
        self.n_bytes += n_bytes
        while self.n_bytes > self._most_bytes and len(self._pictures) > 1:
            _, (_, gone) = self._pictures.popitem(last=False)
            self.n_bytes -= gone

    def clear(self) -> None:
        """Let go of all pictures."""
        self._pictures.clear()
        self.n_bytes = 0
