"""Paint the timeline's lanes: the case strip at full size, and comments in words beneath it."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPen

from annotate.ids import RowId
from annotate.tags import Comment, Leaning, Tag, TagKind
from app.look.palette import Palette
from app.strip.layout import StripContent, StripFrame, leaning_colour, strip_shapes
from app.strip.paint_qt import colour, paint_shapes

_COMMENTS_PX = 24.0
_WORDS_PX = 11


@dataclass(frozen=True, slots=True)
class Lanes:
    """Where the lanes lie: the strip above, the comments below."""

    area: QRectF
    start_us: int
    end_us: int

    @property
    def strip(self) -> StripFrame:
        """The strip's frame within the area."""
        return StripFrame(
            self.area.width(),
            max(self.area.height() - _COMMENTS_PX, 20.0),
            has_words=True,
            has_remarks=False,
            margin=0.0,
            start_us=self.start_us,
            end_us=self.end_us,
        )

    @property
    def comments_top(self) -> float:
        """Where the lane of comments begins."""
        return self.area.y() + self.area.height() - _COMMENTS_PX

    def names(self) -> tuple[tuple[str, float, float], ...]:
        """Name, top and bottom of each lane."""
        top, bottom = self.strip.ribbon
        y = self.area.y()
        return (
            ("To keep", y, y + top),
            ("Phases", y + top, y + bottom),
            ("To change", y + bottom, self.comments_top),
            ("Comments", self.comments_top, self.area.bottom()),
        )

    def is_in_ribbon(self, y: float) -> bool:
        """Whether a height lies on the ribbon."""
        top, bottom = self.strip.ribbon
        return self.area.y() + top - 4 <= y <= self.area.y() + bottom + 4

    def is_in_comments(self, y: float) -> bool:
        """Whether a height lies in the lane of comments."""
        return y >= self.comments_top - 8

    def x_of(self, time_us: int) -> float:
        """Where a case time lies."""
        span = max(self.end_us - self.start_us, 1)
        return self.area.x() + (time_us - self.start_us) / span * self.area.width()


def paint_lanes(
    painter: QPainter,
    lanes: Lanes,
    content: StripContent,
    palette: Palette,
    chosen: RowId | None,
) -> None:
    """Paint everything between the ruler and the lower edge."""
    paint_shapes(
        painter, strip_shapes(content, lanes.strip, palette), lanes.area.x(), lanes.area.y()
    )
    _paint_comments(painter, lanes, content.markup.comments, palette)
    _paint_chosen(painter, lanes, content, palette, chosen)


def _paint_comments(
    painter: QPainter, lanes: Lanes, comments: tuple[Comment, ...], palette: Palette
) -> None:
    """Words as far as there is room before the next comment; a tick always."""
    font = QFont(painter.font())
    font.setPixelSize(_WORDS_PX)
    painter.setFont(font)
    metrics = QFontMetricsF(font)
    seen = [c for c in comments if lanes.start_us <= c.start_us <= lanes.end_us]
    for place, comment in enumerate(seen):
        x = lanes.x_of(comment.start_us)
        is_last = place + 1 == len(seen)
        edge = lanes.area.right() if is_last else lanes.x_of(seen[place + 1].start_us)
        painter.setPen(QPen(colour(leaning_colour(palette, comment.leaning)), 2))
        painter.drawLine(int(x), int(lanes.comments_top), int(x), int(lanes.area.bottom() - 4))
        room = edge - x - 10
        if room < 24:
            continue
        painter.setPen(colour(palette.text))
        words = metrics.elidedText(comment.text, Qt.TextElideMode.ElideRight, room)
        painter.drawText(int(x + 5), int(lanes.comments_top + 15), words)


def _paint_chosen(
    painter: QPainter,
    lanes: Lanes,
    content: StripContent,
    palette: Palette,
    chosen: RowId | None,
) -> None:
    rows: tuple[Tag | Comment, ...] = (*content.markup.tags, *content.markup.comments)
    row = next((row for row in rows if row.id == chosen), None)
    if row is None:
        return
    painter.setPen(QPen(colour(palette.text), 2))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    left = lanes.x_of(row.start_us)
    top, bottom = lanes.strip.ribbon
    ribbon_top, ribbon_bottom = lanes.area.y() + top, lanes.area.y() + bottom
    if isinstance(row, Comment):
        box = QRectF(left - 4, lanes.comments_top - 1, 9, _COMMENTS_PX - 3)
    elif row.kind is TagKind.EVENT:
        heads = {Leaning.COMMEND: ribbon_top - 9, Leaning.CORRECT: ribbon_bottom + 9}
        middle = heads.get(row.leaning, (ribbon_top + ribbon_bottom) / 2)  # type: ignore[arg-type]
        box = QRectF(left - 9, middle - 9, 18, 18)
    else:
        right = lanes.x_of(row.end_us or row.start_us)
        box = QRectF(left, ribbon_top - 1, right - left, ribbon_bottom - ribbon_top + 2)
    painter.drawRoundedRect(box, 4, 4)
