"""Paint the case strip at full size, and the lanes under it, from what is in sight."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QImage, QPainter, QPen

from annotate.markup import Markup
from annotate.tags import Comment, Leaning, Tag, TagKind
from app.look.palette import Palette
from app.review.lanes import COMMENTS, HAND_OVER, IDLE, PlacedLane
from app.review.timeline_detail import (
    Scale,
    SpanDetail,
    comment_row,
    n_comment_rows,
    pins,
    span_detail,
    thinned,
)
from app.review.timeline_index import LEANINGS, TimelineIndex
from app.review.timeline_lanes import Lanes, only
from app.review.timeline_stamps import Stamps
from app.strip.gap_shapes import unrecorded
from app.strip.layout import (
    StripContent,
    StripFrame,
    leaning_colour,
    thread_shapes,
)
from app.strip.name_shapes import name_shape
from app.strip.paint_qt import colour, paint_shapes
from app.strip.word_width import FEWEST

Tones = NDArray[np.uint32]
_WORDS_PX = 11
_NAMED_PX = 30.0
_FEW_ROWS = 300
"""So many marks or settings are laid out whole; of more, those that can be told apart."""
_PIN_ORDER = (Leaning.NEUTRAL, Leaning.COMMEND, Leaning.CORRECT)


class LanePainter:
    """Paints one state of the timeline, its upper left corner at the origin.

    Parameters
    ----------
    content : StripContent
        Words and looks of the strip; its tags are not gone through.
    """

    def __init__(
        self,
        painter: QPainter,
        lanes: Lanes,
        index: TimelineIndex,
        content: StripContent,
        palette: Palette,
        stamps: Stamps,
        folded: Collection[str] = (),
    ) -> None:
        self._painter, self._lanes, self._index = painter, lanes, index
        self._content, self._palette, self._stamps = content, palette, stamps
        self._folded = folded
        self._scale: Scale = lanes.scale
        self._frame: StripFrame = lanes.strip

    def paint(self) -> None:
        """Paint everything, back to front."""
        self.paint_strip()
        for placed in self._lanes.placed:
            if placed.lane.id == COMMENTS:
                self._paint_comments(placed)
            elif placed.lane.shapes is not None:
                self._paint_lane(placed)

    def paint_strip(self) -> None:
        """Paint the ribbon with its pins."""
        content, frame, palette = self._content, self._frame, self._palette
        left, right = max(self._at(0), -4.0), min(self._at(content.length_us), frame.width + 4.0)
        paint_shapes(self._painter, thread_shapes(content, frame, palette, left, right))
        wide = self._paint_phases()
        if IDLE not in self._folded:
            self._paint_breaks()
        if HAND_OVER not in self._folded:
            self._paint_hand_overs()
        for start_us, end_us in content.gaps:
            x1, x2 = max(self._at(start_us), -4.0), min(self._at(end_us), frame.width + 4.0)
            if x1 < x2:
                paint_shapes(self._painter, unrecorded(*frame.ribbon, palette, x1, x2))
        if frame.has_words:
            self._paint_names(wide)
        if self._lanes.has_pins:
            self._paint_pins()

    def _at(self, time_us: float) -> float:
        return (time_us - self._scale.start_us) / self._scale.us_per_px

    # The ribbon

    def _paint_phases(self) -> SpanDetail:
        times = self._index.spans[TagKind.PHASE]
        detail = span_detail(times, self._scale)
        codes, stamps = self._index.codes, self._stamps
        top, height = stamps.ribbon
        hues = np.array(
            [QColor(stamps.fill(n)).rgba() for n in range(len(self._content.styles))]
            + [QColor(stamps.fill(-1)).rgba()],
            np.uint32,
        )
        self._put_columns(detail, hues[codes] if len(codes) else hues, top, height)
        styles = codes[detail.wide].tolist()
        for style, left, right in zip(
            styles, detail.left.tolist(), detail.right.tolist(), strict=True
        ):
            stamps.put_stretch(self._painter, style, left, right)
        return detail

    def _put_columns(self, detail: SpanDetail, tones: Tones, top: float, height: float) -> None:
        """Paint narrow spans, a column of pixels each.

        Parameters
        ----------
        tones : (n,) uint32
            Colour of each span of the kind, or one for all.
        """
        is_there = detail.columns >= 0
        if not is_there.any():
            return
        row = np.zeros(len(detail.columns), np.uint32)
        row[is_there] = tones[detail.columns[is_there]] if len(tones) > 1 else tones[0]
        image = QImage(row.data, len(row), 1, len(row) * 4, QImage.Format.Format_ARGB32)
        self._painter.drawImage(QRectF(0, top, len(row), height), image)

    def _tone(self, text: str) -> Tones:
        return np.array([QColor(text).rgba()], np.uint32)

    def _paint_breaks(self) -> None:
        """Idle: the ribbon is cut open down to its thread."""
        top, height = self._stamps.ribbon
        palette, painter = self._palette, self._painter
        middle = top + height / 2
        detail = span_detail(self._index.spans[TagKind.IDLE], self._scale)
        self._put_columns(detail, self._tone(palette.sunken), top, height)
        self._put_columns(detail, self._tone(palette.idle), middle - 1, 2)
        hole, thread = QColor(palette.sunken), QColor(palette.idle)
        for left, right in zip(detail.left.tolist(), detail.right.tolist(), strict=True):
            painter.fillRect(QRectF(left, top, right - left, height), hole)
            painter.fillRect(QRectF(left, middle - 1, right - left, 2), thread)

    def _paint_hand_overs(self) -> None:
        """Somebody else operates: both edges of the ribbon are lined."""
        top, height = self._stamps.ribbon
        detail = span_detail(self._index.spans[TagKind.HAND_OVER], self._scale)
        tone = QColor(self._palette.text)
        for y in (top - 2.5, top + height + 0.5):
            self._put_columns(detail, self._tone(self._palette.text), y, 2)
            for left, right in zip(detail.left.tolist(), detail.right.tolist(), strict=True):
                self._painter.fillRect(QRectF(left, y, right - left, 2), tone)

    def _paint_names(self, detail: SpanDetail) -> None:
        """Names of the phases that have room, each past the idle reasons that cut it."""
        phases, idle = self._index.spans[TagKind.PHASE], self._index.spans[TagKind.IDLE]
        roomy = detail.wide[detail.right - detail.left >= _NAMED_PX].tolist()
        for place in roomy:
            tag = phases.rows[place]
            assert isinstance(tag, Tag)
            start_us, end_us = int(phases.starts[place]), int(phases.ends[place])
            shown = tag if tag.end_us == end_us else _ended(tag, end_us)
            cuts = [] if IDLE in self._folded else idle.seen(start_us, end_us).tolist()
            breaks = [(int(idle.starts[n]), int(idle.ends[n])) for n in cuts]
            words = name_shape(
                shown, [*self._content.gaps, *breaks], self._content, self._frame,
                self._palette, self._at,
            )  # fmt: skip
            paint_shapes(self._painter, words)

    def _paint_pins(self) -> None:
        for leaning in _PIN_ORDER:
            found = pins(self._index.events, LEANINGS.index(leaning), self._scale)
            columns = (found.x.tolist(), found.counts.tolist(), found.weights.tolist())
            self._stamps.put_pins(self._painter, leaning, zip(*columns, strict=True))

    # The lanes under it

    def _paint_lane(self, placed: PlacedLane) -> None:
        rows: Sequence[object] = placed.lane.rows(self._index.markup)
        times = {"marks": self._index.marks, "settings": self._index.settings}.get(placed.lane.id)
        markup: Markup = self._index.markup
        if times is not None and len(times.rows) > _FEW_ROWS:
            seen = thinned(times, self._scale).tolist()
            rows = [times.rows[n] for n in seen]
            markup = only(markup, placed.lane, rows)
        frame = StripFrame(
            self._frame.width, placed.height, margin=0.0,
            start_us=self._lanes.start_us, end_us=self._lanes.end_us,
        )  # fmt: skip
        assert placed.lane.shapes is not None
        self._painter.save()
        self._painter.setClipRect(QRectF(0, placed.top, frame.width, placed.height))
        shapes = placed.lane.shapes(markup, frame, self._palette)
        paint_shapes(self._painter, shapes, 0, placed.top)
        self._painter.restore()

    def _paint_comments(self, placed: PlacedLane) -> None:
        """Words as far as there is room before the next comment in that row; a tick always."""
        painter, palette, index = self._painter, self._palette, self._index.comments
        font = QFont(painter.font())
        font.setPixelSize(_WORDS_PX)
        painter.setFont(font)
        metrics = QFontMetricsF(font)
        places = thinned(index.times, self._scale).tolist()
        xs = [self._at(int(index.times.starts[n])) for n in places]
        edges, ends = [self._frame.width] * len(xs), dict[int, float]()
        n_rows = n_comment_rows(placed.height)
        for n in reversed(range(len(xs))):
            edges[n] = ends.get(places[n] % n_rows, edges[n])
            ends[places[n] % n_rows] = xs[n]
        pens = [QPen(colour(leaning_colour(palette, leaning)), 2) for leaning in LEANINGS]
        ink = colour(palette.text)
        for place, x, edge in zip(places, xs, edges, strict=True):
            away, row_px = comment_row(place, placed.height)
            top, bottom = int(placed.top + away), int(placed.top + away + row_px)
            painter.setPen(pens[int(index.leanings[place])])
            painter.drawLine(int(x), top + 1, int(x), bottom - (4 if n_rows == 1 else 2))
            room = edge - x - 10
            if room < 24:
                continue
            row = index.times.rows[place]
            assert isinstance(row, Comment)
            words = row.text[: int(room / 2)].replace("\n", " ")
            shown = metrics.elidedText(words, Qt.TextElideMode.ElideRight, room)
            if shown != words and len(shown) <= FEWEST:
                continue
            painter.setPen(ink)
            painter.drawText(int(x + 5), min(top + 15, bottom - (4 if n_rows == 1 else 3)), shown)


def _ended(tag: Tag, end_us: int) -> Tag:
    return replace(tag, end_us=max(end_us, tag.start_us + 1))
