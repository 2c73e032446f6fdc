"""The timeline: the case strip drawn large, under a time ruler, with lanes beneath it.

The wheel zooms under the pointer, a click goes there, edges of spans are dragged.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

import pyqtgraph as pg
from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QContextMenuEvent,
    QKeyEvent,
    QMouseEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from annotate.clip.joins import Join
from annotate.clock import US_PER_S
from annotate.ids import RowId
from annotate.tags import Tag
from app.look.palette import Palette
from app.review.join_marks import join_marks
from app.review.lanes import Lane
from app.review.presenter import ReviewPresenter
from app.review.timeline_axes import LaneNames, TimeRuler
from app.review.timeline_gestures import Gesture
from app.review.timeline_item import LanesItem
from app.review.timeline_lanes import Lanes
from app.review.timeline_menu import TimelineMenus
from app.review.timeline_overview import Overview
from app.review.timeline_pointer import Pointer, make_tagging
from app.review.timeline_sight import TimelineSight
from app.review.timeline_under import Under

_SHORTEST_S = 0.05


class TimelineView(TimelineSight):
    """The timeline as a widget.

    Signals
    -------
    wished, passed
        A case time was gone to, or dragged over.
    chosen
        Id of what was clicked, or None.
    change_wished
        What is chosen was clicked twice.
    wished_action
        Id of an action that was chosen from a menu.
    folds_changed
        Ids of the lanes that are folded away.
    """

    wished = Signal(object)
    passed = Signal(object)
    chosen = Signal(object)
    change_wished = Signal()
    wished_action = Signal(str)
    folds_changed = Signal(object)

    def __init__(
        self, presenter: ReviewPresenter, palette: Palette, parent: QWidget | None = None
    ) -> None:
        self.presenter = self._presenter = presenter
        self.lanes = LanesItem(presenter, palette)
        self._ruler = TimeRuler(presenter)
        super().__init__(
            parent=parent,
            background=palette.ground,
            axisItems={"top": self._ruler, "left": LaneNames(self.lanes.lay_out)},
            enableMenu=False,
        )
        self.setAccessibleName("Timeline of the case")
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setMouseTracking(True)
        self.setFrameShape(self.Shape.NoFrame)
        plot = self.getPlotItem()
        plot.hideButtons()
        plot.hideAxis("bottom")
        plot.showAxis("top")
        box = plot.getViewBox()
        box.setMouseEnabled(x=False, y=False)
        box.setDefaultPadding(0)
        box.setYRange(0, 1, padding=0)
        length_s = presenter.length_us / US_PER_S
        box.setLimits(xMin=-length_s * 0.01, xMax=length_s * 1.01, minXRange=_SHORTEST_S)
        self.addItem(self.lanes)
        self._cursor = pg.InfiniteLine(0)
        self.addItem(self._cursor)
        self._was_in_sight = True
        self._lanes_shown: Collection[str] = ()
        self._dress(palette)
        self.under = Under(self)
        self.tagging, self.reshaping = make_tagging(self)
        self.pointer = Pointer(self)
        self.menus = TimelineMenus(self)
        self.overview = Overview(self)
        box.sigXRangeChanged.connect(self._follow_zoom)
        self.show_whole()
        presenter.markup_changed.listen(self._follow_markup)
        presenter.chosen_changed.listen(self.lanes.repaint_all)
        presenter.loop_changed.listen(self.lanes.repaint_all)
        presenter.playhead_moved.listen(self._follow)

    # What it shows

    def show_joins(self, joins: Sequence[Join | None]) -> None:
        """Show what was found at the joins of the parts."""
        self.lanes.joins = join_marks(self.presenter.case, joins)
        self.lanes.repaint_all()

    @property
    def folded(self) -> Collection[str]:
        """Ids of the lanes that are folded away."""
        return self.lanes.folded

    def fold(self, folded: Collection[str]) -> None:
        """Fold these lanes away, and no others."""
        if frozenset(folded) != frozenset(self.lanes.folded):
            self.lanes.folded = frozenset(folded)
            self._lay_out_again()
            self.folds_changed.emit(self.lanes.folded)

    def add_lane(self, lane: Lane) -> None:
        """Put a lane under the others."""
        self.lanes.known = (*self.lanes.known, lane)
        self.refresh_lanes()

    def refresh_lanes(self) -> None:
        """What lanes show has changed, apart from the session."""
        self._lay_out_again()

    def _lay_out_again(self) -> None:
        self.lanes.repaint_all()
        self.getPlotItem().getAxis("left").update()

    def _follow_markup(self) -> None:
        shown = {placed.lane.id for placed in self.lanes_area().placed}
        self.lanes.refresh()
        if shown != self._lanes_shown:
            self._lanes_shown = shown
            self._lay_out_again()
        self.overview.update()

    def _follow(self) -> None:
        """Take the playhead along; what was looked at elsewhere while it plays stays in sight."""
        was_in_sight, self._was_in_sight = self._was_in_sight, not self.head_side()
        self._cursor.setValue(self.presenter.playhead_us / US_PER_S)
        if self.head_side() and (was_in_sight or not self.presenter.is_playing):
            low, high = self.getViewBox().viewRange()[0]
            self.look_at(self.presenter.playhead_us / US_PER_S + 0.4 * (high - low))
            self._was_in_sight = True
        if self.presenter.running:
            self.lanes.refresh()
        self._ruler.follow_head()
        self.overview.update()

    def _follow_zoom(self, *_: object) -> None:
        self._was_in_sight = not self.head_side()
        self.lanes.update()  # else it would be painted after the ruler
        self._place_overview()
        self.overview.update()

    def _place_overview(self) -> None:
        is_shown = self.is_zoomed
        if is_shown == self.overview.isHidden():
            self.overview.setVisible(is_shown)
            below = self.overview.height() if is_shown else 0
            self.getPlotItem().layout.setContentsMargins(1, 1, 1, 1 + below)
            self.getPlotItem().layout.activate()
        self.overview.setGeometry(
            0, self.height() - self.overview.height(), self.width(), self.overview.height()
        )

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if hasattr(self, "overview") and self.getPlotItem() is not None:  # None once it is closed
            self._place_overview()

    # What is under the pointer

    def lanes_area(self) -> Lanes:
        """The lanes as they lie now."""
        return self.lanes.lay_out()

    def edge_at(self, position: QPointF) -> tuple[Tag, bool] | None:
        """The span whose start (True) or end (False) lies under a point."""
        return self.under.edge_at(position)

    def row_at(self, position: QPointF) -> RowId | None:
        """Id of what lies under a point: pins and ticks before spans."""
        return self.under.row_at(position)

    def words_at(self, position: QPointF) -> str:
        """What lies under a point: a tag, a comment, a join, else the time."""
        return self.under.words_at(position)

    # Pointer

    @property
    def dragged(self) -> Gesture | None:
        """What is held and goes back with Escape."""
        return self.pointer.held

    def abort_drag(self) -> bool:
        """Let what is dragged go where it was; False if nothing is."""
        return self.pointer.abort()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton:
            if self._ruler.is_on_head_sign(event.position()):
                self.show_playhead()
            else:
                self.pointer.press(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self.pointer.move(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton:
            self.pointer.release(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self.chosen.emit(self.row_at(event.position()))
        self.change_wished.emit()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        self.abort_drag()
        self.menus.show_at(QPointF(event.pos()), event.globalPos())
        event.accept()

    def wheelEvent(self, event: QWheelEvent) -> None:
        self.pointer.wheel(event)
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        event.ignore()

    def repaint_in(self, palette: Palette) -> None:
        """Take another theme's colours."""
        self.setBackground(QColor(palette.ground))
        self.lanes.palette = palette
        self._dress(palette)
        self.lanes.refresh()

    def _dress(self, palette: Palette) -> None:
        for name in ("top", "left"):
            axis = self.getPlotItem().getAxis(name)
            axis.setPen(palette.line)
            axis.setTextPen(palette.quiet)
        self._ruler.palette = palette
        self._cursor.setPen(pg.mkPen(palette.accent, width=2))
