"""The item of the timeline's scene that paints the case: once a state, then from a picture."""

from __future__ import annotations

import sys
from collections.abc import Collection
from typing import Any

import pyqtgraph as pg
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPixmap

from annotate.clock import US_PER_S
from annotate.markup import Markup
from annotate.tags import Comment
from app.look.palette import Palette, phase_styles
from app.review.join_marks import join_marks, paint_joins
from app.review.lanes import Lane
from app.review.loop_paint import paint_loop
from app.review.presenter import ReviewPresenter
from app.review.timeline_chosen import paint_chosen
from app.review.timeline_index import TimelineIndex, timeline_index
from app.review.timeline_lanes import Lanes, known_lanes, lanes_in
from app.review.timeline_paint import LanePainter
from app.review.timeline_stamps import Stamps, stamp_key
from app.strip.layout import StripContent


class LanesItem(pg.GraphicsObject):
    """One item that paints what is visible of the whole case.

    What was painted is kept as a picture until something in it changes, so that a playhead that
    moves over it costs next to nothing.

    Attributes
    ----------
    preview : Markup or None
        Shown instead of what is kept, while something is dragged.
    hint_us : tuple of int or None
        A stretch that is being drawn out.
    """

    def __init__(self, presenter: ReviewPresenter, palette: Palette) -> None:
        super().__init__()
        self._presenter = presenter
        self.palette = palette
        self.preview: Markup | None = None
        self.hint_us: tuple[int, int] | None = None
        self.joins = join_marks(presenter.case)
        self.known: tuple[Lane, ...] = known_lanes(presenter.vocabulary)
        self.folded: Collection[str] = frozenset()
        self._gaps = tuple(presenter.case.clock.gaps)
        self._index: TimelineIndex | None = None
        self._shown: TimelineIndex | None = None
        self._stamps: Stamps | None = None
        self._picture: QPixmap | None = None
        self._picture_of: tuple[object, ...] = ()

    @property
    def index(self) -> TimelineIndex:
        """What is shown, in arrays; made when it is first asked for after a change."""
        if self._shown is None:
            markup = self.preview if self.preview is not None else self._presenter.markup
            codes = self._presenter.vocabulary.phase_codes
            self._index = timeline_index(markup, codes, self._index)
            is_kept = self.preview is None
            running = self._presenter.running_shown() if is_kept else ()
            self._shown = self._index.shown_until(running)
        return self._shown

    def refresh(self) -> None:
        """Something has changed: look at the session again when it is next painted."""
        self._shown = None
        self.repaint_all()

    def repaint_all(self) -> None:
        """Paint anew, from what is known."""
        self._picture = None
        self.update()

    def content(self) -> StripContent:
        """Words and looks of the strip."""
        vocabulary, index = self._presenter.vocabulary, self.index
        ends = [int(times.reach[-1]) for times in index.spans.values() if len(times.reach)]
        return StripContent(
            index.markup,
            max([self._presenter.length_us, *ends, 1]),
            phase_styles(vocabulary.phase_codes),
            dict(vocabulary.old_labels) | {term.code: term.label for term in vocabulary.phases},
            self._gaps,
        )

    def lay_out(self) -> Lanes:
        """Where everything lies now."""
        box = self.getViewBox()
        (low, high), _y = box.viewRange()
        stretch = round(low * US_PER_S), round(high * US_PER_S)
        markup = self._presenter.markup
        return lanes_in(box.sceneBoundingRect(), stretch, self.known, markup, self.folded)

    def boundingRect(self) -> QRectF:
        # no larger: in pixels of a deep zoom it has to stay within what Qt can count
        length_s = self._presenter.length_us / US_PER_S
        return QRectF(-0.05 * length_s, 0, 1.1 * length_s, 1)

    def paint(self, painter: QPainter, *_: Any) -> None:
        if self.getViewBox() is None:
            return
        lanes = self.lay_out()
        painter.save()
        try:
            painter.resetTransform()
            painter.setClipRect(lanes.area)
            corner = QPointF(int(lanes.area.x()), int(lanes.area.y()))
            density = self.getViewWidget().devicePixelRatioF()
            painter.drawPixmap(corner, self._painted(lanes, density))
        except Exception:  # noqa: BLE001 - one that leaves here takes the whole process down
            sys.excepthook(*sys.exc_info())
        finally:
            painter.restore()

    def _painted(self, lanes: Lanes, density: float) -> QPixmap:
        area = lanes.area
        state = (area.x(), area.y(), area.width(), area.height(), lanes.start_us, lanes.end_us,
                 self.palette, density)  # fmt: skip
        if self._picture is None or state != self._picture_of:
            self._picture = self._paint_anew(lanes, density)
            self._picture_of = state
        return self._picture

    def _paint_anew(self, lanes: Lanes, density: float) -> QPixmap:
        area, content = lanes.area, self.content()
        made = QPixmap(round((area.width() + 1) * density), round((area.height() + 1) * density))
        made.setDevicePixelRatio(density)
        made.fill(Qt.GlobalColor.transparent)
        key = stamp_key(lanes.strip, self.palette, density)
        if self._stamps is None or self._stamps.key != key:
            styles = tuple(content.styles.values())
            self._stamps = Stamps(lanes.strip, self.palette, styles, density)
        painter = QPainter(made)
        try:
            LanePainter(
                painter, lanes, self.index, content, self.palette, self._stamps, self.folded
            ).paint()
            painter.translate(-int(area.x()), -int(area.y()))
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
            paint_joins(painter, lanes, self.joins, self.palette)
            paint_chosen(
                painter, lanes, self._chosen_places(), self.palette, lead=self._presenter.chosen,
                hint_us=self.hint_us,
            )  # fmt: skip
            paint_loop(painter, lanes, self._presenter.loop_edges, self.palette)
        finally:
            painter.end()
        return made

    def _chosen_places(self) -> list[tuple[object, int | None]]:
        """What is chosen, and of comments the places among all."""
        return [
            (row, self.index.comment_place(row) if isinstance(row, Comment) else None)
            for row in self._chosen_rows()
        ]

    def _chosen_rows(self) -> tuple[object, ...]:
        rows = self._presenter.chosen_rows
        if self.preview is not None:
            wanted = {row.id for row in rows}
            groups = (self.preview.tags, self.preview.comments, self.preview.marks)
            return tuple(row for group in groups for row in group if row.id in wanted)
        ends = {tag.id: tag for tag in self._presenter.running_shown()}
        return tuple(ends.get(row.id, row) for row in rows)
