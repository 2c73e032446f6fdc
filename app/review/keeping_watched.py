"""Brings what was watched to the store while it runs, never within a key press."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer, Signal

from app.review.presenter import ReviewPresenter
from app.review.watching import Watching
from store import Store

EVERY_MS = 4000
"""What a kill may lose of a run."""


class KeepingWatched(QObject):
    """Flushes some seconds after something began to run, and after each pause.

    Attributes
    ----------
    beat : QTimer
        Runs while the clip does.

    Signals
    -------
    kept
        More of the case is noted as watched.
    """

    kept = Signal()

    def __init__(
        self, store: Store, presenter: ReviewPresenter, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self.watching = Watching(store, presenter)
        self._presenter = presenter
        self.beat = self._timer(EVERY_MS, is_once=False)
        self._soon = self._timer(0, is_once=True)
        presenter.play_changed.listen(self._follow)

    def _timer(self, ms: int, *, is_once: bool) -> QTimer:
        timer = QTimer(self)
        timer.setInterval(ms)
        timer.setSingleShot(is_once)
        timer.timeout.connect(self.flush)
        return timer

    def _follow(self) -> None:
        if not self._presenter.is_playing:
            self.beat.stop()
            self._soon.start()
        elif not self.beat.isActive():
            self.beat.start()

    def flush(self) -> None:
        """Keep what ran so far."""
        if self.watching.waiting and self.watching.flush():
            self.kept.emit()

    def close(self) -> None:
        """Keep the rest and note no more."""
        self.beat.stop()
        self._soon.stop()
        self._presenter.play_changed.forget(self._follow)
        self.watching.close()
