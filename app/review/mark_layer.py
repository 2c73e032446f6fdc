"""Marks over the picture, in device pixels: painted anew only when something of them changed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QImage, QPainter, QPen

from annotate.clip.showing import Framing
from annotate.ids import RowId
from annotate.mark_motion import MarkPath, points_at
from annotate.marks import Mark, MarkKind, Point
from app.look.palette import DARK
from app.marks.layout import opacity_at, place_in
from app.marks.looks import UNDER
from app.marks.paint import Box, painted

HANDLE_PX = 9.0


class MarkLayer:
    """What is drawn over one picture.

    Attributes
    ----------
    draft : Mark or None
        What is being drawn or moved; it stands in place of the mark with its id.
    chosen : RowId or None
        The mark with handles.
    is_bare : bool
        True to leave handles and drafts out, as on a copy of the picture.
    """

    def __init__(self) -> None:
        self.draft: Mark | None = None
        self.chosen: RowId | None = None
        self.is_bare = False
        self._marks: tuple[Mark, ...] = ()
        self._time_us = 0
        self._key: object = None
        self._sheet: NDArray[np.uint8] = np.zeros((1, 1, 4), np.uint8)
        self._box: Box | None = None

    @property
    def shown(self) -> tuple[Mark, ...]:
        """All that is on the picture, each where it is now; the draft last."""
        draft = None if self.is_bare else self.draft
        if draft is None:
            return self._marks
        return (*(mark for mark in self._marks if mark.id != draft.id), draft)

    def show(
        self,
        marks: Sequence[Mark],
        time_us: int,
        paths: Mapping[RowId, MarkPath] | None = None,
        chosen: RowId | None = None,
    ) -> bool:
        """Say which marks are seen at a case time, and where they go; whether that is news."""
        ways = paths or {}
        there = tuple(
            replace(
                mark,
                points=points_at(mark, ways.get(mark.id), time_us),
                is_following=False,
                anchors=(),
            )
            if mark.is_following
            else mark
            for mark in marks
        )
        fades = any(mark.is_fading for mark in there)
        is_news = there != self._marks or chosen != self.chosen or fades
        self._marks, self._time_us, self.chosen = there, time_us, chosen
        return is_news

    def paint(
        self,
        painter: QPainter,
        framing: Framing,
        area: QRectF,
        place_of: Callable[[Point], QPointF],
    ) -> None:
        """Put it over the picture.

        Parameters
        ----------
        framing : Framing
            As the picture is looked at.
        area : QRectF
            Where the picture lies, in the widget's lengths.
        place_of : callable
            From shares of the picture to these.
        """
        self._bring_up_to_date(framing)
        if self._box is not None:
            left, top, right, bottom = self._box
            height, width = self._sheet.shape[:2]
            image = QImage(
                self._sheet.data, width, height, QImage.Format.Format_ARGB32_Premultiplied
            )
            across, down = area.width() / width, area.height() / height
            wide, high = right - left, bottom - top
            painter.drawImage(
                QRectF(area.x() + left * across, area.y() + top * down, wide * across, high * down),
                image,
                QRectF(left, top, wide, high),
            )
        if not self.is_bare:
            self._paint_handles(painter, place_of)

    def _bring_up_to_date(self, framing: Framing) -> None:
        marks = self.shown
        strengths = [opacity_at(mark, self._time_us) for mark in marks if mark.is_fading]
        key = (marks, strengths, framing)
        if key == self._key:
            return
        self._key = key
        width, height = framing.width, framing.height
        if self._sheet.shape[:2] != (height, width):
            self._sheet = np.zeros((height, width, 4), np.uint8)
        elif self._box is not None:
            left, top, right, bottom = self._box
            self._sheet[top:bottom, left:right] = 0
        place = place_in(width, height, framing)
        self._box = painted(self._sheet, marks, self._time_us, place)

    def _paint_handles(self, painter: QPainter, place_of: Callable[[Point], QPointF]) -> None:
        mark = next((mark for mark in self.shown if mark.id == self.chosen), None)
        if mark is None:
            return
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(UNDER), 1.5))
        painter.setBrush(QColor(DARK.accent))
        for point in handles(mark):
            at = place_of(point)
            half = HANDLE_PX / 2
            painter.drawRect(QRectF(at.x() - half, at.y() - half, HANDLE_PX, HANDLE_PX))
        painter.restore()


def handles(mark: Mark) -> tuple[Point, ...]:
    """Points by which a mark is taken; a freehand line is moved whole, by its start."""
    return mark.points[:1] if mark.kind is MarkKind.FREEHAND else mark.points
