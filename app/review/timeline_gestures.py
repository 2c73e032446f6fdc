"""Gestures on the timeline, each from press to release: scrubbing, dragging, drawing out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QMouseEvent

from annotate.ids import RowId
from annotate.markup import Row
from annotate.tags import Tag
from app.review.snapping import Edges, snapped, snapped_to_frame

if TYPE_CHECKING:
    from app.review.timeline import TimelineView

SNAP_PX = 7
_MOVES_FROM_PX = 4
"""A press that is drawn so far is a drag."""


class Gesture:
    """What goes on between press and release.

    Attributes
    ----------
    can_abort : bool
        Whether Escape takes it back.
    """

    can_abort = True

    def __init__(self, timeline: TimelineView, skip: Sequence[RowId] = ()) -> None:
        self.timeline = timeline
        head = np.array([timeline.presenter.playhead_us], np.int64)
        self._edges: Edges = np.unique(np.concatenate((timeline.lanes.index.edges(skip), head)))

    def time_at(self, event: QMouseEvent) -> int:
        """Case time under the pointer, snapped unless Alt is held."""
        time_us = self.timeline.time_at(event.position())
        if event.modifiers() & Qt.KeyboardModifier.AltModifier:
            return time_us
        return self.snapped(time_us)

    def snapped(self, time_us: int) -> int:
        """The edge, the playhead or else the frame that is near."""
        per_px = self.timeline.lanes_area().scale.us_per_px
        found = snapped(time_us, self._edges, round(SNAP_PX * per_px))
        steps = self.timeline.presenter.frame_steps
        if found != time_us or steps is None:
            return found
        after_us = steps(time_us, 1)
        return snapped_to_frame(time_us, steps(after_us, -1), after_us)

    def move(self, event: QMouseEvent) -> None:
        """The pointer has moved."""

    def release(self, event: QMouseEvent) -> None:
        """The button was let go."""

    def end(self) -> None:
        """Show what is kept again."""
        self.timeline.lanes.preview, self.timeline.lanes.hint_us = None, None
        self.timeline.lanes.refresh()


class Scrub(Gesture):
    """The picture goes with the pointer."""

    can_abort = False

    def __init__(self, timeline: TimelineView) -> None:
        self.timeline = timeline

    def move(self, event: QMouseEvent) -> None:
        self.timeline.passed.emit(self.timeline.time_at(event.position()))

    def release(self, event: QMouseEvent) -> None:
        self.timeline.wished.emit(self.timeline.time_at(event.position()))


class EdgeDrag(Gesture):
    """An edge of a span goes with the pointer, and the picture with it; neighbours yield."""

    def __init__(self, timeline: TimelineView, tag: Tag, is_start: bool) -> None:
        super().__init__(timeline, (tag.id,))
        self._tag, self._is_start = tag, is_start

    def move(self, event: QMouseEvent) -> None:
        time_us, lanes = self.time_at(event), self.timeline.lanes
        _, lanes.preview = self.timeline.tagging.edge_preview(self._tag, self._is_start, time_us)
        lanes.refresh()
        self.timeline.passed.emit(time_us)

    def release(self, event: QMouseEvent) -> None:
        time_us = self.time_at(event)
        self.end()
        self.timeline.presenter.move_edge(self._tag.id, self._is_start, time_us)


class MoveDrag(Gesture):
    """All that is chosen goes with the pointer, once it has moved a little; else it was a click."""

    def __init__(self, timeline: TimelineView, lead: Row, pressed: QPointF) -> None:
        chosen = timeline.presenter.chosen_rows
        self._rows: Sequence[Row] = chosen if lead in chosen else (lead,)
        super().__init__(timeline, [row.id for row in self._rows])
        self._lead, self._pressed = lead, pressed
        self._is_moving = False

    @property
    def is_moving(self) -> bool:
        """Whether it is more than a click by now."""
        return self._is_moving

    def _shift(self, event: QMouseEvent) -> int:
        """How far to move: the start or the end of what was taken hold of snaps."""
        away = self.timeline.time_at(event.position()) - self.timeline.time_at(self._pressed)
        start_us = int(getattr(self._lead, "start_us", 0))
        end_us = getattr(self._lead, "end_us", None) or start_us
        if not event.modifiers() & Qt.KeyboardModifier.AltModifier:
            ends = [self.snapped(us + away) - us for us in {start_us, int(end_us)}]
            away = min(ends, key=lambda shift: abs(shift - away))
        return self.timeline.tagging.bounded(self._rows, away)

    def move(self, event: QMouseEvent) -> None:
        if abs(event.position().x() - self._pressed.x()) >= _MOVES_FROM_PX:
            self._is_moving = True
        if self._is_moving:
            lanes = self.timeline.lanes
            lanes.preview = self.timeline.tagging.move_preview(self._rows, self._shift(event))
            lanes.refresh()

    def release(self, event: QMouseEvent) -> None:
        self.end()
        if self._is_moving:
            shift_us, presenter = self._shift(event), self.timeline.presenter
            if self._lead.id not in presenter.chosen_ids:
                presenter.choose(self._lead.id)
            self.timeline.reshaping.shift(shift_us)


class SpanDraw(Gesture):
    """A stretch is drawn out; on release it gets its name."""

    def __init__(self, timeline: TimelineView, event: QMouseEvent) -> None:
        super().__init__(timeline)
        self._from_us = self.time_at(event)
        self._pressed = event.position()

    def _stretch(self, event: QMouseEvent) -> tuple[int, int]:
        low, high = sorted((self._from_us, self.time_at(event)))
        return low, high

    def move(self, event: QMouseEvent) -> None:
        self.timeline.lanes.hint_us = self._stretch(event)
        self.timeline.lanes.repaint_all()
        self.timeline.passed.emit(self.time_at(event))

    def release(self, event: QMouseEvent) -> None:
        stretch = self._stretch(event)
        is_drag = abs(event.position().x() - self._pressed.x()) >= _MOVES_FROM_PX
        if not is_drag or stretch[0] == stretch[1]:
            self.end()
            self.timeline.tagging.choose_as_far(self.timeline.row_at(event.position()))
            return
        self.timeline.lanes.hint_us = stretch  # stays until it has a name or none is given
        self.timeline.lanes.repaint_all()
        self.timeline.menus.name_stretch(stretch, event.globalPosition().toPoint())
