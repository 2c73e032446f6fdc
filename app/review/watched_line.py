"""A thin line along the timeline: which parts of the case were watched."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look.palette import Palette
from app.look.theme import current_palette
from app.review.keeping_watched import KeepingWatched
from app.review.presenter import ReviewPresenter
from app.review.timeline import TimelineView
from app.watched_words import watched_for, watched_words
from metrics.intervals import Spans

HEIGHT_PX = 6
WATCHED_KEY = "Line: watched at 2x or slower. Dots: faster. Nothing: not watched yet."


class WatchedLine(QWidget):
    """Follows the timeline's zoom; a case without a recording has none."""

    def __init__(
        self,
        presenter: ReviewPresenter,
        timeline: TimelineView,
        keeping: KeepingWatched,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._presenter, self._timeline = presenter, timeline
        self._seen: Spans = ()
        self._slow: Spans = ()
        self.setFixedHeight(HEIGHT_PX)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("What was watched")
        self.setVisible(bool(presenter.case.clips))
        timeline.getViewBox().sigXRangeChanged.connect(self._follow_zoom)
        keeping.kept.connect(self.look_again)
        self.look_again()

    def look_again(self) -> None:
        """Add up what was watched by now."""
        here = self._presenter
        found = watched_for(here.store, here.case, here.session)
        if found is not None:
            self._seen, self._slow = found.seen, found.slow
            words = f"Watched: {watched_words(found)}."
            self.setToolTip(f"{words}\n{WATCHED_KEY}")
            self.setAccessibleDescription(words)
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        palette = current_palette()
        painter = QPainter(self)
        try:
            painter.fillRect(self.rect(), QColor(palette.ground))
            painter.setClipRect(
                self._timeline.lanes_area().area.toRect().adjusted(0, -9999, 0, 9999)
            )
            box = QRectF(self.rect())
            paint_watched(painter, self._seen, self._slow, box, self._timeline.x_of, palette)
        finally:
            painter.end()

    def _follow_zoom(self, *_: object) -> None:
        self.update()


def paint_watched(
    painter: QPainter,
    seen: Spans,
    slow: Spans,
    box: QRectF,
    x_of: Callable[[int], float],
    palette: Palette,
) -> None:
    """Dots along the middle of a box where the case was watched, a line where at 2x or slower."""
    fast_pen = QPen(QColor(palette.quiet), 1.5, Qt.PenStyle.DotLine)
    for spans, pen in ((seen, fast_pen), (slow, QPen(QColor(palette.quiet), 2.5))):
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        painter.setPen(pen)
        y = box.center().y()
        for start_us, end_us in spans:
            left, right = x_of(start_us), x_of(end_us)
            if right >= box.left() and left <= box.right():
                left, right = max(left, box.left()), min(right, box.right())
                painter.drawLine(QPointF(left, y), QPointF(max(right, left + 1), y))
