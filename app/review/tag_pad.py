"""The tag pad: every word of the vocabulary with its key, its look and what it adds up to."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QAbstractButton,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from annotate.clock import US_PER_S, short_time
from annotate.tags import Leaning, TagKind
from annotate.vocabulary import EventTerm, IdleTerm, PhaseTerm
from app.look.palette import PhaseStyle, phase_styles
from app.look.theme import current_palette
from app.review.presenter import ReviewPresenter
from app.review.reaction_line import ReactionLine
from app.strip.hatching import hatch_shapes
from app.strip.layout import leaning_colour
from app.strip.paint_qt import colour, paint_shapes
from app.strip.shapes import Box
from metrics.figures import SessionFigures

Term = PhaseTerm | EventTerm | IdleTerm
_SIGNS = {Leaning.COMMEND: "▲", Leaning.CORRECT: "▼", Leaning.NEUTRAL: "◆"}
_KEY_PX = 20
_SWATCH_PX = 13
_WORDS_PX = 12
_HAND_OVER = IdleTerm("hand-over", "Hand-over", "h")
"""Stands on the pad beside the idle reasons; its key is the desk's own."""


class PadButton(QAbstractButton):
    """One word: key cap, swatch or sign, label, and a figure at the right."""

    def __init__(self, term: Term, style: PhaseStyle | None) -> None:
        super().__init__()
        self.term = term
        self._style = style
        self._figure = ""
        self._is_running = False
        good = getattr(term, "good", "")
        self.setAccessibleName(f"{term.label}, key {term.key}")
        self.setToolTip(f"{term.label} ({key_words(term.key)})\n{good}".strip())
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # each has its key
        font = QFont(self.font())
        font.setPixelSize(_WORDS_PX)
        self.setFont(font)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def show_figure(self, figure: str) -> None:
        """Show what this word adds up to."""
        if figure != self._figure:
            self._figure = figure
            self._describe()

    def show_running(self, is_running: bool) -> None:
        """Show whether this one runs now."""
        if is_running != self._is_running:
            self._is_running = is_running
            self._describe()

    def _describe(self) -> None:
        self.setAccessibleDescription(f"{self._figure}{', running' if self._is_running else ''}")
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(100, max(self.fontMetrics().height() + 6, 21))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        palette = current_palette()
        area = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        ground = palette.accent if self._is_running else palette.raised
        words = palette.on_accent if self._is_running else palette.text
        is_lit = self.hasFocus() or self.underMouse() or self.isDown()
        painter.setPen(QPen(QColor(palette.accent if is_lit else palette.line), 1))
        painter.setBrush(QColor(ground))
        painter.drawRoundedRect(area, 3, 3)
        self._paint_key(painter, area)
        left = area.x() + _KEY_PX + 7
        left += self._paint_sign(painter, left, area)
        right = self._paint_figure(painter, area, words)
        painter.setPen(QColor(words if self.isEnabled() else palette.quiet))
        room = QRectF(left, area.y(), right - left - 2, area.height())
        text = painter.fontMetrics().elidedText(
            self.term.label, Qt.TextElideMode.ElideRight, int(room.width())
        )
        painter.drawText(room, int(Qt.AlignmentFlag.AlignVCenter), text)

    def _paint_key(self, painter: QPainter, area: QRectF) -> None:
        palette = current_palette()
        cap = QRectF(area.x() + 3, area.y() + 3, _KEY_PX, area.height() - 6)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(palette.sunken))
        painter.drawRoundedRect(cap, 3, 3)
        painter.setPen(QColor(palette.text))
        font = QFont(self.font())
        font.setBold(True)
        font.setPixelSize(11)
        painter.setFont(font)
        painter.drawText(cap, int(Qt.AlignmentFlag.AlignCenter), key_cap(self.term.key))
        painter.setFont(self.font())

    def _paint_sign(self, painter: QPainter, left: float, area: QRectF) -> float:
        palette = current_palette()
        if self._style is not None:
            box = Box(left, area.y() + 5, _SWATCH_PX, area.height() - 10, "")
            fill = palette.hues[self._style.hue]
            painter.fillRect(QRectF(box.x, box.y, box.width, box.height), colour(fill))
            paint_shapes(painter, hatch_shapes(box, self._style.hatch, palette.ink, pitch=5.0))
            return _SWATCH_PX + 5
        if isinstance(self.term, EventTerm):
            sign = leaning_colour(palette, self.term.leaning)
            painter.setPen(QColor(palette.on_accent if self._is_running else sign))
            spot = QRectF(left, area.y(), 12, area.height())
            flags = int(Qt.AlignmentFlag.AlignCenter)
            painter.drawText(spot, flags, _SIGNS[self.term.leaning])
            return 16
        return 2

    def _paint_figure(self, painter: QPainter, area: QRectF, words: str) -> float:
        if not self._figure:
            return area.right()
        palette = current_palette()
        painter.setPen(QColor(words if self._is_running else palette.quiet))
        width = painter.fontMetrics().horizontalAdvance(self._figure) + 6
        room = QRectF(area.right() - width, area.y(), width - 4, area.height())
        flags = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight
        painter.drawText(room, int(flags), self._figure)
        return area.right() - width + 2


class TagPad(QWidget):
    """All words of a vocabulary, in the order of the operation."""

    pressed = Signal(object)
    hand_over_pressed = Signal()

    def __init__(self, presenter: ReviewPresenter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._presenter = presenter
        self._buttons: list[PadButton] = []
        vocabulary = presenter.vocabulary
        styles = phase_styles(vocabulary.phase_codes)
        self._known = {term.code for term in vocabulary.terms_to_tag}
        self.gone = QLabel("")
        self.gone.setWordWrap(True)
        self.gone.setProperty("quiet", True)
        self.gone.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        for heading, terms, n_columns in (
            ("Phases: a key starts one and ends the one before", vocabulary.phases, 2),
            ("Events: a key drops one", vocabulary.events, 2),
            (
                "Idle, and who operates: a key starts and ends it",
                (*vocabulary.idle_reasons, _HAND_OVER),
                3,
            ),
        ):
            offered = tuple(t for t in terms if t.code not in vocabulary.retired)
            label = QLabel(heading)
            label.setProperty("heading", True)
            above = QHBoxLayout()
            above.addWidget(label, 1)
            if terms and isinstance(terms[0], EventTerm):
                above.addWidget(ReactionLine(presenter.reaction))
            column.addLayout(above)
            column.addLayout(self._grid(offered, styles, n_columns))
        column.addWidget(self.gone)
        presenter.markup_changed.listen(self.show_running)
        self.show_running()
        self.show_figures(presenter.figures())

    def _grid(
        self, terms: tuple[Term, ...], styles: dict[str, PhaseStyle], n_columns: int
    ) -> QGridLayout:
        grid = QGridLayout()
        grid.setSpacing(2)
        rows = -(-len(terms) // n_columns)
        for i, term in enumerate(terms):
            is_phase = isinstance(term, PhaseTerm)
            button = PadButton(term, styles.get(term.code) if is_phase else None)
            button.clicked.connect(self._press)
            self._buttons.append(button)
            grid.addWidget(button, i % rows, i // rows)
        for place in range(n_columns):
            grid.setColumnStretch(place, 10 + place)  # the later steps have the longer names
        return grid

    def _press(self) -> None:
        button = self.sender()
        if not isinstance(button, PadButton):
            return
        if button.term is _HAND_OVER:
            self.hand_over_pressed.emit()
        else:
            self.pressed.emit(button.term)

    def show_figures(self, figures: SessionFigures) -> None:
        """Show what each word adds up to."""
        shown = {(TagKind.PHASE, p.code): _whole_s(p.total_us) for p in figures.phases}
        shown |= {(TagKind.EVENT, code): str(n) for code, n in figures.events.by_code.items()}
        shown |= {(TagKind.IDLE, c): _whole_s(us) for c, us in figures.idle.by_reason.items()}
        if figures.operator_only is not None:
            others_us = figures.observed_us - figures.operator_only.observed_us
            shown[TagKind.HAND_OVER, _HAND_OVER.code] = _whole_s(others_us)
        for button in self._buttons:
            button.show_figure(shown.get((_kind_of(button.term), button.term.code), ""))
        self._show_gone(shown)

    def _show_gone(self, shown: dict[tuple[TagKind, str], str]) -> None:
        """Name what this review has and the list has no more."""
        label = self._presenter.vocabulary.label
        gone = [
            f"{label(code)} {figure}"
            for (kind, code), figure in shown.items()
            if kind is not TagKind.HAND_OVER and code not in self._known
        ]
        self.gone.setText(f"No longer in the list: {', '.join(gone)}" if gone else "")
        self.gone.setVisible(bool(gone))

    def show_running(self) -> None:
        """Show which spans run on with the viewer."""
        running = {
            (kind, _HAND_OVER.code if kind is TagKind.HAND_OVER else tag.code)
            for kind in (TagKind.PHASE, TagKind.IDLE, TagKind.HAND_OVER)
            if (tag := self._presenter.running_tag(kind))
        }
        for button in self._buttons:
            button.show_running((_kind_of(button.term), button.term.code) in running)


def _whole_s(time_us: int) -> str:
    """To the nearest second: sums of cut ones fall short of what was observed."""
    return short_time(time_us + US_PER_S // 2)


def _kind_of(term: Term) -> TagKind:
    if isinstance(term, PhaseTerm):
        return TagKind.PHASE
    if isinstance(term, EventTerm):
        return TagKind.EVENT
    return TagKind.HAND_OVER if term is _HAND_OVER else TagKind.IDLE


def key_cap(key: str) -> str:
    """How a key looks on a cap: a capital letter stands for shift and the key."""
    return f"⇧{key}" if key.isupper() else key.upper()


def key_words(key: str) -> str:
    """How a key is said."""
    return f"Shift and {key}" if key.isupper() else f"key {key.upper()}"
