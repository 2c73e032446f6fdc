"""Part of a file read as if it were a file of its own, without copying it out."""

from __future__ import annotations

import io
from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate
from pathlib import Path

Range = tuple[int, int]
"""Where a stretch begins in its file, and its length, bytes."""


class RangedFile(io.RawIOBase):
    """Stretches of a file, one after the other, as one file that can be sought. Close it.

    It has no name: what reads it learns nothing of the file around it.

    Parameters
    ----------
    path : Path
    ranges : sequence of (start, length)
        None beyond the end of the file, none empty.
    """

    def __init__(self, path: Path, ranges: Sequence[Range]) -> None:
        super().__init__()
        self._starts = [start for start, _ in ranges]
        self._ends = list(accumulate(length for _, length in ranges))
        self._position = 0
        self._file = path.open("rb", buffering=0)

    def __len__(self) -> int:
        return self._ends[-1] if self._ends else 0

    def readable(self) -> bool:
        """Tell that it can be read."""
        return True

    def seekable(self) -> bool:
        """Tell that it can be sought."""
        return True

    def tell(self) -> int:
        """Where the next byte is read."""
        return self._position

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        """Go to a place; one beyond the end gives no bytes."""
        origins = {io.SEEK_SET: 0, io.SEEK_CUR: self._position, io.SEEK_END: len(self)}
        if whence not in origins or origins[whence] + offset < 0:
            raise ValueError("no such place")
        self._position = origins[whence] + offset
        return self._position

    def read(self, size: int = -1) -> bytes:
        """Read up to `size` bytes, over the joins of stretches; fewer only at the end."""
        left = max(0, len(self) - self._position)
        left = left if size is None or size < 0 else min(size, left)
        pieces: list[bytes] = []
        while left > 0:
            piece = self._piece(left)
            if not piece:
                break  # the file has become shorter meanwhile
            pieces.append(piece)
            left -= len(piece)
            self._position += len(piece)
        return pieces[0] if len(pieces) == 1 else b"".join(pieces)

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()
        super().close()

    def _piece(self, size: int) -> bytes:
        """Read from the stretch at the present place, not beyond its end."""
        at = bisect_right(self._ends, self._position)
        within = self._position - (self._ends[at - 1] if at else 0)
        self._file.seek(self._starts[at] + within)
        return self._file.read(min(size, self._ends[at] - self._position)) or b""
