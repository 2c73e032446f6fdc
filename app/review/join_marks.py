"""The joins of a case's parts on the timeline: a line each, a sign where there is a finding."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPainter, QPen

from annotate.case import Case
from annotate.clip.joins import Join
from annotate.clock import format_time, shown
from app.look.palette import Palette
from app.review.timeline_lanes import Lanes
from app.strip.caution_sign import WIDE_PX, caution_sign
from app.strip.paint_qt import colour, paint_shapes


@dataclass(frozen=True, slots=True)
class JoinMark:
    """One join on the case clock.

    Attributes
    ----------
    ends_us, at_us : int
        Where the part before ends and where the part begins; apart where a gap lies between.
    is_to_see : bool
        Whether a sign stands at it.
    """

    ends_us: int
    at_us: int
    words: str
    is_to_see: bool


def join_marks(case: Case, joins: Sequence[Join | None] = ()) -> tuple[JoinMark, ...]:
    """The joins of a case with what is laid and what was found, in order."""
    clock, marks = case.clock, []
    for n in range(1, len(case.clips)):
        clip, join = case.clips[n], joins[n - 1] if n <= len(joins) else None
        words = [f"Part {n + 1}, {shown(Path(clip.path).name, 60)}, begins."]
        if clip.lead_us > 0:
            words.append(f"Before it a gap of {format_time(clip.lead_us)}: nothing was recorded.")
        if clip.lead_us < 0:
            length = format_time(-clip.lead_us)
            words.append(f"Its first {length} repeat the part before and are left out.")
        if join is not None:
            words.append(f"Found: {join.words}")
        is_to_see = clip.lead_us != 0 or (join is not None and join.is_to_see)
        marks.append(JoinMark(clock.end_of(n - 1), clock.start_of(n), "\n".join(words), is_to_see))
    return tuple(marks)


def join_at(marks: Sequence[JoinMark], lanes: Lanes, x: float, near_px: float) -> JoinMark | None:
    """The join under a place across the lanes, or the gap that it lies in."""
    for mark in marks:
        if lanes.x_of(mark.ends_us) - near_px <= x <= lanes.x_of(mark.at_us) + near_px:
            return mark
    return None


def paint_joins(
    painter: QPainter, lanes: Lanes, marks: Sequence[JoinMark], palette: Palette
) -> None:
    """Paint a fine line at each join, and a sign at the top of those that say something."""
    for mark in marks:
        x = lanes.x_of(mark.at_us)
        if not lanes.area.left() - WIDE_PX <= x <= lanes.area.right() + WIDE_PX:
            continue
        paint_join(painter, x, (lanes.area.top(), lanes.comments_top), palette, mark.is_to_see)


def paint_join(
    painter: QPainter, x: float, edges: tuple[float, float], palette: Palette, is_to_see: bool
) -> None:
    """Paint one join from an upper to a lower edge, with its sign where it says something."""
    tone = colour(palette.warning if is_to_see else palette.quiet)
    painter.setPen(QPen(tone, 1, Qt.PenStyle.DashLine))
    painter.drawLine(QPointF(x, edges[0]), QPointF(x, edges[1]))
    if is_to_see:
        sign = caution_sign(x, edges[0] + 1, palette.warning, palette.sunken)
        paint_shapes(painter, sign)
