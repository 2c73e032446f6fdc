"""Searches beside the screen while one types; the newest words win."""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from annotate.errors import UserFacingError
from app.reporting import report_fault
from app.searching.answers import Answer, Searching

REST_MS = 60
"""How long typing rests before it is searched."""


class Searcher(QObject):
    """One thread that searches; close it before the store is closed.

    Signals
    -------
    found
        An `Answer`.
    failed
        A sentence.
    """

    found = Signal(object)
    failed = Signal(str)
    _made = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._searching: Searching | None = None
        self._query = ""
        self._asked: str | None = None
        self._pool: ThreadPoolExecutor | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(REST_MS)
        self._timer.timeout.connect(self._begin)
        self._made.connect(self._take)

    def open(self, searching: Searching) -> None:
        """Search with this from now on."""
        self._searching = searching

    def ask(self, query: str) -> None:
        """Search for these words once typing rests."""
        self._query = query
        self._timer.start()

    @property
    def is_busy(self) -> bool:
        """Whether an answer is still to come."""
        return self._timer.isActive() or self._asked is not None

    @Slot()
    def _begin(self) -> None:
        if self._asked is not None or self._searching is None:
            return  # what is being searched for is old; the newest words come after it
        if self._pool is None:
            self._pool = ThreadPoolExecutor(1, thread_name_prefix="work-search")
        self._asked = self._query
        self._pool.submit(self._searching.ask, self._query).add_done_callback(self._send)

    def _send(self, done: Future[Answer]) -> None:
        """On the thread: send what came of it."""
        if done.cancelled():
            return
        fault = done.exception()
        if fault is None:
            self._made.emit(done.result())
        else:
            words = str(fault) if isinstance(fault, UserFacingError) else report_fault(fault)
            self._made.emit(words)

    @Slot(object)
    def _take(self, came: Answer | str) -> None:
        asked, self._asked = self._asked, None
        if self._pool is None:  # closed meanwhile
            return
        if asked != self._query:
            self._begin()
        elif isinstance(came, str):
            self.failed.emit(came)
        else:
            self.found.emit(came)

    def close(self) -> None:
        """Search no more; the thread ends."""
        self._timer.stop()
        pool, self._pool = self._pool, None
        if pool is not None:
            pool.shutdown(wait=True, cancel_futures=True)
        self._asked = None
