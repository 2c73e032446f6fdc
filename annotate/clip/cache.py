"""Decoded pictures of one clip around the head, bounded in bytes, shared by its decoders."""

from __future__ import annotations

import threading
from bisect import bisect_left, insort

import av

from annotate.clip.lasting import give_back, picture_bytes
from annotate.clip.shape import PictureShape

_MOST_HELD_BYTES = 24 << 20
"""Memory of pictures that went which the allocator may hold on to."""

BRIEFLY, _N_BRIEFLY = "briefly", 2
"""A use for which all but so many pictures may have to go: it is over in a moment."""

_BEHIND = 3
"""A picture behind the direction of travel counts as this many times as far away."""


class PictureCache:
    """Pictures by frame number; the one farthest from the head leaves first. Any thread may call.

    A picture that still lies in its decoder's pool keeps the pool large, and a pool never shrinks.
    Such passing pictures have a bound of their own, and what the pool grew by for them counts from
    then on; lasting ones were copied out.

    Parameters
    ----------
    most_bytes : int
        Bound on all pictures kept and all that is set aside; a single picture stays even if it
        alone is larger.
    most_passing_bytes : int, optional
        Bound on the passing ones among them.
    n_least : int
        Pictures for which there is room however much is set aside, in at most half of the bound.
    """

    def __init__(
        self, most_bytes: int, most_passing_bytes: int | None = None, n_least: int = 0
    ) -> None:
        self._bound, self._n_least = most_bytes, n_least
        self._aside: dict[str, int] = {}
        self._most_passing = most_bytes if most_passing_bytes is None else most_passing_bytes
        self._pictures: dict[int, tuple[av.VideoFrame, int, bool]] = {}
        self._lasting: list[int] = []
        self._passing: list[int] = []
        self._passing_bytes = self._pool_bytes = 0
        self._head, self._direction = 0, 0
        self._lock = threading.Lock()
        self._one_bytes = self._gone_bytes = 0
        self.n_bytes = 0

    def __contains__(self, number: int) -> bool:
        return number in self._pictures

    def __len__(self) -> int:
        return len(self._pictures)

    @property
    def most_bytes(self) -> int:
        """What all pictures take at most: the bound, unless what is set aside leaves too little."""
        return sum(self._aside.values()) + self._most(self._one_bytes)

    def room(self, shape: PictureShape) -> int:
        """How many lasting pictures fit, by the size of one, or of 8 bits of that shape."""
        one = self._one_bytes or shape.coded_width * shape.coded_height * 3 // 2
        most = self._most(one)
        return max(1, (most - min(self._most_passing, most // 2)) // max(1, one))

    def set_aside(self, use: str, n_bytes: int) -> None:
        """Leave room for something else, in place of what was left for the same use before."""
        with self._lock:
            is_more = n_bytes > self._aside.get(use, 0)
            self._aside[use] = n_bytes
            self._let_go()
            if is_more:
                self._gone_bytes = 0
        if is_more:
            give_back()  # now, before it is taken

    def focus(self, number: int, direction: int) -> None:
        """Say where the head is, and whether it goes forward (1), backward (-1) or rests (0)."""
        with self._lock:
            self._head, self._direction = number, direction

    def find(self, number: int) -> av.VideoFrame | None:
        """Find a picture."""
        entry = self._pictures.get(number)
        return entry[0] if entry is not None else None

    def missing(self, first: int, last: int) -> list[int]:
        """Numbers from first to last, both counted, that are not kept."""
        with self._lock:
            return [n for n in range(first, last + 1) if n not in self._pictures]

    def keep(self, number: int, picture: av.VideoFrame, is_lasting: bool = False) -> None:
        """Keep a picture, letting go of those farthest from the head, perhaps of this one."""
        n_bytes = picture_bytes(picture)
        with self._lock:
            if number in self._pictures:
                return
            self._pictures[number] = (picture, n_bytes, is_lasting)
            insort(self._lasting if is_lasting else self._passing, number)
            self.n_bytes += n_bytes
            self._one_bytes = n_bytes
            self._passing_bytes += 0 if is_lasting else n_bytes
            self._let_go()
            is_much = self._gone_bytes > _MOST_HELD_BYTES
            self._gone_bytes = 0 if is_much else self._gone_bytes
        if is_much:
            give_back()

    def clear(self) -> None:
        """Let go of all pictures."""
        with self._lock:
            self._pictures.clear()
            self._lasting.clear()
            self._passing.clear()
            self.n_bytes = self._passing_bytes = 0

    def _most(self, one_bytes: int) -> int:
        """Bytes for pictures, of one of which the size is told."""
        n_least = min(self._n_least, _N_BRIEFLY) if self._aside.get(BRIEFLY) else self._n_least
        least = min(n_least * one_bytes, self._bound // 2)
        return max(self._bound - sum(self._aside.values()), least)

    def _let_go(self) -> None:
        """Drop what is over a bound, the farthest first.

        Letting passing ones go leaves no room for others: their pool keeps it.
        """
        most = self._most(self._one_bytes)
        most_passing = min(self._most_passing, most // 2)
        while self._passing_bytes > most_passing and len(self._passing) > 1:
            self._drop(self._farthest(self._passing))
        self._pool_bytes = max(self._pool_bytes, self._passing_bytes)
        most_lasting = max(most - self._pool_bytes, most // 2)
        while self.n_bytes - self._passing_bytes > most_lasting and len(self._pictures) > 1:
            self._drop(self._farthest(self._lasting))

    def _farthest(self, numbers: list[int]) -> int:
        """Of rising numbers, the one farthest from the head: one of the ends."""
        return max(numbers[0], numbers[-1], key=self._distance)

    def _distance(self, number: int) -> int:
        ahead = number - self._head
        return abs(ahead) * (_BEHIND if ahead * self._direction < 0 else 1)

    def _drop(self, number: int) -> None:
        _, n_bytes, is_lasting = self._pictures.pop(number)
        numbers = self._lasting if is_lasting else self._passing
        del numbers[bisect_left(numbers, number)]
        self.n_bytes -= n_bytes
        self._passing_bytes -= 0 if is_lasting else n_bytes
        self._gone_bytes += n_bytes if is_lasting else 0
