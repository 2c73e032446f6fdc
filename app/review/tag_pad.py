"""The tag pad: every word of the vocabulary with its key, its look and what it adds up to."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from annotate.clock import US_PER_S, short_time
from annotate.tags import TagKind
from annotate.vocabulary import EventTerm, IdleTerm, PhaseTerm, Term
from app.look.palette import PhaseStyle, phase_styles
from app.review.pad_button import DENSE_PX, ROOMY_PX, PadButton
from app.review.presenter import ReviewPresenter
from app.review.reaction_line import ReactionLine
from metrics.figures import SessionFigures

_HAND_OVER = IdleTerm("hand-over", "Hand-over", "h")
"""Stands on the pad beside the idle reasons; its key is the desk's own."""
_TIMES = "\N{MULTIPLICATION SIGN}"
"""After how often an event was tagged: a bare number would be read as a weight."""


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
        self._grave = grave_codes(vocabulary.events)
        self.gone = QLabel("")
        self.gone.setWordWrap(True)
        self.gone.setProperty("quiet", True)
        self.gone.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        for heading, terms, n_columns in (
            ("Phases: a key starts one and ends the one before", vocabulary.phases, 2),
            (_events_heading(bool(self._grave)), vocabulary.events, 2),
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
            style = styles.get(term.code) if is_phase else None
            button = PadButton(term, style, is_grave=not is_phase and term.code in self._grave)
            button.clicked.connect(self._press)
            self._buttons.append(button)
            grid.addWidget(button, i % rows, i // rows)
        for place in range(n_columns):
            grid.setColumnStretch(place, 10 + place)  # the later steps have the longer names
        return grid

    def set_dense(self, is_dense: bool) -> None:
        """Give every row less height, for a low screen."""
        for button in self._buttons:
            button.row_px = DENSE_PX if is_dense else ROOMY_PX
            button.updateGeometry()

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
        shown |= {
            (TagKind.EVENT, code): f"{n}{_TIMES}" for code, n in figures.events.by_code.items()
        }
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


def grave_codes(events: Sequence[EventTerm]) -> frozenset[str]:
    """Codes of the events that weigh most; none where all weigh alike."""
    weights = {term.weight for term in events}
    most = max(weights, default=0)
    return frozenset(t.code for t in events if t.weight == most and len(weights) > 1)


def _events_heading(has_grave: bool) -> str:
    return "Events: a key drops one" + ("; boxed: gravest" if has_grave else "")


def _whole_s(time_us: int) -> str:
    """To the nearest second: sums of cut ones fall short of what was observed."""
    return short_time(time_us + US_PER_S // 2)


def _kind_of(term: Term) -> TagKind:
    if isinstance(term, PhaseTerm):
        return TagKind.PHASE
    if isinstance(term, EventTerm):
        return TagKind.EVENT
    return TagKind.HAND_OVER if term is _HAND_OVER else TagKind.IDLE
