"""The parts of a case as files: indexes and readers, opened when needed, two readers at most."""

from __future__ import annotations

import threading
import time
from collections import Counter, OrderedDict
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from annotate.clip.index import ClipIndex
from annotate.clip.reader import ClipReader
from annotate.errors import UserFacingError

T = TypeVar("T")

MOST_OPEN = 2
"""Parts that hold a file, a decoder and pictures at one time: over a join, both sides."""

_RETRY_S = 2.0
"""How long a part that could not be opened is taken to be as it was."""


@dataclass(frozen=True, slots=True)
class CasePart:
    """One part of the recording.

    Attributes
    ----------
    path : Path or callable
        The file, or what finds it when it is needed and says in a sentence if it is not there.
    index : ClipIndex or callable
        The index, or what gives it when it is needed.
    n_frames, duration_us : int
        As the index says; known before it is read.
    lead_us : int
        What lies before the part on the case clock: a gap above 0, an overlap below 0.
    """

    path: Path | Callable[[], Path]
    index: ClipIndex | Callable[[], ClipIndex]
    n_frames: int
    duration_us: int
    lead_us: int = 0

    @classmethod
    def whole(cls, path: Path | str, index: ClipIndex, lead_us: int = 0) -> CasePart:
        """A part whose index is at hand."""
        return cls(Path(path), index, index.n_frames, index.duration_us, lead_us)


class OpenParts:
    """The parts of a case, each opened when it is first needed and closed when it is far away.

    Parameters
    ----------
    parts : sequence of CasePart
    cache_bytes : int
        Bound on all decoded pictures of each open part.
    """

    def __init__(self, parts: Sequence[CasePart], cache_bytes: int) -> None:
        self._parts = parts
        self._cache_bytes = cache_bytes
        self._aside: dict[str, int] = {}
        self._indexes: dict[int, ClipIndex] = {}
        self._readers: OrderedDict[int, ClipReader] = OrderedDict()
        self._in_use: Counter[int] = Counter()
        self._troubles: dict[int, tuple[float, UserFacingError]] = {}
        self._lock = threading.RLock()

    @property
    def ordinals(self) -> tuple[int, ...]:
        """Which parts are open, longest unused first."""
        return tuple(self._readers)

    def close(self) -> None:
        """Close every part that is open."""
        with self._lock:
            while self._readers:
                self._readers.popitem()[1].close()

    def number_at(self, ordinal: int, clip_us: int) -> int:
        """Number within a part of the frame shown at a time.

        Of a part that is not there and was never indexed, frames are taken to last equally long.
        """
        part = self._parts[ordinal]
        try:
            return min(self.index(ordinal).number_at(clip_us), part.n_frames - 1)
        except UserFacingError:
            return min(max(clip_us * part.n_frames // part.duration_us, 0), part.n_frames - 1)

    def time_of(self, ordinal: int, in_clip: int) -> int:
        """Time within a part at which a frame is first shown, microseconds."""
        part = self._parts[ordinal]
        try:
            index = self.index(ordinal)
        except UserFacingError:
            return -(-in_clip * part.duration_us // part.n_frames)
        return index.time_of(min(in_clip, index.n_frames - 1))

    def index(self, ordinal: int) -> ClipIndex:
        """A part's index.

        Raises
        ------
        UserFacingError
            If it cannot be had.
        """
        with self._lock:
            if ordinal not in self._indexes:
                given = self._parts[ordinal].index
                self._indexes[ordinal] = (
                    given if isinstance(given, ClipIndex) else self._asked(ordinal, given)
                )
            return self._indexes[ordinal]

    def set_aside(self, use: str, n_bytes: int) -> None:
        """Leave room for something else within the bound of each part."""
        with self._lock:
            self._aside[use] = n_bytes
            for reader in self._readers.values():
                reader.set_aside(use, n_bytes)

    @contextmanager
    def reader(self, ordinal: int) -> Iterator[ClipReader]:
        """A part's reader, which stays open as long as it is in use.

        Raises
        ------
        UserFacingError
            If the part cannot be opened.
        """
        with self._lock:
            found = self._opened(ordinal)
            self._in_use[ordinal] += 1
        try:
            yield found
        finally:
            with self._lock:
                self._in_use[ordinal] -= 1

    def _opened(self, ordinal: int) -> ClipReader:
        if ordinal not in self._readers:
            index = self.index(ordinal)
            self._close_far()
            self._readers[ordinal] = self._asked(ordinal, lambda: self._made(ordinal, index))
        self._readers.move_to_end(ordinal)
        return self._readers[ordinal]

    def _made(self, ordinal: int, index: ClipIndex) -> ClipReader:
        given = self._parts[ordinal].path
        path = given if isinstance(given, Path) else given()
        reader = ClipReader(path, index, self._cache_bytes)
        for use, n_bytes in self._aside.items():
            reader.set_aside(use, n_bytes)
        return reader

    def _asked(self, ordinal: int, give: Callable[[], T]) -> T:
        """What `give` gives; trouble is remembered for a moment, so that playing on stays quick."""
        known = self._troubles.get(ordinal)
        if known is not None and time.monotonic() - known[0] < _RETRY_S:
            raise UserFacingError(known[1].what, known[1].do)
        try:
            given = give()
        except UserFacingError as trouble:
            self._troubles[ordinal] = (time.monotonic(), trouble)
            raise
        self._troubles.pop(ordinal, None)
        return given

    def _close_far(self) -> None:
        """Close the longest unused parts, so that one more may open."""
        for ordinal in tuple(self._readers):
            if len(self._readers) < MOST_OPEN:
                return
            if not self._in_use[ordinal]:
                self._readers.pop(ordinal).close()
