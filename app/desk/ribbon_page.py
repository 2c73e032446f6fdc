"""How the ribbon is read: each sign drawn as the desk draws it, with words beside it."""

from __future__ import annotations

from PySide6.QtCore import QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QLabel,
    QVBoxLayout,
    QWidget,
)

from annotate.ids import RowId, SessionId, new_id
from annotate.markup import Markup
from annotate.tags import Comment, Leaning, Tag, TagKind
from annotate.vocabulary import Vocabulary
from annotate.vocabulary_file import shipped_vocabulary
from app.look.screen_room import ScrolledBody, keep_on_screen
from app.look.theme import current_palette
from app.strip.layout import StripContent, StripFrame, strip_content, strip_shapes
from app.strip.paint_qt import paint_shapes

_EXAMPLE, _LEAST_PHASES = "phaco-divide-conquer", 3
_LENGTH_US = 100_000_000
_SESSION = SessionId("example")
_SIZE = QSize(210, 50)


class RibbonExample(QWidget):
    """A short ribbon, painted by what paints every strip."""

    def __init__(self, content: StripContent, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._content = content
        self.setFixedSize(_SIZE)
        self.setAccessibleName(name)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        frame = StripFrame(self.width(), self.height())
        paint_shapes(painter, strip_shapes(self._content, frame, current_palette()))


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
        grid.setVerticalSpacing(8)
        grid.setColumnStretch(1, 1)
        intro = QLabel(
            "The ribbon is the whole case, from its first frame at the left to its last. "
            "In the list of cases, point at it to read what is there."
        )
        intro.setWordWrap(True)
        grid.addWidget(intro, 0, 0, 1, 2)
        for row, (words, markup) in enumerate(examples(vocabulary), 1):
            label = QLabel(words)
            label.setWordWrap(True)
            label.setMinimumWidth(330)
            grid.addWidget(
                RibbonExample(strip_content(markup, vocabulary, _LENGTH_US), words), row, 0
            )
            grid.addWidget(label, row, 1)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(ScrolledBody(body), 1)
        column.addWidget(buttons)
        self.resize(self.sizeHint())
        keep_on_screen(self)


def examples(vocabulary: Vocabulary) -> list[tuple[str, Markup]]:
    """Words for each sign, and a markup that shows it."""
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
        (
            "A length of ribbon is a phase, in a hue and a hatch of its own.",
            Markup(tags=tuple(both)),
        ),
        (
            "A gap is idle time: nothing is tagged there.",
            Markup(
                tags=(
                    _span(TagKind.PHASE, first, 4, 40),
                    _span(TagKind.PHASE, second, 60, 96),
                )
            ),
        ),
        (
            "Cut open down to its thread: a pause within a phase, with a reason.",
            Markup(tags=(whole, _span(TagKind.IDLE, vocabulary.idle_reasons[0].code, 42, 60))),
        ),
        (
            "Both edges lined: somebody else operates, a hand-over.",
            Markup(tags=(whole, _span(TagKind.HAND_OVER, "attending", 35, 70))),
        ),
        (
            "A pin up is an event to commend, a pin down one to correct, a lozenge neutral. "
            "The larger, the more it weighs.",
            Markup(tags=(whole, *pins)),
        ),
        (
            "A tick below is a comment, in the colours of the pins.",
            Markup(tags=(whole,), comments=tuple(ticks)),
        ),
        ("A dotted thread alone: nothing is tagged yet.", Markup()),
    ]


def _span(kind: TagKind, code: str, start_s: int, end_s: int) -> Tag:
    return Tag(RowId(new_id()), _SESSION, kind, code, start_s * 1_000_000, end_s * 1_000_000)


def _pin(at_s: int, leaning: Leaning | None, weight: int) -> Tag:
    at_us = at_s * 1_000_000
    return Tag(RowId(new_id()), _SESSION, TagKind.EVENT, "example", at_us, None, leaning, weight)


def _tick(at_s: int, leaning: Leaning | None) -> Comment:
    return Comment(RowId(new_id()), _SESSION, "example", at_s * 1_000_000, None, leaning)
