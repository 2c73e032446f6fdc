"""Between the small pictures and the timeline: what was watched, and where two reviews differ."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QSizePolicy, QVBoxLayout, QWidget

from app.review.keeping_watched import KeepingWatched
from app.review.other_lane import OTHER, other_lane
from app.review.other_review import OtherReview
from app.review.presenter import ReviewPresenter
from app.review.timeline import TimelineView
from app.review.watched_line import WatchedLine


class UnderBand(QWidget):
    """A thin line always; a line of words while another review is laid over."""

    def __init__(
        self,
        presenter: ReviewPresenter,
        timeline: TimelineView,
        keeping: KeepingWatched,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._presenter, self._timeline = presenter, timeline
        self._other: OtherReview | None = None
        self.line = WatchedLine(presenter, timeline, keeping)
        self.words = QLabel("")
        self.words.setTextFormat(Qt.TextFormat.PlainText)
        self.words.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self.words.setAccessibleName("What the reviews say here")
        self.words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.words.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.words)
        column.addWidget(self.line)

    def show_other(self, other: OtherReview) -> None:
        """Show a review under this one as soon as it is laid there."""
        self._other = other
        other.changed.listen(self._follow_other)
        self._presenter.playhead_moved.listen(self._say)
        self._presenter.markup_changed.listen(self._say)

    def _follow_other(self) -> None:
        """The lane is named anew after whose review lies in it."""
        self._say()
        lanes = self._timeline.lanes
        if self._other is not None:
            rest = (lane for lane in lanes.known if lane.id != OTHER)
            lanes.known = (other_lane(self._other), *rest)
        lanes.refresh()

    def _say(self) -> None:
        words = self._other.words_at_playhead() if self._other else ""
        if words != self.words.text():
            self.words.setText(words)
            self.words.setToolTip(words)
        self.words.setVisible(bool(words))
