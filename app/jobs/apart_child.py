"""The other side of `apart`: a process that does one deed after another and says what came of it.

Nothing here, and nothing that a deed imports, may import Qt.
"""

from __future__ import annotations

import gc
import inspect
import os
import pickle
import queue
import signal
import threading
import time
import traceback
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from typing import Any

from annotate.clip.stopping import ReadingStopped
from annotate.errors import UserFacingError
from app.jobs.work import Cancelled, Work

CALL, STOP = b"C", b"S"
"""First byte of what is sent here: a deed to do, or the wish to leave the one that runs."""

READY, AT, PART, DONE, TROUBLE, STOPPED, CANCELLED, FAULT = range(8)
"""What is said back, each with the number of the call and what belongs to it."""

_TELL_EVERY_S = 0.05
_QUIET = 5
"""By how much quiet work steps back behind everything else, on systems that know this."""


@dataclass(slots=True)
class ToldWork(Work):
    """Work whose progress is told to the process that asked for it."""

    connection: Connection | None = None
    number: int = 0
    told_s: float = field(default=float("-inf"))

    def advance(self, done: float, total: float = 1.0) -> None:
        """Say how far it is, at most some twenty times a second.

        Raises
        ------
        Cancelled
            If the user has asked to stop.
        """
        self.done, self.total = done, total
        now_s = time.monotonic()
        if self.connection is not None and (now_s - self.told_s >= _TELL_EVERY_S or done == total):
            self.told_s = now_s
            self.connection.send((AT, self.number, (done, total)))
        self.check()


def serve(connection: Connection, is_quiet: bool) -> None:
    """Do deeds until the other process is gone; the whole life of this one."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl+C is for the one that asks
    if is_quiet and hasattr(os, "nice"):
        os.nice(_QUIET)
    calls: queue.SimpleQueue[tuple[int, bytes]] = queue.SimpleQueue()
    stopped = _Stopped()
    threading.Thread(target=_listen, args=(connection, calls, stopped), daemon=True).start()
    connection.send((READY, 0, None))
    while True:
        number, content = calls.get()
        work = ToldWork(connection=connection, number=number)
        stopped.begin(number, work)
        try:
            _say(connection, number, *_outcome(content, work))
        except OSError:  # the other process is gone
            return
        gc.collect()


class _Stopped:
    """Which call is to be left; the wish may come before its call is begun or after its end."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._upto = 0
        self._number = 0
        self._work: Work | None = None

    def begin(self, number: int, work: Work) -> None:
        with self._lock:
            self._number, self._work = number, work
            if number <= self._upto:
                work.cancel.set()

    def stop(self, number: int) -> None:
        with self._lock:
            self._upto = number
            if self._work is not None and self._number == number:
                self._work.cancel.set()


def _listen(
    connection: Connection, calls: queue.SimpleQueue[tuple[int, bytes]], stopped: _Stopped
) -> None:
    try:
        while True:
            content = connection.recv_bytes()
            number = int.from_bytes(content[1:9], "big")
            if content[:1] == CALL:
                calls.put((number, content[9:]))
            else:
                stopped.stop(number)
    except (EOFError, OSError):
        os._exit(0)  # whoever asked is gone, and with it all that this was for


def _outcome(content: bytes, work: ToldWork) -> tuple[int, Any]:
    """Do a deed; what is to be said of it."""
    try:
        function, args = pickle.loads(content)  # noqa: S301 - from our own other half
        work.check()
        answer = function(*args, work=work)
        if inspect.isgenerator(answer):
            for part in answer:
                _say(work.connection, work.number, PART, part)
                work.check()
            answer = None
    except UserFacingError as error:
        return TROUBLE, (error.what, error.do)
    except ReadingStopped:
        return STOPPED, None
    except Cancelled:
        return CANCELLED, None
    except OSError as error:
        if isinstance(error, BrokenPipeError):
            raise
        return _fault(error)
    except BaseException as error:  # noqa: BLE001 - told to the other process, which reports it
        return _fault(error)
    return DONE, answer


def _fault(error: BaseException) -> tuple[int, Any]:
    text = "".join(traceback.format_exception(error))
    try:
        pickle.loads(pickle.dumps(error))  # noqa: S301 - some can be packed and not unpacked
    except Exception:  # noqa: BLE001 - its own words stand for it then
        return FAULT, (RuntimeError(str(error)), text)
    return FAULT, (error, text)


def _say(connection: Connection | None, number: int, kind: int, content: Any) -> None:
    if connection is None:
        return
    try:
        packed = pickle.dumps((kind, number, content), pickle.HIGHEST_PROTOCOL)
    except (TypeError, AttributeError, pickle.PicklingError) as error:
        packed = pickle.dumps((FAULT, number, _fault(error)[1]))
    connection.send_bytes(packed)
