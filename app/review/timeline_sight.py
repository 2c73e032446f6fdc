"""Which stretch of the case a timeline shows, and where moments lie on it."""

from __future__ import annotations

import pyqtgraph as pg
from PySide6.QtCore import QPoint, QPointF

from annotate.clock import US_PER_S
from app.review.presenter import ReviewPresenter

_WHOLE = 0.98
"""Of the case, from which on all of it counts as shown."""


class TimelineSight(pg.PlotWidget):
    """A plot along the case; its values across are seconds."""

    presenter: ReviewPresenter

    @property
    def is_zoomed(self) -> bool:
        """Whether there is more of the case than is shown."""
        low, high = self.getViewBox().viewRange()[0]
        return bool(high - low < _WHOLE * self.presenter.length_us / US_PER_S)

    def show_whole(self) -> None:
        """Show the whole case."""
        length_s = self.presenter.length_us / US_PER_S
        self.getViewBox().setXRange(-length_s * 0.005, length_s * 1.005, padding=0)

    def zoom(self, factor: float, centre_s: float | None = None) -> None:
        """Show a stretch shorter by `factor`, around a place or else around the playhead."""
        box = self.getViewBox()
        low, high = box.viewRange()[0]
        centre = self.presenter.playhead_us / US_PER_S if centre_s is None else centre_s
        box.setXRange(
            centre + (low - centre) / factor, centre + (high - centre) / factor, padding=0
        )

    def look_at(self, centre_s: float) -> None:
        """Show as long a stretch as now around another place, within the case."""
        low, high = self.getViewBox().viewRange()[0]
        length_s, width = self.presenter.length_us / US_PER_S, high - low
        start = min(max(centre_s - width / 2, -0.005 * length_s), 1.005 * length_s - width)
        self.getViewBox().setXRange(start, start + width, padding=0)

    def show_playhead(self) -> None:
        """Show the stretch around the playhead."""
        self.look_at(self.presenter.playhead_us / US_PER_S)

    def head_side(self) -> int:
        """-1 or 1 where the playhead lies before or after what is shown, else 0."""
        low, high = self.getViewBox().viewRange()[0]
        now_s = self.presenter.playhead_us / US_PER_S
        return -1 if now_s < low else int(now_s > high)

    def time_at(self, position: QPoint | QPointF) -> int:
        """Case time under a point of the widget."""
        point = self.getViewBox().mapSceneToView(QPointF(position))
        return max(0, min(round(point.x() * US_PER_S), self.presenter.length_us))

    def x_of(self, time_us: int) -> float:
        """Where a case time lies across the widget."""
        return float(self.getViewBox().mapViewToScene(QPointF(time_us / US_PER_S, 0)).x())
