"""A part's index in the decoder: known, or growing while the recording is being read through."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from annotate.clip import ClipIndex, ReadingStopped, build_index
from annotate.errors import UserFacingError
from app.playing.answers import FromDecoder, IndexMade, Scanning
from app.playing.messages import PartToOpen

_TOLD_EVERY_S = 0.2
_LOOK_S = 0.1
_EDGE = 2
"""Frames at the end of a growing index that wait for the next one: when they end is not known."""


class PartIndex:
    """Gives a part's index to whoever asks, on any thread; makes it once if there is none.

    Parameters
    ----------
    ordinal : int
        Of the part.
    send : callable
        Tells the desk how far it is, and what was made.
    """

    def __init__(self, ordinal: int, part: PartToOpen, send: Callable[[FromDecoder], None]) -> None:
        self._ordinal, self._part, self._send = ordinal, part, send
        self._room = threading.Condition()
        self._index: ClipIndex | None = None
        self._trouble: UserFacingError | None = None
        self._thread: threading.Thread | None = None
        self._is_closing = False
        self._told_at_s = 0.0
        self.given: ClipIndex | None = None
        """What was given last to be shown from; it may have grown since."""

    def whole(self) -> ClipIndex:
        """Give the whole index, however long that takes.

        Raises
        ------
        UserFacingError
            If the part is lost or holds no picture.
        """
        found = self._await(lambda index: not index.is_partial, lambda: False)
        assert found is not None
        return found

    def beginning(self) -> ClipIndex:
        """Give what there is, as soon as there is something.

        Raises
        ------
        UserFacingError
            If the part is lost or holds no picture.
        """
        self.given = self._await(lambda _: True, lambda: False)
        assert self.given is not None
        return self.given

    def has(self, in_clip: int) -> bool:
        """Whether what was given last holds a frame for sure."""
        given = self.given
        if given is None or not given.is_partial:
            return True
        known = self._index
        is_overtaken = known is not None and known is not given and not known.continues(given)
        return not is_overtaken and in_clip < given.n_frames - _EDGE

    def grown_to(self, in_clip: int, is_over: Callable[[], bool]) -> bool:
        """Wait until the index holds a frame; False once that is not wanted any more.

        Raises
        ------
        UserFacingError
            If the part holds no picture.
        """

        def holds(index: ClipIndex) -> bool:
            return not index.is_partial or in_clip < index.n_frames - _EDGE

        return self._await(holds, is_over) is not None

    def close(self) -> None:
        """Stop reading it through, and wait."""
        with self._room:
            self._is_closing = True
            self._room.notify_all()
        if self._thread is not None:
            self._thread.join()

    def _await(
        self, is_enough: Callable[[ClipIndex], bool], is_over: Callable[[], bool]
    ) -> ClipIndex | None:
        with self._room:
            self._begin()
            while not is_over():
                if self._trouble is not None:
                    raise UserFacingError(self._trouble.what, self._trouble.do)
                if self._index is not None and is_enough(self._index):
                    return self._index
                if self._is_closing:
                    raise ReadingStopped
                self._room.wait(_LOOK_S)
        return None

    def _begin(self) -> None:
        """Read the index that is known, or start to make one."""
        if self._part.missing:
            raise UserFacingError(self._part.missing)
        if self._index is None and self._thread is None and self._part.index is not None:
            with suppress(ValueError):  # derived data may be damaged; it is made again
                self._index = ClipIndex.from_bytes(self._part.index)
        if self._index is None and self._thread is None:
            self._thread = threading.Thread(target=self._make, name="scanning", daemon=True)
            self._thread.start()

    def _make(self) -> None:
        try:
            index = build_index(
                Path(self._part.path), self._tell, lambda: self._is_closing, self._take
            )
        except ReadingStopped:
            return
        except UserFacingError as trouble:
            with self._room:
                self._trouble = trouble
                self._room.notify_all()
            return
        self._take(index)
        self._send(IndexMade(self._ordinal, index.to_bytes()))

    def _take(self, index: ClipIndex) -> None:
        with self._room:
            self._index = index
            self._room.notify_all()

    def _tell(self, share: float) -> None:
        now_s = time.monotonic()
        if now_s - self._told_at_s >= _TOLD_EVERY_S:
            self._told_at_s = now_s
            self._send(Scanning(self._ordinal, share))
