"""What is chosen on the timeline: an outline each, and a grip by which a whole span is moved."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from annotate.ids import RowId
from annotate.marks import Mark, Setting
from annotate.tags import Comment, Leaning, Tag, TagKind
from app.look.palette import Palette
from app.review.lanes import COMMENTS, MARKS, SETTINGS
from app.review.timeline_detail import comment_row
from app.review.timeline_lanes import Lanes
from app.strip.paint_qt import colour

GRIP_PX = 26.0
_ROOMY_PX = 44.0
_GRIP_HEIGHT_PX = 9.0
_GRIP_IN_PX = 9.0
"""From the end of the span: its name stands at the start, and the edge itself stays free."""


def paint_chosen(
    painter: QPainter,
    lanes: Lanes,
    rows: Iterable[tuple[object, int | None]],
    palette: Palette,
    *,
    lead: RowId | None,
    hint_us: tuple[int, int] | None = None,
) -> None:
    """Outline what is chosen; the one that was chosen last has a grip, others a thinner line.

    Parameters
    ----------
    rows : iterable of (object, int or None)
        What is chosen; of a comment its place among all.
    """
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for row, place in rows:
        box = row_box(lanes, row, place)
        if box is None or box.right() < lanes.area.x() or box.left() > lanes.area.right():
            continue
        box = box.intersected(lanes.area.adjusted(-6, -6, 6, 6))
        is_lead = getattr(row, "id", None) == lead
        painter.setPen(QPen(colour(palette.text), 2 if is_lead else 1.2))
        painter.drawRoundedRect(box, 4, 4)
        if is_lead and isinstance(row, Tag):
            _paint_grip(painter, grip_box(lanes, row), palette)
    if hint_us is not None:
        _paint_hint(painter, lanes, hint_us, palette)


def row_box(lanes: Lanes, row: object, place_among: int | None = None) -> QRectF | None:
    """Where a row is drawn; None where it is not.

    Parameters
    ----------
    place_among : int or None
        Of a comment, its place among all: in which row of its lane it stands.
    """
    top, bottom = lanes.strip.ribbon
    ribbon_top, ribbon_bottom = lanes.area.y() + top, lanes.area.y() + bottom
    if isinstance(row, Comment | Mark | Setting):
        lane = {Comment: COMMENTS, Mark: MARKS, Setting: SETTINGS}[type(row)]
        place = lanes.place_of(lane)
        if place is None:
            return None
        left = lanes.x_of(row.start_us)
        if isinstance(row, Comment):
            away, high = 0.0, place.height()
            if place_among is not None:
                away, high = comment_row(place_among, high)
            return QRectF(left - 4, place.y() + away - 1, 9, high - 1)
        width = max(lanes.x_of(row.end_us) - left, 4.0)
        return QRectF(left, place.y() + 1, width, place.height() - 2)
    if not isinstance(row, Tag):
        return None
    left = lanes.x_of(row.start_us)
    if row.kind is TagKind.EVENT:
        if not lanes.has_pins:
            return None
        heads = {Leaning.COMMEND: ribbon_top - 9, Leaning.CORRECT: ribbon_bottom + 9}
        middle = heads.get(row.leaning, (ribbon_top + ribbon_bottom) / 2)  # type: ignore[arg-type]
        return QRectF(left - 9, middle - 9, 18, 18)
    right = max(lanes.x_of(row.end_us or row.start_us), left + 2)
    return QRectF(left, ribbon_top - 1, right - left, ribbon_bottom - ribbon_top + 2)


def grip_box(lanes: Lanes, tag: Tag) -> QRectF | None:
    """Where the grip of a chosen span lies; None where the span has no room for one."""
    if tag.kind is TagKind.EVENT or tag.end_us is None:
        return None
    left = max(lanes.x_of(tag.start_us), lanes.area.x())
    right = min(lanes.x_of(tag.end_us), lanes.area.right())
    if right - left < _ROOMY_PX:
        return None
    bottom = lanes.area.y() + lanes.strip.ribbon[1]
    return QRectF(right - GRIP_PX - _GRIP_IN_PX, bottom - _GRIP_HEIGHT_PX, GRIP_PX, _GRIP_HEIGHT_PX)


def _paint_grip(painter: QPainter, box: QRectF | None, palette: Palette) -> None:
    """Three short lines on a plate: it can be taken hold of."""
    if box is None:
        return
    painter.fillRect(box, colour(palette.text))
    painter.setPen(QPen(colour(palette.ground), 1.5))
    middle = box.center()
    for n in (-1, 0, 1):
        x = middle.x() + 6 * n
        painter.drawLine(QLineF(x, box.top() + 2, x, box.bottom() - 2))


def _paint_hint(
    painter: QPainter, lanes: Lanes, hint_us: tuple[int, int], palette: Palette
) -> None:
    """A stretch that is being drawn out and has no name yet."""
    top, bottom = lanes.strip.ribbon
    left, right = lanes.x_of(hint_us[0]), lanes.x_of(hint_us[1])
    box = QRectF(
        QPointF(left, lanes.area.y() + top - 3), QPointF(right, lanes.area.y() + bottom + 3)
    )
    painter.fillRect(box, colour(palette.accent, 0.35))
    painter.setPen(QPen(colour(palette.accent), 2))
    for x in (left, right):
        painter.drawLine(QLineF(x, box.top(), x, box.bottom()))
