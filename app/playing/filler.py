"""Pictures made before they are asked for: around a frame that stands, and ahead of a run."""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import partial

from annotate.clip import CaseReader, ReadingStopped
from annotate.errors import UserFacingError
from app.playing.priority import give_way

_CHUNK = 48
"""Frames decoded before looking again whether others are wanted."""

_GRAIN = 32
"""A window that moves back frame by frame grows by so many at once: each time costs a group."""


class Filler:
    """A thread that puts wanted frames into the reader's cache. Close it before the reader.

    Parameters
    ----------
    sure_last : callable
        From the ordinal of a part to the last frame of it that may be decoded.
    """

    def __init__(self, reader: CaseReader, sure_last: Callable[[int], int]) -> None:
        self._reader = reader
        self._sure_last = sure_last
        self._room = threading.Condition()
        self._wanted: tuple[int, int, int] | None = None
        self._changes = 0
        self._is_busy = False
        self._is_closing = False
        self._gave_up: set[int] = set()
        self._thread = threading.Thread(target=self._run, name="filler", daemon=True)
        self._thread.start()

    def want(self, first: int, last: int, direction: int = -1) -> None:
        """Have frames first..last at hand, or some more before them.

        Those at the end that `direction` comes from are made first.
        """
        first, last = max(first, 0), min(last, self._reader.n_frames - 1)
        first -= first % _GRAIN
        last = min(last, self._sure_last(self._reader.locate(last)[0]))
        with self._room:
            wanted = (first, last, direction)
            if wanted != self._wanted and first <= last:
                is_continued = self._wanted is not None and self._reaches(wanted)
                self._wanted = wanted
                if not is_continued:
                    self._changes += 1
                self._gave_up.clear()
                self._room.notify_all()

    def _reaches(self, wanted: tuple[int, int, int]) -> bool:
        """Whether what is being made is still wanted: a window that moves on overlaps itself."""
        assert self._wanted is not None
        first, last, direction = self._wanted
        return direction == wanted[2] and wanted[0] <= last and first <= wanted[1]

    def rest(self) -> None:
        """Want nothing: the decoder itself is needed."""
        with self._room:
            self._wanted = None
            self._changes += 1

    def wait_for(self, number: int, seconds: float) -> bool:
        """Wait until a frame is at hand; False if it did not come in time."""
        with self._room:
            return self._room.wait_for(
                lambda: (
                    self._is_closing
                    or number in self._gave_up
                    or self._reader.is_at_hand(number)
                    or self._wanted is None
                ),
                timeout=seconds,
            ) and self._reader.is_at_hand(number)

    def close(self) -> None:
        """Stop, and wait for it."""
        with self._room:
            self._is_closing = True
            self._changes += 1
            self._room.notify_all()
        self._thread.join()

    def _run(self) -> None:
        give_way()
        while (chunk := self._next_chunk()) is not None:
            first, last, changes = chunk
            try:
                self._reader.fill(first, last, partial(self._is_changed_since, changes))
            except ReadingStopped:
                continue
            except UserFacingError:
                pass  # whoever asks for the frame itself is told
            with self._room:
                missing = (n for n in range(first, last + 1) if not self._reader.is_at_hand(n))
                self._gave_up.update(missing)
                self._room.notify_all()

    def _is_changed_since(self, changes: int) -> bool:
        return changes != self._changes

    def _next_chunk(self) -> tuple[int, int, int] | None:
        with self._room:
            while not self._is_closing:
                chunk = self._missing()
                if chunk is not None:
                    return (*chunk, self._changes)
                self._room.wait()
        return None

    def _missing(self) -> tuple[int, int] | None:
        """The nearest frames that are wanted and not at hand."""
        if self._wanted is None:
            return None
        first, last, direction = self._wanted
        numbers = range(first, last + 1) if direction > 0 else range(last, first - 1, -1)
        start = next((n for n in numbers if self._lacks(n)), None)
        if start is None:
            return None
        reach = range(start, min(last, start + _CHUNK - 1) + 1)
        if direction < 0:
            reach = range(max(first, start - _CHUNK + 1), start + 1)
        lacking = [n for n in reach if self._lacks(n)]
        return lacking[0], lacking[-1]

    def _lacks(self, number: int) -> bool:
        return number not in self._gave_up and not self._reader.is_at_hand(number)
