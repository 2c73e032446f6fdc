"""A process that waits for deeds, and the one of each kind that is kept warm."""

from __future__ import annotations

import atexit
import multiprocessing
import pickle
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from app.jobs.apart_child import AT, CALL, PART, STOP, serve

NAME, QUIET_NAME = "scrubline-reader", "scrubline-quiet-reader"
KEPT_WARM_S = 30.0
_END_S = 1.0
_spawning = multiprocessing.get_context("spawn")


class ProcessDied(Exception):  # noqa: N818 - told to the user in other words
    """The process ended before it had answered."""


class HelperProcess:
    """One process and the line to it; used by one thread at a time.

    Attributes
    ----------
    is_busy : bool
        Whether a deed was asked for and has not been answered yet.
    """

    def __init__(self, is_quiet: bool) -> None:
        self._line, there = _spawning.Pipe()
        name = QUIET_NAME if is_quiet else NAME
        self._process = _spawning.Process(
            target=serve, args=(there, is_quiet), name=name, daemon=True
        )
        self._process.start()
        there.close()  # ours must be the only ends left, or neither would see the other go
        self.pid = self._process.pid
        self.is_quiet = is_quiet
        self.is_busy = False
        self.is_ready = False
        self._number = 0

    @property
    def is_alive(self) -> bool:
        """Whether it still runs."""
        return self._process.is_alive()

    def call(self, deed: bytes) -> int:
        """Ask for a packed function and arguments; the number of the call.

        Raises
        ------
        ProcessDied
            If it did.
        """
        self._number += 1
        self.is_busy = True
        self._send(CALL, self._number, deed)
        return self._number

    def can_read(self, timeout_s: float) -> bool:
        """Whether something was said, or the process is gone, within a time."""
        try:
            return self._line.poll(timeout_s)
        except OSError:
            return True  # reading says what is wrong

    def recv(self) -> tuple[int, int, Any]:
        """Kind, number of the call and content of what was said.

        Raises
        ------
        ProcessDied
            If it died before all was said.
        """
        try:
            kind, number, content = pickle.loads(self._line.recv_bytes())  # noqa: S301 - our own
        except (EOFError, OSError) as error:
            raise ProcessDied from error
        self.is_ready = True
        if number == self._number and kind not in {AT, PART}:
            self.is_busy = False
        return kind, number, content

    def leave(self, number: int, grace_s: float) -> None:
        """Have a deed left; a process that does not come back from it in time stays busy."""
        until_s = time.monotonic() + grace_s
        try:
            self._send(STOP, number, b"")
            while self.is_busy and (left_s := until_s - time.monotonic()) > 0:
                if self.can_read(left_s):
                    self.recv()
        except ProcessDied:
            return

    def end(self, *, at_once: bool = False) -> None:
        """End the process and leave nothing of it."""
        if at_once:
            self._process.kill()
        self._line.close()  # which is how a process that waits is told
        self._process.join(_END_S)
        if self._process.exitcode is None:
            self._process.kill()
            self._process.join()
        self._process.close()

    def _send(self, kind: bytes, number: int, content: bytes) -> None:
        try:
            self._line.send_bytes(kind + number.to_bytes(8, "big") + content)
        except OSError as error:
            raise ProcessDied from error


class _Shelf:
    """Processes that wait for their next deed: at most one quiet one and one that is not."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: dict[bool, HelperProcess] = {}
        self._timer: threading.Timer | None = None

    def take(self, is_quiet: bool) -> HelperProcess:
        with self._lock:
            helper = self._kept.pop(is_quiet, None)
            self._stop_timer_if_idle()
        if helper is not None and not helper.is_alive:
            helper.end(at_once=True)
            helper = None
        return helper or HelperProcess(is_quiet)

    def give_back(self, helper: HelperProcess) -> None:
        with self._lock:
            is_kept = helper.is_quiet not in self._kept
            if is_kept:
                self._kept[helper.is_quiet] = helper
                self._start_timer()
        if not is_kept:
            helper.end()

    def clear(self) -> None:
        with self._lock:
            kept, self._kept = list(self._kept.values()), {}
            self._stop_timer_if_idle()
        for helper in kept:
            helper.end()

    def _start_timer(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
        self._timer = threading.Timer(KEPT_WARM_S, self.clear)
        self._timer.daemon = True
        self._timer.name = "reader-idle"
        self._timer.start()

    def _stop_timer_if_idle(self) -> None:
        if self._timer is not None and not self._kept:
            self._timer.cancel()
            self._timer = None


_shelf = _Shelf()


@contextmanager
def taken(is_quiet: bool) -> Iterator[HelperProcess]:
    """Give a process, warm if there is one; it is kept afterwards unless it is still busy."""
    helper = _shelf.take(is_quiet)
    try:
        yield helper
    finally:
        if helper.is_busy or not helper.is_ready or not helper.is_alive:
            helper.end(at_once=True)
        else:
            _shelf.give_back(helper)


def end_kept() -> None:
    """End the processes that wait for a deed."""
    _shelf.clear()


atexit.register(end_kept)
