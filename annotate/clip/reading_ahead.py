"""Frames decoded ahead on a thread of their own, while the caller converts those before."""

from __future__ import annotations

import queue
import threading
from collections.abc import Iterator
from typing import Protocol

from annotate.clip.frame import Frame
from annotate.clip.stopping import Cancel, ReadingStopped, stop_if

_LOOK_S = 0.05
"""How often either side looks whether the other one is still there."""


class FrameSource(Protocol):
    """Gives any frame, and may be called off; a `ClipReader` is one."""

    def frame(self, number: int, cancel: Cancel = None) -> Frame:
        """Give a frame."""


def frames_ahead(
    source: FrameSource, first: int, stop: int, ahead: int, cancel: Cancel = None
) -> Iterator[Frame]:
    """Give frames `first` to before `stop`, decoding up to `ahead` of them in advance.

    The source belongs to the thread until the last frame was given or the iterator is closed.

    Raises
    ------
    ReadingStopped
        If `cancel` asks for it.
    """
    decoding = _Decoding(source, range(first, stop), ahead)
    decoding.start()
    try:
        while (frame := decoding.next(cancel)) is not None:
            yield frame
    finally:
        decoding.is_over.set()
        decoding.join()


class _Decoding(threading.Thread):
    """Decodes into a short queue until it is told that it is over."""

    def __init__(self, source: FrameSource, numbers: range, ahead: int) -> None:
        super().__init__(name="frames ahead", daemon=True)
        self._source, self._numbers = source, numbers
        self._given: queue.Queue[Frame | Exception | None] = queue.Queue(maxsize=max(1, ahead))
        self.is_over = threading.Event()

    def run(self) -> None:
        """Decode all frames; what goes wrong is handed on to where they are wanted."""
        try:
            for number in self._numbers:
                self._put(self._source.frame(number, self.is_over))
        except ReadingStopped:
            return
        except Exception as error:  # noqa: BLE001 - raised again by `next`
            self._put(error)
        self._put(None)

    def next(self, cancel: Cancel) -> Frame | None:
        """Wait for the next frame; None after the last one."""
        while True:
            stop_if(cancel)
            try:
                entry = self._given.get(timeout=_LOOK_S)
            except queue.Empty:
                continue
            if isinstance(entry, Exception):
                raise entry
            return entry

    def _put(self, entry: Frame | Exception | None) -> None:
        while not self.is_over.is_set():
            try:
                self._given.put(entry, timeout=_LOOK_S)
            except queue.Full:
                continue
            return
