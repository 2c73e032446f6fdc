"""The timeline: the case strip drawn large, under a time ruler, with a lane for comments.

The wheel zooms under the pointer, a click goes there, edges of spans are dragged.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pyqtgraph as pg
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QWheelEvent
from PySide6.QtWidgets import QWidget

from annotate.clip.joins import Join
from annotate.clock import US_PER_S, format_time
from annotate.tags import Tag, TagKind
from app.look.palette import Palette
from app.review.join_marks import join_at, join_marks, paint_joins
from app.review.loop_paint import paint_loop
from app.review.presenter import ReviewPresenter
from app.review.timeline_axes import LaneNames, TimeRuler
from app.review.timeline_paint import Lanes, paint_lanes
from app.strip.layout import strip_content

_EDGE_PX = 5
_NEAR_PX = 7


class LanesItem(pg.GraphicsObject):
    """One item that paints what is visible of the whole case."""

    def __init__(self, presenter: ReviewPresenter, palette: Palette) -> None:
        super().__init__()
        self._presenter = presenter
        self.palette = palette
        self.preview: Tag | None = None
        self.joins = join_marks(presenter.case)
        self._gaps = presenter.case.clock.gaps
        self.refresh()

    def refresh(self) -> None:
        """Look at the session again."""
        markup = self._presenter.shown_markup()
        if self.preview is not None:
            kept = tuple(self.preview if t.id == self.preview.id else t for t in markup.tags)
            markup = replace(markup, tags=kept)
        self._content = strip_content(
            markup, self._presenter.vocabulary, self._presenter.length_us, self._gaps
        )
        self.update()

    def boundingRect(self) -> QRectF:
        return QRectF(-1e6, 0, 1e7, 1)

    def paint(self, painter: QPainter, *_: Any) -> None:
        box = self.getViewBox()
        if box is None:
            return
        area = box.sceneBoundingRect()
        (low, high), _y = box.viewRange()
        painter.save()
        try:
            painter.resetTransform()
            painter.setClipRect(area)
            lanes = Lanes(area, round(low * US_PER_S), round(high * US_PER_S))
            paint_lanes(painter, lanes, self._content, self.palette, self._presenter.chosen)
            paint_joins(painter, lanes, self.joins, self.palette)
            paint_loop(painter, lanes, self._presenter.loop_edges, self.palette)
        finally:
            painter.restore()  # a painter left open takes the whole process down


class TimelineView(pg.PlotWidget):
    """The timeline as a widget."""

    wished = Signal(object)
    passed = Signal(object)
    chosen = Signal(object)
    change_wished = Signal()

    def __init__(
        self, presenter: ReviewPresenter, palette: Palette, parent: QWidget | None = None
    ) -> None:
        super().__init__(
            parent=parent,
            background=palette.ground,
            axisItems={"top": TimeRuler("top"), "left": LaneNames()},
            enableMenu=False,
        )
        self._presenter = presenter
        self.dragged: tuple[Tag, bool] | None = None
        self._is_scrubbing = False
        self.setAccessibleName("Timeline of the case")
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setMouseTracking(True)
        self.setFrameShape(self.Shape.NoFrame)
        plot = self.getPlotItem()
        plot.hideButtons()
        plot.hideAxis("bottom")
        plot.showAxis("top")
        self._dress_axes(palette)
        box = plot.getViewBox()
        box.setMouseEnabled(x=False, y=False)
        box.setDefaultPadding(0)
        box.setYRange(0, 1, padding=0)
        length_s = presenter.length_us / US_PER_S
        box.setLimits(xMin=-length_s * 0.01, xMax=length_s * 1.01, minXRange=0.05)
        self.lanes = LanesItem(presenter, palette)
        self.addItem(self.lanes)
        self._cursor = pg.InfiniteLine(0, pen=pg.mkPen(palette.accent, width=2))
        self.addItem(self._cursor)
        self.show_whole()
        presenter.markup_changed.listen(self.lanes.refresh)
        presenter.chosen_changed.listen(self.lanes.refresh)
        presenter.loop_changed.listen(self.lanes.refresh)
        presenter.playhead_moved.listen(self._follow)

    # What it shows

    def show_whole(self) -> None:
        """Show the whole case."""
        length_s = self._presenter.length_us / US_PER_S
        self.getViewBox().setXRange(-length_s * 0.005, length_s * 1.005, padding=0)

    def zoom(self, factor: float, centre_s: float | None = None) -> None:
        """Show a stretch shorter by `factor`, around a place or else around the playhead."""
        box = self.getViewBox()
        low, high = box.viewRange()[0]
        centre = self._presenter.playhead_us / US_PER_S if centre_s is None else centre_s
        box.setXRange(
            centre + (low - centre) / factor, centre + (high - centre) / factor, padding=0
        )

    def show_joins(self, joins: Sequence[Join | None]) -> None:
        """Show what was found at the joins of the parts."""
        self.lanes.joins = join_marks(self._presenter.case, joins)
        self.lanes.update()

    def _follow(self) -> None:
        now_s = self._presenter.playhead_us / US_PER_S
        self._cursor.setValue(now_s)
        low, high = self.getViewBox().viewRange()[0]
        if not low <= now_s <= high:
            width = high - low
            start = max(now_s - width * 0.1, 0.0)
            self.getViewBox().setXRange(start, start + width, padding=0)
        if self._presenter.running:
            self.lanes.refresh()

    # What is under the pointer

    def time_at(self, position: QPoint | QPointF) -> int:
        """Case time under a point of the widget."""
        point = self.getViewBox().mapSceneToView(QPointF(position))
        return max(0, min(round(point.x() * US_PER_S), self._presenter.length_us))

    def x_of(self, time_us: int) -> float:
        """Where a case time lies across the widget."""
        return float(self.getViewBox().mapViewToScene(QPointF(time_us / US_PER_S, 0)).x())

    def lanes_area(self) -> Lanes:
        """The lanes as they lie now."""
        low, high = self.getViewBox().viewRange()[0]
        area = self.getViewBox().sceneBoundingRect()
        return Lanes(area, round(low * US_PER_S), round(high * US_PER_S))

    def edge_at(self, position: QPointF) -> tuple[Tag, bool] | None:
        """The span whose start (True) or end (False) lies under a point."""
        if not self.lanes_area().is_in_ribbon(position.y()):
            return None
        best: tuple[float, Tag, bool] | None = None
        for tag in self._presenter.markup.tags:
            if tag.end_us is None or tag.kind is TagKind.EVENT:
                continue
            for is_start, edge_us in ((True, tag.start_us), (False, tag.end_us)):
                away = abs(self.x_of(edge_us) - position.x())
                favours = tag.id == self._presenter.chosen
                if away <= _EDGE_PX and (best is None or away - favours < best[0]):
                    best = (away - favours, tag, is_start)
        return (best[1], best[2]) if best else None

    def row_at(self, position: QPointF) -> object | None:
        """Id of the tag or comment under a point: pins and ticks before spans."""
        lanes = self.lanes_area()
        markup = self._presenter.markup
        points = [
            *((c.id, c.start_us) for c in markup.comments if lanes.is_in_comments(position.y())),
            *((t.id, t.start_us) for t in markup.tags if t.kind is TagKind.EVENT),
        ]
        near = [(abs(self.x_of(at) - position.x()), row_id) for row_id, at in points]
        if near and min(near)[0] <= _NEAR_PX:
            return min(near)[1]
        time_us = self.time_at(position)
        spans = [t for t in markup.tags if t.end_us and t.start_us <= time_us < t.end_us]
        if not spans or not lanes.is_in_ribbon(position.y()):
            return None
        return min(spans, key=lambda tag: (tag.end_us or 0) - tag.start_us).id

    # Pointer

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() is not Qt.MouseButton.LeftButton:
            return
        position = event.position()
        self.dragged = None if self._presenter.is_signed else self.edge_at(position)
        if self.dragged is not None:
            self.chosen.emit(self.dragged[0].id)
            return
        self.chosen.emit(self.row_at(position))
        self._is_scrubbing = True
        self.wished.emit(self.time_at(position))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        position = event.position()
        if self.dragged is not None:
            tag, is_start = self.dragged
            time_us = self.time_at(position)
            self.lanes.preview = self._presenter.edge_preview(tag, is_start, time_us)
            self.lanes.refresh()
            self.passed.emit(time_us)
        elif self._is_scrubbing:
            self.passed.emit(self.time_at(position))
        else:
            self._hover(position)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._is_scrubbing:
            self._is_scrubbing = False
            self.wished.emit(self.time_at(event.position()))
        if self.dragged is None:
            return
        tag, is_start = self.dragged
        self.dragged, self.lanes.preview = None, None
        self._presenter.move_edge(tag.id, is_start, self.time_at(event.position()))
        self.lanes.refresh()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self.chosen.emit(self.row_at(event.position()))
        self.change_wished.emit()

    def abort_drag(self) -> bool:
        """Let the dragged edge go where it was; False if none is dragged."""
        if self.dragged is None:
            return False
        self.dragged, self.lanes.preview = None, None
        self.lanes.refresh()
        return True

    def _hover(self, position: QPointF) -> None:
        is_edge = self.edge_at(position) is not None
        self.setCursor(
            Qt.CursorShape.SizeHorCursor if is_edge else Qt.CursorShape.PointingHandCursor
        )
        self.setToolTip(self.words_at(position))

    def words_at(self, position: QPointF) -> str:
        """What lies under a point: a tag, a comment, a join, else the time."""
        row = self._presenter.row(self.row_at(position))  # type: ignore[arg-type]
        join = join_at(self.lanes.joins, self.lanes_area(), position.x(), _EDGE_PX)
        if row is None or (join is not None and not self.lanes_area().is_in_ribbon(position.y())):
            return join.words if join else format_time(self.time_at(position))
        span = format_time(row.start_us)
        if row.end_us:
            span += f" to {format_time(row.end_us)}"
        if isinstance(row, Tag):
            return f"{self._presenter.vocabulary.label(row.code)}\n{span}\n{row.comment}".strip()
        return f"{row.text[:200]}\n{span}"

    def wheelEvent(self, event: QWheelEvent) -> None:
        steps = event.angleDelta().y() / 120
        across = event.angleDelta().x() / 120
        box = self.getViewBox()
        low, high = box.viewRange()[0]
        if across:
            shift = -across * (high - low) * 0.1
            box.setXRange(low + shift, high + shift, padding=0)
        elif steps:
            self.zoom(1.25**steps, box.mapSceneToView(event.position()).x())
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        event.ignore()

    def repaint_in(self, palette: Palette) -> None:
        """Take another theme's colours."""
        self.setBackground(QColor(palette.ground))
        self.lanes.palette = palette
        self._dress_axes(palette)
        self._cursor.setPen(pg.mkPen(palette.accent, width=2))
        self.lanes.refresh()

    def _dress_axes(self, palette: Palette) -> None:
        for name in ("top", "left"):
            axis = self.getPlotItem().getAxis(name)
            axis.setPen(palette.line)
            axis.setTextPen(palette.quiet)
