"""What the pointer does on the timeline: which gesture a press begins."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QMouseEvent, QWheelEvent

from annotate.ids import RowId
from annotate.markup import Row
from annotate.tags import Tag, TagKind
from app.look.pointed import pointed_words
from app.review.reshaping import Reshaping
from app.review.timeline_chosen import row_box
from app.review.timeline_gestures import EdgeDrag, Gesture, MoveDrag, Scrub, SpanDraw
from app.review.timeline_tagging import TimelineTagging

if TYPE_CHECKING:
    from app.review.timeline import TimelineView


class Pointer:
    """Turns presses and moves into gestures.

    Attributes
    ----------
    draws : bool
        Whether the next drag on the ribbon draws a span out, without Shift.
    """

    def __init__(self, timeline: TimelineView) -> None:
        self._timeline, self._presenter = timeline, timeline.presenter
        self.gesture: Gesture | None = None
        self.draws = False

    @property
    def held(self) -> Gesture | None:
        """A gesture that Escape takes back."""
        return self.gesture if self.gesture is not None and self.gesture.can_abort else None

    def press(self, event: QMouseEvent) -> None:
        """The left button is down."""
        spot, timeline, presenter = event.position(), self._timeline, self._presenter
        keys = event.modifiers()
        can_edit = presenter.can_edit
        row_id = timeline.row_at(spot)
        row = presenter.any_row(row_id)
        if can_edit and (keys & Qt.KeyboardModifier.ShiftModifier or self.draws):
            self.draws = False
            self.gesture = SpanDraw(timeline, event)
        elif keys & Qt.KeyboardModifier.ShiftModifier:
            timeline.tagging.choose_as_far(row_id)
        elif keys & Qt.KeyboardModifier.ControlModifier:
            if row is not None and row_id is not None:
                self.gesture = MoveDrag(timeline, row, spot) if can_edit else None
                if self.gesture is None:
                    presenter.choose_too(row_id)
        elif can_edit and (grip := timeline.under.grip_at(spot)) is not None:
            self.gesture = MoveDrag(timeline, grip, spot)
        elif can_edit and (edge := timeline.edge_at(spot)) is not None:
            timeline.chosen.emit(edge[0].id)
            self.gesture = EdgeDrag(timeline, *edge)
        else:
            self._go_there(spot, row_id, row, can_edit=can_edit)

    def _go_there(
        self, spot: QPointF, row_id: RowId | None, row: Row | None, *, can_edit: bool
    ) -> None:
        was_chosen = row_id is not None and row_id in self._presenter.chosen_ids
        self._timeline.chosen.emit(row_id)
        self._timeline.wished.emit(self._timeline.time_at(spot))
        if row is not None and can_edit and was_chosen and self._is_object(row, spot):
            self.gesture = MoveDrag(self._timeline, row, spot)
        else:
            self.gesture = Scrub(self._timeline)

    def _is_object(self, row: Row, spot: QPointF) -> bool:
        """Whether a chosen row can be taken hold of here; on the ribbon a drag scrubs."""
        if isinstance(row, Tag) and row.kind is not TagKind.EVENT:
            return False
        box = row_box(self._timeline.lanes_area(), row)
        return box is not None and box.contains(spot)

    def move(self, event: QMouseEvent) -> None:
        """The pointer moves, with or without a button."""
        if self.gesture is not None:
            self.gesture.move(event)
            return
        timeline, spot = self._timeline, event.position()
        shape = Qt.CursorShape.PointingHandCursor
        if self.draws or event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            shape = Qt.CursorShape.CrossCursor
        elif self._presenter.can_edit and timeline.under.grip_at(spot) is not None:
            shape = Qt.CursorShape.SizeAllCursor
        elif self._presenter.can_edit and timeline.edge_at(spot) is not None:
            shape = Qt.CursorShape.SizeHorCursor
        timeline.setCursor(shape)
        timeline.setToolTip(pointed_words(timeline.words_at(spot)))

    def release(self, event: QMouseEvent) -> None:
        """The left button is up."""
        gesture, self.gesture = self.gesture, None
        if gesture is None:
            return
        gesture.release(event)
        is_click = isinstance(gesture, MoveDrag) and not gesture.is_moving
        if is_click and event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            row_id = self._timeline.row_at(event.position())
            if row_id is not None:
                self._presenter.choose_too(row_id)

    def wheel(self, event: QWheelEvent) -> None:
        """Zoom under the pointer; with Shift, or across, go along."""
        timeline = self._timeline
        steps, across = event.angleDelta().y() / 120, event.angleDelta().x() / 120
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            steps, across = 0, across or steps
        box = timeline.getViewBox()
        low, high = box.viewRange()[0]
        if across:
            timeline.look_at((low + high) / 2 - across * (high - low) * 0.1)
        elif steps:
            timeline.zoom(1.25**steps, box.mapSceneToView(event.position()).x())

    def draw_next(self) -> None:
        """Let the next drag on the ribbon draw a span out."""
        self.draws = True
        self._timeline.setCursor(Qt.CursorShape.CrossCursor)

    def forget_stretch(self) -> None:
        """No stretch is being drawn out any more."""
        self._timeline.lanes.hint_us = None
        self._timeline.lanes.repaint_all()

    def abort(self) -> bool:
        """Let what is dragged go where it was; False if nothing is."""
        if self.draws and self.gesture is None:
            self.draws = False
            return True
        if self.held is None:
            return False
        self.held.end()
        self.gesture = None
        return True


def make_tagging(timeline: TimelineView) -> tuple[TimelineTagging, Reshaping]:
    """What a timeline's gestures and menus act by."""
    return TimelineTagging(timeline.presenter), Reshaping(timeline.presenter)
