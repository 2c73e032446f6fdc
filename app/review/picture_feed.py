"""Pictures for the player, decoded and fitted on a thread of their own.

Requests replace each other: the newest wins. While playing, the thread keeps the beat itself
and leaves a picture in the mailbox when it is due; late ones are dropped before they are
converted. A signal without payload says that the mailbox has something.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, Signal

from annotate.clip import CaseFrame, CaseReader, ReadingStopped
from annotate.errors import UserFacingError

US_PER_S = 1_000_000


@dataclass(frozen=True, slots=True)
class Shown:
    """A picture to paint.

    Attributes
    ----------
    pixels : ndarray of uint8, shape (height, width, 4)
        BGRA.
    number : int
        Case-wide frame number.
    time_us, until_us : int
        Case time from which and until which it is the one to show.
    """

    pixels: NDArray[np.uint8]
    number: int
    time_us: int
    until_us: int


@dataclass(frozen=True, slots=True)
class _Wish:
    """What the thread should do next; `epoch` grows with each."""

    epoch: int
    number: int
    is_playing: bool
    speed: float


class PictureFeed(QObject):
    """Decodes for one screen. Make it on the main thread; call `close` before dropping it.

    Parameters
    ----------
    open_reader : callable
        Opens the case's clips; called on the feed's own thread, where the reader stays.
    """

    picture_came = Signal()
    clip_ended = Signal()
    opened = Signal()
    failed = Signal(str)

    def __init__(
        self, open_reader: Callable[[], CaseReader], parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._open_reader = open_reader
        self._room = threading.Condition()
        self._wish: _Wish | None = None
        self._epoch = 0
        self._is_closing = False
        self._fit = (0, 0)
        self._mailbox: Shown | None = None
        self.reader_facts: tuple[int, int, tuple[int, int]] | None = None
        """Frames, length in microseconds and shown size, once opened."""
        self._number_at: Callable[[int], int] | None = None
        self._thread = threading.Thread(target=self._run, name="pictures", daemon=True)
        self._thread.start()

    # Called on the main thread

    def show_number(self, number: int) -> None:
        """Show exactly that frame and stand still."""
        self._ask(number, is_playing=False, speed=1.0)

    def number_at(self, time_us: int) -> int:
        """Number of the frame shown at a case time; 0 until the case is open."""
        return self._number_at(time_us) if self._number_at else 0

    def play(self, number: int, speed: float) -> None:
        """Run from that frame on."""
        self._ask(number, is_playing=True, speed=speed)

    def fit(self, width: int, height: int) -> None:
        """Give pictures in this many device pixels from now on, their shape kept."""
        with self._room:
            self._fit = (width, height)

    def take(self) -> Shown | None:
        """Empty the mailbox."""
        with self._room:
            shown, self._mailbox = self._mailbox, None
            return shown

    def close(self) -> None:
        """Stop the thread and wait for it."""
        with self._room:
            self._is_closing = True
            self._room.notify_all()
        self._thread.join()

    def _ask(self, number: int, *, is_playing: bool, speed: float) -> None:
        with self._room:
            self._epoch += 1
            self._wish = _Wish(self._epoch, number, is_playing, speed)
            self._room.notify_all()

    # Called on the feed's thread

    def _run(self) -> None:
        try:
            reader = self._open_reader()
        except UserFacingError as trouble:
            self.failed.emit(str(trouble))
            return
        try:
            first = reader.frame(0)
            self.reader_facts = (reader.n_frames, reader.clock.duration_us, first.frame.shown_size)
            self._number_at = reader.number_at
            self.opened.emit()
            while (wish := self._next_wish()) is not None:
                self._serve(reader, wish)
        except UserFacingError as trouble:
            self.failed.emit(str(trouble))
        finally:
            reader.close()

    def _next_wish(self) -> _Wish | None:
        with self._room:
            while self._wish is None and not self._is_closing:
                self._room.wait()
            wish, self._wish = self._wish, None
            return None if self._is_closing else wish

    def _is_stale(self, wish: _Wish) -> bool:
        return self._is_closing or self._epoch != wish.epoch

    def _serve(self, reader: CaseReader, wish: _Wish) -> None:
        try:
            if wish.is_playing:
                self._play(reader, wish)
            else:
                frame = reader.frame(wish.number, cancel=lambda: self._is_closing)
                self._post(reader, frame)
        except ReadingStopped:
            return

    def _play(self, reader: CaseReader, wish: _Wish) -> None:
        began_s = time.monotonic()
        began_us = reader.time_of(wish.number)
        number, last = wish.number, reader.n_frames - 1
        while not self._is_stale(wish):
            frame = reader.frame(number, cancel=lambda: self._is_stale(wish))
            due_s = began_s + (frame.time_us - began_us) / US_PER_S / wish.speed
            if not self._wait_until(due_s, wish):
                return
            self._post(reader, frame)
            if number == last:
                self.clip_ended.emit()
                return
            ran_us = (time.monotonic() - began_s) * wish.speed * US_PER_S
            number = min(max(number + 1, reader.number_at(int(began_us + ran_us))), last)

    def _wait_until(self, due_s: float, wish: _Wish) -> bool:
        """Wait for a picture's moment; False if something else is wished for meanwhile."""
        with self._room:
            while not self._is_stale(wish):
                left_s = due_s - time.monotonic()
                if left_s <= 0:
                    return True
                self._room.wait(left_s)
        return False

    def _post(self, reader: CaseReader, found: CaseFrame) -> None:
        width, height = fitted_size(found.frame.shown_size, self._fit)
        pixels = found.frame.fitted(width, height)
        is_last = found.number + 1 >= reader.n_frames
        until_us = reader.clock.duration_us if is_last else reader.time_of(found.number + 1)
        shown = Shown(pixels, found.number, found.time_us, until_us)
        with self._room:
            was_empty, self._mailbox = self._mailbox is None, shown
        if was_empty:
            self.picture_came.emit()


def fitted_size(picture: tuple[int, int], room: tuple[int, int]) -> tuple[int, int]:
    """Largest size of the picture's shape that fits the room; its own size where there is none."""
    width, height = picture
    if min(room) < 2:
        return picture
    scale = min(room[0] / width, room[1] / height)
    return max(round(width * scale), 1), max(round(height * scale), 1)
