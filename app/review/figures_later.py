"""Figures that follow the tags without holding up a key press.

Adding up a long session takes longer than a key may. It is done beside the screen, once the tags
have rested for a moment; the newest tags win.
"""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from annotate.tags import Tag
from annotate.vocabulary import Vocabulary
from app.review.presenter import ReviewPresenter
from metrics.figures import SessionFigures
from metrics.from_tags import figures

_REST_MS = 150
_FEW_TAGS = 400
"""So many are added up at once, in about as long as a picture is shown."""


class FiguresLater(QObject):
    """Adds up when the tags have changed; listeners get the figures when they are there.

    Signals
    -------
    ready
        `metrics.figures.SessionFigures` of the tags as they are shown.
    """

    ready = Signal(object)
    _made = Signal(object, int)

    def __init__(self, presenter: ReviewPresenter, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self._vocabulary: Vocabulary = presenter.vocabulary
        self._number = 0
        self._is_busy = False
        self._pool: ThreadPoolExecutor | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._begin)
        self._made.connect(self._take)
        presenter.markup_changed.listen(self.follow)

    def follow(self) -> None:
        """Add up: few tags at once, many in a moment."""
        self._number += 1
        tags = self._presenter.shown_markup().tags
        if len(tags) <= _FEW_TAGS:
            self._timer.stop()
            self.ready.emit(figures(tags, self._vocabulary))
        else:
            self._timer.start(_REST_MS)

    @property
    def is_waiting(self) -> bool:
        """Whether figures of the newest tags are still to come."""
        return self._timer.isActive() or self._is_busy

    @Slot()
    def _begin(self) -> None:
        if self._is_busy:  # what is being added up is old; it is begun again after it
            return
        self._is_busy = True
        if self._pool is None:
            self._pool = ThreadPoolExecutor(1, thread_name_prefix="figures")
        tags, number = self._presenter.shown_markup().tags, self._number
        self._pool.submit(_sum_up, tags, self._vocabulary).add_done_callback(
            lambda done: self._made.emit(_result(done), number)
        )

    @Slot(object, int)
    def _take(self, made: SessionFigures | None, number: int) -> None:
        self._is_busy = False
        if made is not None:
            self.ready.emit(made)
        if number != self._number and not self._timer.isActive():
            self._timer.start(_REST_MS)

    def close(self) -> None:
        """Add up no more."""
        self._timer.stop()
        self._number += 1
        self._presenter.markup_changed.forget(self.follow)
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)


def _sum_up(tags: tuple[Tag, ...], vocabulary: Vocabulary) -> SessionFigures:
    return figures(tags, vocabulary)


def _result(done: Future[SessionFigures]) -> SessionFigures | None:
    return None if done.cancelled() else done.result()
