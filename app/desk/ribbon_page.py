"""How the ribbon is read: each sign drawn as the desk draws it, with words beside it."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QLabel,
    QVBoxLayout,
    QWidget,
)

from annotate.ids import RowId, SessionId, new_id
from annotate.marks import Setting
from annotate.markup import Markup
from annotate.tags import Comment, Leaning, Tag, TagKind
from annotate.vocabulary import Vocabulary
from annotate.vocabulary_file import shipped_vocabulary
from app.look.palette import Palette
from app.look.screen_room import ScrolledBody, keep_on_screen
from app.look.theme import current_palette
from app.review.join_marks import paint_join
from app.review.watched_line import WATCHED_KEY, paint_watched
from app.strip.layout import StripFrame, strip_content, strip_shapes
from app.strip.paint_qt import paint_shapes
from app.strip.setting_shapes import setting_shapes
from app.strip.several_pins import several_shapes
from metrics.setting_limits import Breach

_EXAMPLE, _LEAST_PHASES = "phaco-divide-conquer", 3
_LENGTH_US = 100_000_000
_SESSION = SessionId("example")
_SIZE = QSize(210, 50)
_WATCHED_PX, _LANE_PX = 6, 22
_HIGH_MMHG = 400.0


@dataclass(frozen=True, slots=True)
class Example:
    """One sign: words, and what a short ribbon has to hold to show it.

    Attributes
    ----------
    gaps, seen, slow : spans
        Where nothing was recorded; what was watched, and of that what at 2x or slower.
    limit : (int, int)
        Where machine values pass a limit.
    joins_us : tuple of (int, bool)
        Where parts of the recording begin, and whether something was found there.
    together : tuple of (int, Leaning)
        Where several events stand under one pin.
    """

    words: str
    markup: Markup
    gaps: tuple[tuple[int, int], ...] = ()
    joins_us: tuple[tuple[int, bool], ...] = ()
    limit: tuple[int, int] = (0, 0)
    seen: tuple[tuple[int, int], ...] = ()
    slow: tuple[tuple[int, int], ...] = ()
    together: tuple[tuple[int, Leaning], ...] = ()


class RibbonExample(QWidget):
    """A short ribbon, painted by what paints every strip, its joins and what was watched."""

    def __init__(
        self, example: Example, vocabulary: Vocabulary, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._example = example
        self._content = strip_content(example.markup, vocabulary, _LENGTH_US, example.gaps)
        self.setFixedSize(_SIZE)
        self.setAccessibleName(example.words)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter, palette = QPainter(self), current_palette()
        frame = StripFrame(self.width(), self.height())
        paint_shapes(painter, strip_shapes(self._content, frame, palette))

        def x_of(time_us: int) -> float:
            return frame.margin + time_us * (frame.width - 2 * frame.margin) / _LENGTH_US

        for at_us, leaning in self._example.together:
            paint_shapes(painter, several_shapes(leaning, 2, frame, palette, x_of(at_us)))
        for at_us, is_to_see in self._example.joins_us:
            paint_join(painter, x_of(at_us), (0.0, frame.height), palette, is_to_see)
        if self._example.limit[1]:
            self._paint_limit(painter, palette)
        below = QRectF(0, frame.height - _WATCHED_PX, frame.width, _WATCHED_PX)
        paint_watched(painter, self._example.seen, self._example.slow, below, x_of, palette)

    def _paint_limit(self, painter: QPainter, palette: Palette) -> None:
        """A row of the lane of machine values, under the ribbon."""
        start_us, end_us = self._example.limit
        frame = StripFrame(self.width(), _LANE_PX, end_us=_LENGTH_US)
        row = Setting(RowId(new_id()), _SESSION, start_us, end_us, vacuum_mmhg=_HIGH_MMHG)
        passed = Breach(
            start_us, end_us, "", "vacuum", _HIGH_MMHG, "mmHg", 0.0, is_above=True, source="",
            row_id=row.id,
        )  # fmt: skip
        painter.fillRect(QRectF(0, 0, self.width(), self.height()), QColor(palette.ground))
        shapes = setting_shapes(Markup(settings=(row,)), frame, palette, [passed])
        paint_shapes(painter, shapes, 0, (self.height() - _LANE_PX) / 2)


class RibbonPage(QDialog):
    """The legend of the ribbon."""

    def __init__(self, vocabulary: Vocabulary, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        if len(vocabulary.phases) < _LEAST_PHASES or not vocabulary.idle_reasons:
            vocabulary = shipped_vocabulary(_EXAMPLE)  # every sign has to be shown
        self.setWindowTitle("Reading the ribbon")
        body = QWidget()
        grid = QGridLayout(body)
        grid.setHorizontalSpacing(18)
        grid.setVerticalSpacing(2)
        grid.setColumnStretch(1, 1)
        intro = QLabel(
            "The ribbon is the whole case, from its first frame at the left to its last. "
            "In the list of cases, point at it to read what is there."
        )
        intro.setWordWrap(True)
        grid.addWidget(intro, 0, 0, 1, 2)
        for row, example in enumerate(examples(vocabulary), 1):
            label = QLabel(example.words)
            label.setWordWrap(True)
            label.setMinimumWidth(330)
            grid.addWidget(RibbonExample(example, vocabulary), row, 0)
            grid.addWidget(label, row, 1)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(ScrolledBody(body), 1)
        column.addWidget(buttons)
        self.resize(self.sizeHint())
        keep_on_screen(self)


def examples(vocabulary: Vocabulary) -> list[Example]:
    """Each sign, with a short ribbon that shows it."""
    first, second, third = (term.code for term in vocabulary.phases[:3])
    both = [_span(TagKind.PHASE, first, 4, 46), _span(TagKind.PHASE, second, 46, 96)]
    whole = _span(TagKind.PHASE, third, 4, 96)
    pins = [
        _pin(20, Leaning.COMMEND, 1),
        _pin(34, Leaning.COMMEND, 3),
        _pin(50, None, 2),
        _pin(66, Leaning.CORRECT, 1),
        _pin(80, Leaning.CORRECT, 3),
    ]
    ticks = [_tick(20, Leaning.COMMEND), _tick(50, None), _tick(80, Leaning.CORRECT)]
    return [
        Example(
            "A length of ribbon is a phase, in a hue and a hatch of its own.",
            Markup(tags=tuple(both)),
        ),
        Example(
            "A gap is idle time: nothing is tagged there.",
            Markup(
                tags=(
                    _span(TagKind.PHASE, first, 4, 40),
                    _span(TagKind.PHASE, second, 60, 96),
                )
            ),
        ),
        Example(
            "Cut open down to its thread: a pause with a reason.",
            Markup(tags=(whole, _span(TagKind.IDLE, vocabulary.idle_reasons[0].code, 42, 60))),
        ),
        Example(
            "Both edges lined: somebody else operates, a hand-over.",
            Markup(tags=(whole, _span(TagKind.HAND_OVER, "attending", 35, 70))),
        ),
        Example(
            "A pin up is an event to commend, a pin down one to correct, a lozenge neutral. "
            "The larger, the more it weighs.",
            Markup(tags=(whole, *pins)),
        ),
        Example(
            "In Review, a pin with two stems, a lozenge with a hole: several events fall together "
            "there; point at it, or zoom in.",
            Markup(tags=(whole,)),
            together=(
                (_s(22), Leaning.COMMEND),
                (_s(50), Leaning.NEUTRAL),
                (_s(78), Leaning.CORRECT),
            ),
        ),
        Example(
            "A tick below is a comment, in the colours of the pins.",
            Markup(tags=(whole,), comments=tuple(ticks)),
        ),
        Example(
            "Cut through and hatched: between two parts of the recording nothing was recorded.",
            Markup(tags=tuple(both)),
            gaps=((_s(60), _s(74)),),
        ),
        Example(
            "A dashed line is a join: the next part of the recording begins. A sign on it: "
            "something was found there; point at it to read what.",
            Markup(tags=tuple(both)),
            joins_us=((_s(30), False), (_s(66), True)),
        ),
        Example(
            "In the lane of machine values, a heavy line with a boxed sign: beyond what is usual "
            "in that phase. It may well be right.",
            Markup(),
            limit=(_s(20), _s(90)),
        ),
        Example(
            "In Review, along the ribbon, what was watched. " + WATCHED_KEY,
            Markup(tags=tuple(both)),
            seen=((_s(4), _s(74)),),
            slow=((_s(4), _s(46)),),
        ),
        Example("A dotted thread alone: nothing is tagged yet.", Markup()),
    ]


def _s(seconds: int) -> int:
    return seconds * 1_000_000


def _span(kind: TagKind, code: str, start_s: int, end_s: int) -> Tag:
    return Tag(RowId(new_id()), _SESSION, kind, code, start_s * 1_000_000, end_s * 1_000_000)


def _pin(at_s: int, leaning: Leaning | None, weight: int) -> Tag:
    at_us = at_s * 1_000_000
    return Tag(RowId(new_id()), _SESSION, TagKind.EVENT, "example", at_us, None, leaning, weight)


def _tick(at_s: int, leaning: Leaning | None) -> Comment:
    return Comment(RowId(new_id()), _SESSION, "example", at_s * 1_000_000, None, leaning)
