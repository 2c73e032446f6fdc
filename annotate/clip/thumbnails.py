"""Small pictures of a clip with their times: kept in one piece, the nearest found at once."""

from __future__ import annotations

import struct
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

THUMBNAIL_VERSION = "1"
"""Goes up when the same clip would give other pictures."""

_MAGIC = b"SmlPics1"
_HEAD = struct.Struct("<8sB3xI")
_KINDS = ("<i8", "<i8", "<u4")


@dataclass(frozen=True, eq=False)
class Thumbnails:
    """Small pictures of one clip, in order of time.

    Attributes
    ----------
    numbers : ndarray of int64, shape (n,)
        Frame number of each within the clip, rising.
    times_us : ndarray of int64, shape (n,)
        When each frame is first shown, microseconds from the clip's first frame.
    pictures : tuple of bytes
        JPEG, upright and with square pixels.
    is_complete : bool
        Whether none is still to be made.
    """

    numbers: NDArray[np.int64] = field(default_factory=lambda: np.empty(0, np.int64))
    times_us: NDArray[np.int64] = field(default_factory=lambda: np.empty(0, np.int64))
    pictures: tuple[bytes, ...] = ()
    is_complete: bool = False

    @classmethod
    def of(cls, rows: Sequence[tuple[int, int, bytes]], *, is_complete: bool = False) -> Thumbnails:
        """Put (number, time in microseconds, JPEG) in order; of one number the last counts."""
        by_number = {number: (time_us, content) for number, time_us, content in rows}
        numbers = sorted(by_number)
        return cls(
            np.array(numbers, np.int64),
            np.array([by_number[n][0] for n in numbers], np.int64),
            tuple(by_number[n][1] for n in numbers),
            is_complete,
        )

    def __len__(self) -> int:
        return len(self.pictures)

    def with_more(self, more: Thumbnails) -> Thumbnails:
        """These and others of the same clip; complete if the others say so."""
        return Thumbnails.of([*self._rows(), *more._rows()], is_complete=more.is_complete)

    def nearest(self, time_us: int) -> tuple[int, int, bytes]:
        """Frame number, time and JPEG of the picture nearest to a time of the clip.

        Raises
        ------
        LookupError
            If there is none yet.
        """
        at = self.place_near(time_us)
        if at is None:
            raise LookupError("no small picture of this clip has been made yet")
        return int(self.numbers[at]), int(self.times_us[at]), self.pictures[at]

    def place_near(self, time_us: int) -> int | None:
        """Which picture, counted from 0, is nearest to a time; the earlier of two; None of none."""
        if not len(self):
            return None
        after = int(np.searchsorted(self.times_us, time_us))
        near = [at for at in (after - 1, after) if 0 <= at < len(self)]
        return min(near, key=lambda at: abs(int(self.times_us[at]) - time_us))

    def to_bytes(self) -> bytes:
        """Pack for keeping; `from_bytes` reads it."""
        sizes = np.array([len(content) for content in self.pictures], np.uint32)
        columns = zip((self.numbers, self.times_us, sizes), _KINDS, strict=True)
        return b"".join(
            [
                _HEAD.pack(_MAGIC, self.is_complete, len(self)),
                *(np.asarray(column).astype(kind).tobytes() for column, kind in columns),
                *self.pictures,
            ]
        )

    @classmethod
    def from_bytes(cls, content: bytes) -> Thumbnails:
        """Read what `to_bytes` packed.

        Raises
        ------
        ValueError
            If it is anything else, or damaged.
        """
        if len(content) < _HEAD.size:
            raise ValueError("no small pictures")
        magic, is_complete, n = _HEAD.unpack_from(content)
        at, columns = _HEAD.size, []
        if magic != _MAGIC or len(content) < at + n * 20:
            raise ValueError("no small pictures")
        for kind in _KINDS:
            columns.append(np.frombuffer(content, kind, n, at).astype(np.int64))
            at += columns[-1].size * np.dtype(kind).itemsize
        numbers, times_us, sizes = columns
        ends = at + np.cumsum(sizes)
        if len(content) != (int(ends[-1]) if n else at) or not _is_rising(numbers, times_us):
            raise ValueError("damaged small pictures")
        pictures = tuple(
            content[int(end) - int(size) : int(end)] for end, size in zip(ends, sizes, strict=True)
        )
        return cls(numbers, times_us, pictures, bool(is_complete))

    def _rows(self) -> list[tuple[int, int, bytes]]:
        return list(zip(self.numbers.tolist(), self.times_us.tolist(), self.pictures, strict=True))


def _is_rising(numbers: NDArray[np.int64], times_us: NDArray[np.int64]) -> bool:
    is_so = not len(numbers) or (numbers[0] >= 0 and times_us[0] >= 0)
    return bool(is_so and (np.diff(numbers) > 0).all() and (np.diff(times_us) >= 0).all())
