"""Run long work on a thread, show how far it is, and bring the answer back to the desk.

The desk looks at the work every tenth of a second; the work itself sends no signals.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal

from annotate.clip import ReadingStopped
from annotate.errors import UserFacingError
from app.jobs.work import Cancelled, Work
from app.reporting import report_fault

_LOOK_MS = 100
_log = logging.getLogger(__name__)


@dataclass(slots=True)
class _Running:
    work: Work
    future: Future[Any]
    on_done: Callable[[Any], object]
    on_trouble: Callable[[str], object]


class Background(QObject):
    """A queue of long work with one thread. Close it before dropping it.

    Signals
    -------
    progressed
        Something about the work that runs has changed; look at `current`.
    idle
        Nothing runs any more.
    """

    progressed = Signal()
    idle = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="work")
        self._queue: list[_Running] = []
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOK_MS)
        self._timer.timeout.connect(self._look)

    @property
    def current(self) -> Work | None:
        """The work at the head of the queue."""
        return self._queue[0].work if self._queue else None

    @property
    def asked_for(self) -> Work | None:
        """The first work that would have to be asked for again if it were stopped."""
        return next((each.work for each in self._queue if not each.work.is_derived), None)

    def run(
        self,
        title: str,
        deed: Callable[[Work], Any],
        on_done: Callable[[Any], object],
        on_trouble: Callable[[str], object],
        *,
        is_derived: bool = False,
    ) -> Work:
        """Do `deed` on the work's thread; then call one of the two on this thread.

        A cancelled deed calls neither.
        """
        work = Work(title, decodes_apart=True, is_derived=is_derived)
        self._queue.append(_Running(work, self._pool.submit(deed, work), on_done, on_trouble))
        self._timer.start()
        return work

    def cancel_all(self) -> None:
        """Ask everything to stop."""
        for running in self._queue:
            running.work.cancel.set()
            running.future.cancel()

    def close(self) -> None:
        """Stop everything and wait for it; answers are dropped."""
        self.cancel_all()
        self._timer.stop()
        self._pool.shutdown(wait=True, cancel_futures=True)
        self._queue.clear()

    def _look(self) -> None:
        while self._queue and self._queue[0].future.done():
            self._finish(self._queue.pop(0))
        if self._queue:
            self.progressed.emit()
        else:
            self._timer.stop()
            self.idle.emit()

    def _finish(self, running: _Running) -> None:
        if running.future.cancelled():
            return
        fault = running.future.exception()
        if fault is None:
            running.on_done(running.future.result())
        elif isinstance(fault, UserFacingError):
            running.on_trouble(str(fault))
        elif not isinstance(fault, Cancelled | ReadingStopped):
            _log.error("background work failed: %s", type(fault).__name__)
            running.on_trouble(report_fault(fault))
